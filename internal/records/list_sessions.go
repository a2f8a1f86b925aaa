package records

import (
	"cmp"
	"iter"
	"slices"
	"strconv"
	"strings"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/session"
)

// SessionFilter chooses sessions that start on days From … Until, both counted;
// empty members choose all.
type SessionFilter struct {
	From, Until civil.Day
	Rig         id.Rig
	Station     id.Station
	Intake      id.Intake // one of its trainees is in it
	Staff       id.Person // teaches or stands by
}

// SessionRow is a session with what its day's records and those who signed it say.
type SessionRow struct {
	session.Session
	Exercise string // name, as are the next two
	Rig      string
	Station  string
	// Presences are those signed; under the filter of an intake its trainees' alone.
	Presences []session.Presence
	Results   session.Results // those of an intake's trainees alone, under its filter
	Credited  []Credit        // by trainee, in the order of their presences
	Shut      bool            // it waits, and its station can't be used in its time
	names     map[string]string
	persons   map[string]id.Person // of trainees
}

// Credit is the time for which a trainee was present, pauses taken off.
type Credit struct {
	Trainee id.Trainee
	Minutes civil.Minutes
}

// Name is the name of a trainee or person in it, "" if erased.
func (r SessionRow) Name(who string) string { return r.names[who] }

// Person is the person behind a trainee or person in it: two may have one name.
func (r SessionRow) Person(who string) id.Person {
	if p, ok := r.persons[who]; ok {
		return p
	}
	return id.Person(who)
}

// stretch is how many days of sessions are read in one go.
const stretch = 31

// Sessions lists sessions by start.
func (l *Lists) Sessions(f SessionFilter) iter.Seq2[SessionRow, error] {
	return func(yield func(SessionRow, error) bool) {
		of, err := l.traineesOf(f.Intake)
		for from := f.From; err == nil && from <= f.Until; from += stretch {
			var rows []SessionRow
			if rows, err = l.sessionsOn(f, of, from, min(f.Until, from+stretch-1)); err != nil {
				break
			}
			for _, r := range rows {
				if !yield(r, nil) {
					return
				}
			}
		}
		if err != nil {
			yield(SessionRow{}, err)
		}
	}
}

// Key names a session's place in the order of a list, so that a later page goes on
// behind it whatever became of it since.
func (r SessionRow) Key() string {
	return strings.Join([]string{strconv.FormatInt(int64(r.Start), 10), string(r.Session.Station), string(r.ID)}, keyJoin)
}

// keyJoin parts a key; no id holds it.
const keyJoin = "|"

// SessionsAfter lists what follows the place that a key names, "" for all. Error:
// fault.Invalid for a key that is none.
func (l *Lists) SessionsAfter(f SessionFilter, key string) (iter.Seq2[SessionRow, error], error) {
	if key == "" {
		return l.Sessions(f), nil
	}
	parts := strings.Split(key, keyJoin)
	start, err := strconv.ParseInt(parts[0], 10, 64)
	if first, end := l.Zone.StartOfDay(f.From), l.Zone.StartOfDay(f.Until+1); err != nil || len(parts) != 3 || start < int64(first) || start >= int64(end) {
		return nil, fault.Field("after", "That is not a page of this list.")
	}
	f.From = l.Zone.DayOf(civil.Instant(start))
	return func(yield func(SessionRow, error) bool) {
		for r, err := range l.Sessions(f) {
			behind := cmp.Or(cmp.Compare(int64(r.Start), start), cmp.Compare(string(r.Session.Station), parts[1]), cmp.Compare(string(r.ID), parts[2])) > 0
			if (behind || err != nil) && !yield(r, err) {
				return
			}
		}
	}, nil
}

// traineesOf are those of an intake; nil for none asked for.
func (l *Lists) traineesOf(of id.Intake) (map[string]bool, error) {
	if of == "" {
		return nil, nil
	}
	list, err := l.view.TraineesOfIntake(of)
	out := map[string]bool{}
	for _, t := range list {
		out[string(t.ID)] = true
	}
	return out, err
}

func (l *Lists) sessionsOn(f SessionFilter, of map[string]bool, from, until civil.Day) ([]SessionRow, error) {
	first, end := l.Zone.StartOfDay(from), l.Zone.StartOfDay(until+1)
	list, err := l.view.SessionsBetween(first, end)
	if err != nil {
		return nil, err
	}
	var out []SessionRow
	for _, s := range list {
		if row := l.sessionRow(s); s.Start >= first && l.chosen(f, of, s) {
			out = append(out, row)
		}
	}
	slices.SortStableFunc(out, func(a, b SessionRow) int { return cmp.Compare(a.Start, b.Start) })
	if err := l.fillShut(out, from, until); err != nil {
		return nil, err
	}
	return out, l.fillSessions(out, of)
}

// fillShut marks the sessions that wait on a station that can't be used, as the board
// of a week does.
func (l *Lists) fillShut(rows []SessionRow, from, until civil.Day) error {
	waits := func(r SessionRow) bool { return r.State.ToRun() }
	if !slices.ContainsFunc(rows, waits) {
		return nil
	}
	yard, err := (&planning.Builder{}).Yard(l.view, from, until)
	if err != nil {
		return err
	}
	for i, r := range rows {
		rows[i].Shut = waits(r) && slices.ContainsFunc(yard.Shut(r.Session.Station), func(x planning.Shut) bool {
			return x.Overlaps(civil.Period{Start: r.Start, End: r.End})
		})
	}
	return nil
}

func (l *Lists) sessionRow(s session.Session) SessionRow {
	day := l.Zone.DayOf(s.Start)
	e, _ := l.Ref.Exercises.On(s.Exercise, day)
	st, _ := l.Ref.Stations.On(s.Station, day)
	r, _ := l.Ref.Rigs.On(st.Rig, day)
	return SessionRow{Session: s, Exercise: l.Ref.Text(e.Name), Station: l.Ref.Text(st.Name), Rig: l.Ref.Text(r.Name)}
}

// chosen reports whether a filter takes a session, its days aside. of are the
// trainees of the filter's intake.
func (l *Lists) chosen(f SessionFilter, of map[string]bool, s session.Session) bool {
	st, _ := l.Ref.Stations.On(s.Station, l.Zone.DayOf(s.Start))
	return (f.Rig == "" || st.Rig == f.Rig) && (f.Station == "" || s.Station == f.Station) &&
		(f.Staff == "" || slices.Contains(s.Instructors, f.Staff) || slices.Contains(s.Rescuers, f.Staff)) &&
		(f.Intake == "" || slices.ContainsFunc(s.Trainees, func(t id.Trainee) bool { return of[string(t)] }))
}

// fillSessions adds names, attendance and results.
func (l *Lists) fillSessions(rows []SessionRow, of map[string]bool) error {
	at := make(map[id.Session]*SessionRow, len(rows))
	var sessions []id.Session
	var trainees []id.Trainee
	var persons []id.Person
	for i := range rows {
		r := &rows[i]
		at[r.ID], sessions = r, append(sessions, r.ID)
		trainees = append(trainees, r.Trainees...)
		persons = slices.Concat(persons, r.Instructors, r.Rescuers, r.Others)
	}
	attendance, err := l.view.Attendance(sessions...)
	if err != nil {
		return err
	}
	for _, a := range attendance {
		r := at[a.Session]
		for _, p := range a.Presences {
			if p.Part == session.AsTrainee {
				trainees = append(trainees, id.Trainee(p.Who))
			} else {
				persons = append(persons, id.Person(p.Who))
			}
			if of == nil || of[p.Who] {
				r.Presences = append(r.Presences, p)
			}
		}
		r.Credited = l.credits(*r)
	}
	results, err := l.view.Results(sessions...)
	if err != nil {
		return err
	}
	for _, list := range results {
		persons = append(persons, list.By)
		list.Results = slices.DeleteFunc(list.Results, func(x session.Result) bool { return of != nil && !of[string(x.Trainee)] })
		at[list.Session].Results = list
	}
	names, err := l.namesOf(trainees, persons)
	if err != nil {
		return err
	}
	enrolments, err := l.view.Trainees(trainees...)
	behind := map[string]id.Person{}
	for _, t := range enrolments {
		behind[string(t.ID)] = t.Person
	}
	for i := range rows {
		rows[i].names, rows[i].persons = names, behind
	}
	return err
}

// credits are the minutes of a session's trainees. A session stood down credits
// nothing.
func (l *Lists) credits(r SessionRow) (out []Credit) {
	if r.State == session.StoodDown {
		return nil
	}
	e, _ := l.Ref.Exercises.On(r.Session.Exercise, l.Zone.DayOf(r.Start))
	for _, p := range r.Presences {
		t := id.Trainee(p.Who)
		if p.Part != session.AsTrainee || slices.ContainsFunc(out, func(c Credit) bool { return c.Trainee == t }) {
			continue
		}
		theirs := slices.DeleteFunc(slices.Clone(r.Presences), func(x session.Presence) bool { return x.Part != p.Part || x.Who != p.Who })
		if m := session.PresentMinutes(theirs, r.Held(e)); m > 0 {
			out = append(out, Credit{t, m})
		}
	}
	return out
}

func (l *Lists) namesOf(trainees []id.Trainee, persons []id.Person) (map[string]string, error) {
	out := map[string]string{}
	ofTrainees, err := l.view.TraineeNames(trainees...)
	if err != nil {
		return nil, err
	}
	ofPersons, err := l.view.PersonNames(persons...)
	for t, name := range ofTrainees {
		out[string(t)] = name
	}
	for p, name := range ofPersons {
		out[string(p)] = name
	}
	return out, err
}

// compareText compares a pair of texts, and where those are equal the next.
func compareText(pairs ...string) int {
	for i := 0; i+1 < len(pairs); i += 2 {
		if c := cmp.Compare(pairs[i], pairs[i+1]); c != 0 {
			return c
		}
	}
	return 0
}
