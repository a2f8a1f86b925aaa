package httpd

import (
	"encoding/base64"
	"strings"

	"github.com/danielgtaylor/huma/v2"

	"rungbook/internal/access"
	"rungbook/internal/booking"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/session"
)

// bookSessions are free times, and what the journey of booking writes.
func (s *server) bookSessions(api huma.API) {
	offer(s, api, operation{"POST", "/options", access.SeeOptions, "find-options", "Free times for a group and an exercise, and what stops the others. Writes nothing."}, findOptions)
	offer(s, api, operation{"POST", "/proposals", access.SeeOptions, "judge-proposal", "What every rule says of a proposed session. Writes nothing."}, judgeProposal)
	offer(s, api, operation{"POST", "/sessions", access.BookSession, "book-session", "Book a session, or pencil it where a caution waits."}, apiBook)
	offer(s, api, operation{"POST", "/sessions/{session}/move", access.MoveSession, "move-session", "Give a session another time, place and people."}, apiMove)
	offer(s, api, operation{"POST", "/sessions/{session}/people", access.ChangePeople, "change-people", "Give a session other people at its time and place."}, apiPeople)
	offer(s, api, operation{"POST", "/sessions/{session}/others", access.ChangePeople, "change-others", "Let somebody join the others of a session that is still to run (an observer, a candidate, an auditor, a visitor), or leave them."}, apiOthers)
	offer(s, api, operation{"POST", "/sessions/{session}/stand-down", access.StandDown, "stand-down", "Take a session off the board."}, apiStandDown)
	offer(s, api, operation{"POST", "/sessions/{session}/reopen", access.ReopenSession, "reopen-session", "Book a session again that was stood down."}, apiReopen)
	offer(s, api, operation{"POST", "/sessions/{session}/book", access.BookSession, "confirm-session", "Book a pencilled session that nothing keeps pencilled."}, apiConfirm)
	offer(s, api, operation{"POST", "/sessions/{session}/accept", access.AcceptCaution, "accept-caution", "Accept one caution of a session."}, apiAccept)
}

// civilInstant is a moment of a finding.
func civilInstant(n int64) civil.Instant { return civil.Instant(n) }

func (c *call) startOf(text string) (civil.Instant, error) {
	start, err := c.Zone.Parse(text)
	if err != nil {
		return 0, fault.Field("start", "%s", sentence(err))
	}
	return start, nil
}

func dayOf(field, text string, bad fault.Fields) civil.Day {
	return dayField(map[string][]string{field: {text}}, field, bad)
}

type optionsAsked struct {
	Caller
	Body struct {
		Exercise string   `json:"exercise" minLength:"1"`
		Intake   string   `json:"intake,omitempty" doc:"The group is of this intake"`
		Trainees []string `json:"trainees,omitempty" doc:"Part of the intake, or picked trainees; empty is all of the intake"`
		From     string   `json:"from,omitempty" format:"date" doc:"Today where it is left out"`
		Until    string   `json:"until,omitempty" format:"date" doc:"Counted; two weeks where it is left out, four at most"`
		Station  string   `json:"station,omitempty"`
		Move     string   `json:"move,omitempty" doc:"The session that is to move"`
		Trial    string   `json:"trial,omitempty" enum:"drill,mock-audit" doc:"A new session is to be a trial, which credits nobody; it may have no group"`
	}
}

type apiOptions struct {
	Seen    int64        `json:"seen" doc:"Send it along when you book: a refusal then says who was first"`
	From    string       `json:"from"`
	Until   string       `json:"until"`
	AtOnce  int          `json:"at_once" doc:"Most trainees that one session takes"`
	Group   []apiMember  `json:"group"`
	Offers  []apiOffer   `json:"offers" doc:"Best first"`
	Refused []apiRefusal `json:"refused" doc:"Times that are not possible, and why"`
}

type apiMember struct {
	Trainee string       `json:"trainee"`
	Name    string       `json:"name"`
	In      bool         `json:"in" doc:"Takes part in the offers"`
	Why     []apiFinding `json:"why" doc:"Why they may not; empty too for those left for another group"`
}

type apiRefusal struct {
	Proposal APIProposal  `json:"proposal"`
	Findings []apiFinding `json:"findings"`
	Nearest  *apiNearest  `json:"nearest,omitempty"`
}

func findOptions(c *call, in *optionsAsked) (apiOptions, error) {
	bad, b := fault.Fields{}, in.Body
	ask := booking.Ask{Exercise: id.Exercise(b.Exercise), Intake: id.Intake(b.Intake), Trainees: planning.IDs[id.Trainee](b.Trainees), Station: id.Station(b.Station),
		Move: id.Session(b.Move), Trial: session.Trial(b.Trial), From: dayOf("from", b.From, bad), Until: dayOf("until", b.Until, bad)}
	if err := bad.Err(); err != nil {
		return apiOptions{}, err
	}
	o, err := c.Desk.Options(c.ctx, c.Actor, ask)
	if err != nil {
		return apiOptions{}, err
	}
	out := apiOptions{Seen: o.Seen, From: o.Ask.From.String(), Until: o.Ask.Until.String(), AtOnce: o.AtOnce, Group: []apiMember{}, Offers: []apiOffer{}, Refused: []apiRefusal{}}
	for _, m := range o.Group {
		out.Group = append(out.Group, apiMember{string(m.Trainee), m.Name, m.In, c.findings(o.Slice, m.Why)})
	}
	for _, x := range o.Offers {
		out.Offers = append(out.Offers, c.offer(o.Slice, x, o.Ask.Trial))
	}
	for _, r := range o.Refused {
		out.Refused = append(out.Refused, apiRefusal{c.planned(r.Session, o.Ask.Trial), c.findings(o.Slice, r.Report.Findings), c.nearest(o.Slice, r.Nearest)})
	}
	return out, nil
}

type judgeAsked struct {
	Caller
	Body struct {
		APIProposal
		Session string `json:"session,omitempty" doc:"The session that it would move or change"`
	}
}

type apiJudged struct {
	Level    string       `json:"level" enum:"clear,cautions,stops"`
	End      string       `json:"end"`
	Findings []apiFinding `json:"findings"`
	Waits    []string     `json:"waits" doc:"Cautions that nobody has accepted: they would keep it pencilled"`
}

func judgeProposal(c *call, in *judgeAsked) (apiJudged, error) {
	p, err := c.proposal(in.Body.APIProposal, in.Body.Session)
	if err != nil {
		return apiJudged{}, err
	}
	j, err := c.Desk.Judge(c.ctx, c.Actor, p)
	if err != nil {
		return apiJudged{}, err
	}
	out := apiJudged{Level: j.Report.Level().String(), End: c.moment(j.Session.End), Findings: c.findings(j.Slice, j.Report.Findings), Waits: []string{}}
	for _, f := range c.findings(j.Slice, j.Waits) {
		out.Waits = append(out.Waits, f.Caution)
	}
	return out, nil
}

// apiDone is what a change came to.
type apiDone struct {
	Session string `json:"session"`
	State   string `json:"state" enum:"booked,pencilled,stood-down"`
	Rev     int64  `json:"rev" doc:"Send it along with the next change"`
}

type bookAsked struct {
	Keyed
	Body struct {
		APIProposal
		Seen   int64  `json:"seen,omitempty" doc:"From the options it was chosen from"`
		Reason string `json:"reason,omitempty" doc:"Why its cautions are acceptable, where the token's owner may accept them"`
	}
}

func (c *call) send(key string, seen int64, reason string) booking.Send {
	if seen == 0 {
		seen = c.Head
	}
	return booking.Send{Key: c.formKey(key), Seen: seen, Reason: strings.TrimSpace(reason)}
}

// done answers a change, or says why it was refused.
func (c *call) done(p booking.Proposal, d booking.Done, err error) (apiDone, error) {
	if err != nil {
		return apiDone{}, err
	}
	if d.Refused != nil {
		return apiDone{}, c.refusedProblem(p, d.Refused)
	}
	return c.stands(d.Session)
}

// stands answers with a session as it now is.
func (c *call) stands(sid id.Session) (apiDone, error) {
	sheet, err := c.Desk.Sheet(c.ctx, c.Actor, sid)
	return apiDone{string(sid), string(sheet.Value.State), sheet.Rev}, err
}

func apiBook(c *call, in *bookAsked) (apiDone, error) {
	p, err := c.proposal(in.Body.APIProposal, "")
	if err != nil {
		return apiDone{}, err
	}
	d, err := c.Desk.Book(c.ctx, c.Actor, p, c.send(in.Key, in.Body.Seen, in.Body.Reason))
	return c.done(p, d, err)
}

type changeAsked struct {
	Keyed
	Session string `path:"session"`
	Body    struct {
		APIProposal
		Rev    int64  `json:"rev" doc:"Of the session as you saw it"`
		Seen   int64  `json:"seen,omitempty"`
		Reason string `json:"reason,omitempty"`
	}
}

func apiMove(c *call, in *changeAsked) (apiDone, error) {
	p, err := c.proposal(in.Body.APIProposal, in.Session)
	if err != nil {
		return apiDone{}, err
	}
	d, err := c.Desk.Move(c.ctx, c.Actor, p, in.Body.Rev, c.send(in.Key, in.Body.Seen, in.Body.Reason))
	return c.done(p, d, err)
}

type peopleAsked struct {
	Keyed
	Session string `path:"session"`
	Body    struct {
		Trainees    []string `json:"trainees"`
		Instructors []string `json:"instructors"`
		Rescuers    []string `json:"rescuers,omitempty"`
		Rev         int64    `json:"rev"`
		Seen        int64    `json:"seen,omitempty"`
		Reason      string   `json:"reason,omitempty"`
	}
}

func apiPeople(c *call, in *peopleAsked) (apiDone, error) {
	p, err := c.asItStands(in.Session)
	if err != nil {
		return apiDone{}, err
	}
	p.Trainees, p.Instructors, p.Rescuers = planning.IDs[id.Trainee](in.Body.Trainees), planning.IDs[id.Person](in.Body.Instructors), planning.IDs[id.Person](in.Body.Rescuers)
	d, err := c.Desk.ChangePeople(c.ctx, c.Actor, p, in.Body.Rev, c.send(in.Key, in.Body.Seen, in.Body.Reason))
	return c.done(p, d, err)
}

func (c *call) asItStands(sid string) (booking.Proposal, error) {
	sheet, err := c.Desk.Sheet(c.ctx, c.Actor, id.Session(sid))
	s := sheet.Value
	return booking.Proposal{Session: s.ID, Exercise: s.Exercise, Station: s.Station, Start: s.Start, Trainees: s.Trainees, Instructors: s.Instructors, Rescuers: s.Rescuers}, err
}

type othersAsked struct {
	Keyed
	Session string `path:"session"`
	Body    struct {
		Person  string `json:"person,omitempty" doc:"Somebody on record who joins"`
		Visitor string `json:"visitor,omitempty" doc:"The name of somebody else who joins; they are put on record"`
		As      string `json:"as,omitempty" enum:"observer,candidate,auditor,visitor" doc:"In what part they join"`
		Leave   string `json:"leave,omitempty" doc:"One of the others who leaves. One of person, visitor and leave is sent, one at a time"`
		Rev     int64  `json:"rev"`
		Seen    int64  `json:"seen,omitempty"`
		Reason  string `json:"reason,omitempty"`
	}
}

func apiOthers(c *call, in *othersAsked) (apiDone, error) {
	p, err := c.asItStands(in.Session)
	if err != nil {
		return apiDone{}, err
	}
	b := in.Body
	change := booking.OtherChange{Join: id.Person(b.Person), Leave: id.Person(b.Leave), Visitor: b.Visitor, As: session.OtherPart(b.As)}
	d, err := c.Desk.ChangeOthers(c.ctx, c.Actor, p.Session, b.Rev, change, c.send(in.Key, b.Seen, b.Reason))
	return c.done(p, d, err)
}

type downAsked struct {
	Keyed
	Session string `path:"session"`
	Body    struct {
		Rev    int64  `json:"rev"`
		Reason string `json:"reason" enum:"weather,rig,people-not-available,other"`
		Note   string `json:"note,omitempty"`
	}
}

func apiStandDown(c *call, in *downAsked) (apiDone, error) {
	sid := id.Session(in.Session)
	err := c.Desk.StandDown(c.ctx, c.Actor, sid, in.Body.Rev, session.DownReason(in.Body.Reason), strings.TrimSpace(in.Body.Note), c.formKey(in.Key))
	if err != nil {
		return apiDone{}, err
	}
	return c.stands(sid)
}

type againAsked struct {
	Keyed
	Session string `path:"session"`
	Body    struct {
		Rev    int64  `json:"rev"`
		Reason string `json:"reason,omitempty"`
	}
}

func apiReopen(c *call, in *againAsked) (apiDone, error) {
	p, err := c.asItStands(in.Session)
	if err != nil {
		return apiDone{}, err
	}
	d, err := c.Desk.Reopen(c.ctx, c.Actor, id.Session(in.Session), in.Body.Rev, c.send(in.Key, 0, in.Body.Reason))
	return c.done(p, d, err)
}

func apiConfirm(c *call, in *againAsked) (apiDone, error) {
	p, err := c.asItStands(in.Session)
	if err != nil {
		return apiDone{}, err
	}
	d, err := c.Desk.Confirm(c.ctx, c.Actor, id.Session(in.Session), in.Body.Rev, c.send(in.Key, 0, in.Body.Reason))
	return c.done(p, d, err)
}

type acceptAsked struct {
	Keyed
	Session string `path:"session"`
	Body    struct {
		Caution string `json:"caution" doc:"As the finding names it"`
		Reason  string `json:"reason" minLength:"1"`
		Own     bool   `json:"own,omitempty" doc:"True where the token's owner booked the session; it is listed for the auditor"`
	}
}

func apiAccept(c *call, in *acceptAsked) (apiDone, error) {
	subject, err := base64.RawURLEncoding.DecodeString(in.Body.Caution)
	if err != nil {
		return apiDone{}, fault.Field("caution", "Send the member caution of the finding as it was given.")
	}
	sid := id.Session(in.Session)
	if err := c.Desk.Accept(c.ctx, c.Actor, sid, string(subject), strings.TrimSpace(in.Body.Reason), in.Body.Own, c.formKey(in.Key)); err != nil {
		return apiDone{}, err
	}
	return c.stands(sid)
}
