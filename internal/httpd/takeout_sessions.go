package httpd

import (
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/booking"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/records"
	"rungbook/internal/session"
	"rungbook/internal/verdict"
	"rungbook/web"
)

// sessionFields narrow every list of sessions.
var sessionFields = []string{"from", "until", "rig", "station", "intake", "instructor"}

func sessionLists() []takenList {
	return []takenList{
		{name: "sessions", title: "Sessions", action: access.SeeWeek, says: "A session with its people", asks: sessionFields, write: sessionList},
		{name: "attendance", title: "Attendance", action: access.SeeSession, says: "A person’s time in a session, as signed", asks: sessionFields, write: attendanceList},
		{name: "results", title: "Results", action: access.SeeSession, says: "What a trainee showed of an outcome", asks: sessionFields, write: resultList},
		{name: "hours", title: "Hours", action: access.SeeSession, says: "A trainee’s credited minutes in a session", asks: sessionFields, write: hourList},
		{name: "attention", title: "Needs attention", action: access.SeeAttention, says: "A session that stops, waits, or is over and not signed", write: attentionList},
	}
}

// sessionFilter reads which sessions are asked for: without days, this week's.
func (v *visit) sessionFilter() (records.SessionFilter, error) {
	q, bad := v.r.URL.Query(), fault.Fields{}
	f := records.SessionFilter{From: dayField(q, "from", bad), Until: dayField(q, "until", bad), Rig: id.Rig(q.Get("rig")), Station: id.Station(q.Get("station")),
		Intake: id.Intake(q.Get("intake")), Staff: id.Person(q.Get("instructor"))}
	return wholeWeeks(f, v.today, bad)
}

// wholeWeeks fills in the days that were not said: of the week of the other day, or of
// today's.
func wholeWeeks(f records.SessionFilter, today civil.Day, bad fault.Fields) (records.SessionFilter, error) {
	if f.From == 0 {
		f.From = today.Monday()
		if f.Until != 0 {
			f.From = f.Until.Monday()
		}
	}
	if f.Until == 0 {
		f.Until = f.From.Monday() + 6
	}
	if f.Until < f.From && len(bad) == 0 {
		bad.Add("until", "The last day lies before the first. Give a later one.")
	}
	return f, bad.Err()
}

// sessionFilters says which sessions a file holds.
func (v *visit) sessionFilters(f records.SessionFilter) []string {
	return filters("From", web.FullDay(f.From), "To", web.FullDay(f.Until), "Rig", v.rigName(f.Rig), "Station", v.stationName(f.Station),
		"Intake", v.intakeName(f.Intake), "Instructor", orID(v.ref.StaffName(f.Staff), f.Staff))
}

// ofSessions writes a list with rows for each session.
func (v *visit) ofSessions(t *taking, heads []string, row func(records.SessionRow) error) error {
	f, err := v.sessionFilter()
	if err != nil {
		return err
	}
	return v.fromRecords(t, func(l *records.Lists) error {
		if err := t.begin(v, t.list.title+" "+f.From.String()+" to "+f.Until.String(), v.sessionFilters(f)...); err != nil {
			return err
		}
		if err := t.heads(heads...); err != nil {
			return err
		}
		for r, err := range l.Sessions(f) {
			if err == nil {
				err = row(r)
			}
			if err != nil {
				return err
			}
		}
		return nil
	})
}

func sessionList(v *visit, t *taking) error {
	return v.ofSessions(t, []string{"Start", "End", "Exercise", "Rig", "Station", "State", "To note", "Station shut", "Trial", "Trainees", "Instructors", "Rescuers", "Others", "Session"}, func(r records.SessionRow) error {
		return t.out.Row(v.at(r.Start), v.at(r.End), r.Exercise, r.Rig, r.Station, v.stateNow(r.Session), v.toNote(r), yes(r.Shut), yes(r.Trial),
			len(r.Trainees), namesIn(r, r.Instructors), namesIn(r, r.Rescuers), namesIn(r, r.Others), string(r.ID))
	})
}

func namesIn[T ~string](r records.SessionRow, list []T) string {
	names := make([]string, len(list))
	for i, who := range list {
		names[i] = r.Name(string(who))
	}
	return strings.Join(names, ", ")
}

func attendanceList(v *visit, t *taking) error {
	return v.ofSessions(t, []string{"Session start", "Exercise", "Rig", "Station", "Person", "Part", "Attendance", "Present from", "Present to", "Person id", "Session"}, func(r records.SessionRow) error {
		for _, p := range r.Presences {
			if err := t.out.Row(v.at(r.Start), r.Exercise, r.Rig, r.Station, r.Name(p.Who), string(p.Part), spaced(p.Mark), v.at(p.Start), v.at(p.End), string(r.Person(p.Who)), string(r.ID)); err != nil {
				return err
			}
		}
		return nil
	})
}

func resultList(v *visit, t *taking) error {
	return v.ofSessions(t, []string{"Session start", "Exercise", "Trainee", "Outcome", "Result", "Signed by", "Person id", "Session"}, func(r records.SessionRow) error {
		for _, x := range r.Results.Results {
			o, _ := v.ref.Outcomes.On(x.Outcome, v.words.Zone.DayOf(r.Start))
			if err := t.out.Row(v.at(r.Start), r.Exercise, r.Name(string(x.Trainee)), v.ref.Text(o.Name), spaced(x.Result), r.Name(string(r.Results.By)), string(r.Person(string(x.Trainee))), string(r.ID)); err != nil {
				return err
			}
		}
		return nil
	})
}

func hourList(v *visit, t *taking) error {
	return v.ofSessions(t, []string{"Session start", "Trainee", "Exercise", "Rig", "Minutes credited", "Person id", "Session"}, func(r records.SessionRow) error {
		for _, c := range r.Credited {
			if err := t.out.Row(v.at(r.Start), r.Name(string(c.Trainee)), r.Exercise, r.Rig, int64(c.Minutes), string(r.Person(string(c.Trainee))), string(r.ID)); err != nil {
				return err
			}
		}
		return nil
	})
}

func attentionList(v *visit, t *taking) error {
	a, err := v.Desk.Attention(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	v.standAt(a.Head, a.Ref)
	if err := t.begin(v, "Needs attention "+v.today.String(), filters()...); err != nil {
		return err
	}
	if err := t.heads("What", "Why", "Field", "Start", "End", "Exercise", "Station", "State", "Instructors", "Session"); err != nil {
		return err
	}
	row := func(what, why, field string, s session.Session) error {
		var names []string
		for _, p := range s.Instructors {
			names = append(names, v.ref.StaffName(p))
		}
		day := v.words.Zone.DayOf(s.Start)
		return t.out.Row(what, why, field, v.at(s.Start), v.at(s.End), v.exerciseName(s.Exercise, day), v.stationAt(s.Station, day).Text, stateWords(s.State), strings.Join(names, ", "), string(s.ID))
	}
	return attentionRows(v, a, row)
}

// attentionRows tells what needs attention, in the order of its page.
func attentionRows(v *visit, a booking.Attention, row func(what, why, field string, s session.Session) error) error {
	for _, b := range a.Broken {
		why := capital(b.Finding.Found.In(v.styleOf(b.Slice))) + "; required: " + b.Finding.Required.In(v.styleOf(b.Slice))
		for _, s := range orNone(b.Sessions) {
			if err := row("stops", why, "", s); err != nil {
				return err
			}
		}
	}
	for _, w := range a.Waiting {
		waits := w.Waits
		if len(waits) == 0 {
			waits = []verdict.Finding{{}}
		}
		for _, x := range waits {
			why, field := "every caution is accepted; it is still to be booked", ""
			if x.Rule != "" {
				why, field = capital(x.Found.In(v.styleOf(a.Slice))), planning.FieldName(x.Field)
			}
			if err := row("waits", why, field, w.Session); err != nil {
				return err
			}
		}
	}
	for _, list := range []struct {
		what string
		of   []session.Session
	}{{"over and not signed", a.Unsigned}, {"its local time has changed", a.Shifted}} {
		for _, s := range list.of {
			if err := row(list.what, "", "", s); err != nil {
				return err
			}
		}
	}
	return nil
}

// orNone gives a finding about nobody's session a row of its own.
func orNone(list []session.Session) []session.Session {
	if len(list) == 0 {
		return []session.Session{{}}
	}
	return slices.Clone(list)
}

// weekFilterOf reads the filter of a week's board from the address.
func (v *visit) weekFilterOf() booking.Filter {
	q := v.r.URL.Query()
	return booking.Filter{Rig: id.Rig(q.Get("rig")), Intake: id.Intake(q.Get("intake")), Instructor: id.Person(q.Get("instructor"))}
}
