package store

import (
	"database/sql"
	"slices"
	"strings"

	"github.com/go-json-experiment/json"

	"rungbook/internal/civil"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/session"
)

// deriveSession lists who takes part, and looks at completions again.
func deriveSession(p *projector, f fact, s session.Session) error {
	list, err := idList(slices.Concat(ids(s.Trainees...), ids(s.Instructors...), ids(s.Rescuers...), ids(s.Others...)))
	if err != nil {
		return err
	}
	err = p.exec(`INSERT INTO session_person (who, day, session) SELECT w.value, ?2, ?3 FROM json_each(?1) AS w
		WHERE true ON CONFLICT (who, day, session) DO NOTHING`, list, dayNumber(s.Start), string(s.ID))
	if err != nil {
		return err
	}
	if f.entry.Rev == 1 {
		return nil // nothing was signed for it yet
	}
	return p.complete(f, s.ID)
}

// dayNumber is the day of session_person: those of all zones are numbered alike, so
// that a yard that changes its zone keeps them.
func dayNumber(t civil.Instant) int64 { return int64(t) / (24 * 60) }

// deriveAttendance lists which trainees were present, and looks at completions again.
func deriveAttendance(p *projector, f fact, a session.Attendance) error {
	var there []string
	for _, one := range a.Presences {
		if one.Part == session.AsTrainee && one.Mark != session.DidNotCome {
			there = append(there, one.Who)
		}
	}
	list, err := idList(there)
	if err != nil {
		return err
	}
	err = p.exec(`INSERT INTO presence (who, session) SELECT w.value, ?2 FROM json_each(?1) AS w
		WHERE true ON CONFLICT (who, session) DO NOTHING`, list, string(a.Session))
	if err != nil {
		return err
	}
	p.attendance = put[session.Attendance]{f.index, &session.Attendance{Session: a.Session, Presences: slices.Clone(a.Presences)}}
	return p.complete(f, a.Session)
}

// deriveResults looks at completions again.
func deriveResults(p *projector, f fact, r session.Results) error {
	p.results = put[session.Results]{f.index, &session.Results{Session: r.Session, By: r.By, Results: slices.Clone(r.Results)}}
	return p.complete(f, r.Session)
}

// signed is what stands of one session on some days: the session, its
// attendance and its results; nil where there is none.
type signed struct {
	session    *session.Session
	attendance *session.Attendance
	results    *session.Results
}

// whole reports whether all three are there; else nobody completed anything.
func (s signed) whole() bool { return s.session != nil && s.attendance != nil && s.results != nil }

// completed returns the trainees who completed the exercise, sorted; the rule
// itself is session.Completed.
func (s signed) completed(e *curriculum.Exercise) []id.Trainee {
	if e == nil || !s.whole() {
		return nil
	}
	var out []id.Trainee
	for _, t := range s.session.Trainees {
		if session.Completed(*s.session, *s.attendance, *s.results, *e, t) {
			out = append(out, t)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// signedText lists, for a statement, the states of a session that was signed.
var signedText = func() string {
	var out []string
	for _, s := range session.States() {
		if s.Signed() {
			out = append(out, "'"+string(s)+"'")
		}
	}
	return strings.Join(out, ", ")
}()

// complete derives the completions of a session anew for all days. The three
// records each have their own days, so each stretch of days is looked at alone.
// What the exercise asks is taken as known when the last of the three was put: a
// later version of the exercise takes nothing from who completed it before.
func (p *projector) complete(f fact, of id.Session) error {
	var own put[session.Session]
	if s, ok := f.record.(session.Session); ok {
		own = put[session.Session]{f.index, &s}
	}
	sessions, err := spansOf(p, own, `session WHERE id = ?1 AND +state IN (`+signedText+`)`, string(of))
	if err != nil {
		return err
	}
	if own.value == nil && len(sessions) == 0 {
		return nil // nothing is completed before the signature: what was, ended with the session's own entry
	}
	err = p.exec(`UPDATE completion SET until_entry = ?1 WHERE session = ?2 AND until_entry = `+openText, f.index, string(of))
	if err != nil || len(sessions) == 0 {
		return err
	}
	results, err := spansOf(p, p.results, `results WHERE id = ?1`, string(of))
	if err != nil || len(results) == 0 {
		return err
	}
	attended, err := spansOf(p, p.attendance, `attendance WHERE id = ?1`, string(of))
	if err != nil {
		return err
	}
	days := slices.Concat(starts(sessions), starts(attended), starts(results))
	for _, s := range sessions { // the next row of a session may not be signed
		days = append(days, s.until)
	}
	slices.Sort(days)
	days = slices.DeleteFunc(slices.Compact(days), func(day string) bool { return day == openDay })
	for i, from := range days {
		until := openDay
		if i+1 < len(days) {
			until = days[i+1]
		}
		if err := p.completeOn(f, signed{on(sessions, from), on(attended, from), on(results, from)}, from, until); err != nil {
			return err
		}
	}
	return nil
}

// completeOn derives the completions of one stretch of days.
func (p *projector) completeOn(f fact, s signed, from, until string) error {
	if !s.whole() {
		return nil // and the exercise need not be read to say so
	}
	exercise, err := p.exerciseOf(f, s.session)
	if err != nil {
		return err
	}
	who := s.completed(exercise)
	if len(who) == 0 {
		return nil
	}
	list, err := json.Marshal(who)
	if err != nil {
		return err
	}
	return p.exec(`INSERT INTO completion (session, trainee, exercise, finish, since_entry, until_entry, from_day, until_day)
		SELECT ?1, t.value, ?3, ?4, ?5, ?6, ?7, ?8 FROM json_each(?2) AS t`,
		string(s.session.ID), string(list), string(s.session.Exercise), int64(s.session.End), f.index, int64(open), from, until)
}

// exerciseOf returns a session's exercise in the version of the session's own
// local day, nil for none.
func (p *projector) exerciseOf(f fact, s *session.Session) (*curriculum.Exercise, error) {
	zone, err := p.zoneOf(f)
	if err != nil {
		return nil, err
	}
	of := string(s.Exercise)
	versions, ok := p.exercises[of]
	if !ok {
		versions, err = spansOf(p, put[curriculum.Exercise]{}, `reference WHERE kind = 'exercise' AND id = ?1`, of)
		if err != nil {
			return nil, err
		}
		p.exercises[of] = versions
	}
	return on(versions, zone.DayOf(s.Start).String()), nil
}

// zoneOf returns the zone that the fact's entry was written in.
func (p *projector) zoneOf(f fact) (civil.Zone, error) {
	_, name, err := civil.ParseStamp(f.entry.RecordedAt)
	if err != nil {
		return civil.Zone{}, err
	}
	if z, ok := p.zones[name]; ok {
		return z, nil
	}
	z, err := civil.LoadZone(name)
	if err == nil {
		p.zones[name] = z
	}
	return z, err
}

// datedBody is a value with the days it counts for.
type datedBody[T any] struct {
	from, until string
	value       T
}

func starts[T any](spans []datedBody[T]) (out []string) {
	for _, s := range spans {
		out = append(out, s.from)
	}
	return out
}

func on[T any](spans []datedBody[T], day string) *T {
	for i, s := range spans {
		if s.from <= day && day < s.until {
			return &spans[i].value
		}
	}
	return nil
}

// A put is a record that was just derived, with its entry.
type put[T any] struct {
	entry int64
	value *T // nil = none
}

// spansOf returns the standing rows of one record by their days, decoded; the one
// just put is not decoded again. from names its table and rows.
func spansOf[T any](p *projector, just put[T], from, id string) (out []datedBody[T], err error) {
	err = p.c.each(p.ctx, func(rows *sql.Rows) error {
		var d datedBody[T]
		var entry int64
		var body sql.RawBytes
		if err := rows.Scan(&entry, &d.from, &d.until, &body); err != nil {
			return err
		}
		if just.value != nil && entry == just.entry {
			d.value = *just.value
		} else if d.value, err = decodeBody[T](body); err != nil {
			return err
		}
		out = append(out, d)
		return nil
	}, `SELECT entry, from_day, until_day, body FROM `+from+` AND until_entry = `+openText+` ORDER BY from_day`, id)
	return out, err
}
