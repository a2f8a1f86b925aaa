package httpd

import (
	"github.com/danielgtaylor/huma/v2"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/records"
)

// readLists are lists of sessions of chosen days and what was signed in them. Each
// answer is of one entry of the ledger, which it states.
func (s *server) readLists(api huma.API) {
	offer(s, api, operation{"GET", "/sessions", access.SeeWeek, "list-sessions", "Sessions that start on chosen days, by start, a hundred at a time."}, apiSessionsOf)
	offer(s, api, operation{"GET", "/attendance", access.SeeSession, "list-attendance", "Who was present when, of the sessions of chosen days, a hundred sessions at a time."}, apiAttendanceOf)
	offer(s, api, operation{"GET", "/results", access.SeeSession, "list-results", "What trainees showed, of the sessions of chosen days, a hundred sessions at a time."}, apiResultsOf)
	offer(s, api, operation{"GET", "/hours", access.SeeSession, "list-hours", "Trainees' credited minutes, of the sessions of chosen days, a hundred sessions at a time."}, apiHoursOf)
}

// atEntry reads lists at one entry, where the call stands from then on.
func (c *call) atEntry(action access.Action, read func(*records.Lists) error) error {
	return c.Records.Lists(c.ctx, c.Actor, action, func(l *records.Lists) error {
		c.Ref, c.Head, c.Now, c.Today = l.Ref, l.Entry, l.Now, l.Today
		return read(l)
	})
}

type sessionsAsked struct {
	PageAsked
	From       string `query:"from" format:"date" doc:"First day; this week's Monday where it is left out"`
	Until      string `query:"until" format:"date" doc:"Last day, counted; that week's Sunday where it is left out"`
	Rig        string `query:"rig"`
	Station    string `query:"station"`
	Intake     string `query:"intake" doc:"One of its trainees takes part; of attendance, results and hours, theirs alone"`
	Instructor string `query:"instructor" doc:"Teaches or stands by"`
}

// OfEntry says of which entry of the ledger an answer is.
type OfEntry struct {
	Entry int64 `json:"entry" doc:"Of the ledger: the answer is what stood then"`
}

// NextPage leads on.
type NextPage struct {
	OfEntry
	Next string `json:"next" doc:"Empty after the last page"`
}

// sessionsAtOnce is how many sessions one answer is about.
const sessionsAtOnce = 100

// filter reads which sessions are asked for.
func (in *sessionsAsked) filter(c *call) (records.SessionFilter, error) {
	bad := fault.Fields{}
	f := records.SessionFilter{From: dayOf("from", in.From, bad), Until: dayOf("until", in.Until, bad), Rig: id.Rig(in.Rig), Station: id.Station(in.Station), Intake: id.Intake(in.Intake), Staff: id.Person(in.Instructor)}
	return wholeWeeks(f, c.Today, bad)
}

// sessionPage gives the sessions of one page to add.
func (c *call) sessionPage(in *sessionsAsked, action access.Action, add func(records.SessionRow)) (out NextPage, err error) {
	f, err := in.filter(c)
	if err != nil {
		return out, err
	}
	after, err := in.key()
	if err != nil {
		return out, err
	}
	err = c.atEntry(action, func(l *records.Lists) error {
		out.Entry = l.Entry
		n, last := 0, ""
		list, err := l.SessionsAfter(f, after)
		if err != nil {
			return err
		}
		for r, err := range list {
			if err != nil {
				return err
			}
			if n == sessionsAtOnce {
				out.Next = nextKey(last)
				return nil
			}
			n, last = n+1, r.Key()
			add(r)
		}
		return nil
	})
	return out, err
}

type apiSessionList struct {
	Sessions []APISession `json:"sessions"`
	NextPage
}

func apiSessionsOf(c *call, in *sessionsAsked) (out apiSessionList, err error) {
	out.Sessions = []APISession{}
	out.NextPage, err = c.sessionPage(in, access.SeeWeek, func(r records.SessionRow) { out.Sessions = append(out.Sessions, c.session(r.Session)) })
	return out, err
}

// APIInSession is one person in one session.
type APIInSession struct {
	Session  string `json:"session"`
	Start    string `json:"start" doc:"Of the session"`
	Exercise string `json:"exercise"`
	Person   string `json:"person"`
	Name     string `json:"name" doc:"Of the person; empty once erased"`
	Trainee  string `json:"trainee,omitempty" doc:"The enrolment, of a trainee"`
}

func (c *call) inSession(r records.SessionRow, who string) APIInSession {
	out := APIInSession{Session: string(r.ID), Start: c.moment(r.Start), Exercise: string(r.Session.Exercise), Person: string(r.Person(who)), Name: r.Name(who)}
	if out.Person != who {
		out.Trainee = who
	}
	return out
}

type apiPresence struct {
	APIInSession
	Part string `json:"part" enum:"trainee,instructor,rescuer,other"`
	Mark string `json:"mark" enum:"present,late,left,did-not-come"`
	From string `json:"from,omitempty" doc:"Left out for a person who did not come"`
	To   string `json:"to,omitempty"`
}

type apiAttendanceList struct {
	Attendance []apiPresence `json:"attendance"`
	NextPage
}

func apiAttendanceOf(c *call, in *sessionsAsked) (out apiAttendanceList, err error) {
	out.Attendance = []apiPresence{}
	out.NextPage, err = c.sessionPage(in, access.SeeSession, func(r records.SessionRow) {
		for _, p := range r.Presences {
			out.Attendance = append(out.Attendance, apiPresence{c.inSession(r, p.Who), string(p.Part), string(p.Mark), c.moment(p.Start), c.moment(p.End)})
		}
	})
	return out, err
}

type apiResult struct {
	APIInSession
	Outcome     string `json:"outcome"`
	OutcomeName string `json:"outcome_name"`
	Result      string `json:"result" enum:"competent,not-yet-competent,not-assessed"`
	By          string `json:"by" doc:"The person who signed"`
}

type apiResultList struct {
	Results []apiResult `json:"results"`
	NextPage
}

func apiResultsOf(c *call, in *sessionsAsked) (out apiResultList, err error) {
	out.Results = []apiResult{}
	out.NextPage, err = c.sessionPage(in, access.SeeSession, func(r records.SessionRow) {
		for _, x := range r.Results.Results {
			o, _ := c.Ref.Outcomes.On(x.Outcome, c.Zone.DayOf(r.Start))
			out.Results = append(out.Results, apiResult{c.inSession(r, string(x.Trainee)), string(x.Outcome), c.Ref.Text(o.Name), string(x.Result), string(r.Results.By)})
		}
	})
	return out, err
}

type apiCredit struct {
	APIInSession
	Rig     string `json:"rig" doc:"Name"`
	Minutes int64  `json:"minutes" doc:"Present, pauses taken off"`
}

type apiHourList struct {
	Hours []apiCredit `json:"hours"`
	NextPage
}

func apiHoursOf(c *call, in *sessionsAsked) (out apiHourList, err error) {
	out.Hours = []apiCredit{}
	out.NextPage, err = c.sessionPage(in, access.SeeSession, func(r records.SessionRow) {
		for _, x := range r.Credited {
			out.Hours = append(out.Hours, apiCredit{c.inSession(r, string(x.Trainee)), r.Rig, int64(x.Minutes)})
		}
	})
	return out, err
}
