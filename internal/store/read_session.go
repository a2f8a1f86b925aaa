package store

import (
	"cmp"
	"database/sql"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/session"
)

// Session returns one session. Error: fault.NotFound.
func (v *View) Session(of id.Session) (Row[session.Session], error) {
	return row[session.Session](v, "session", "session", string(of))
}

// SessionsBetween returns the sessions in every state that overlap [from, to),
// by start, station and id.
func (v *View) SessionsBetween(from, to civil.Instant) ([]session.Session, error) {
	return v.sessionsIn(`SELECT s.entry, s.id FROM session AS s
		WHERE s.start > ?3 AND s.start < ?4 AND s.finish > ?5 AND `+v.at("s"),
		int64(from.Add(-longestSession)), int64(to), int64(from))
}

// SessionsOf returns the sessions that overlap [from, to) in which any of the
// people takes part: persons in any part, as trainees too, and trainees.
func (v *View) SessionsOf(persons []id.Person, trainees []id.Trainee, from, to civil.Instant) ([]session.Session, error) {
	who, err := v.whoOf(persons, trainees)
	if err != nil {
		return nil, err
	}
	return v.sessionsOf(who, from.Add(-longestSession), to, from)
}

// SessionsOfTrainees returns every session of the enrolments.
func (v *View) SessionsOfTrainees(trainees []id.Trainee) ([]session.Session, error) {
	const everFrom, everTo = civil.Instant(0), civil.Instant(1) << 40
	return v.sessionsOf(ids(trainees...), everFrom, everTo, everFrom)
}

// sessionsOf returns sessions that start in (after, to), end later than from,
// and in which any of who takes part.
func (v *View) sessionsOf(who []string, after, to, from civil.Instant) ([]session.Session, error) {
	if len(who) == 0 {
		return nil, nil
	}
	want, err := idList(who)
	if err != nil {
		return nil, err
	}
	// The list holds sessions that had any of them in any revision; which of
	// those have them as they stand is quicker seen in the decoded session. The
	// plus keeps the list in the lead, and the index of starts out.
	found, err := v.sessionsIn(`SELECT s.entry, s.id FROM session AS s
		WHERE `+v.at("s")+` AND s.id IN (
			SELECT w.session FROM json_each(?3) AS want CROSS JOIN session_person AS w
			ON w.who = want.value AND w.day >= ?7 AND w.day <= ?8)
			AND +s.start > ?4 AND +s.start < ?5 AND s.finish > ?6`,
		want, int64(after), int64(to), int64(from), dayNumber(after), dayNumber(to))
	if err != nil {
		return nil, err
	}
	theirs := make(map[string]bool, len(who))
	for _, one := range who {
		theirs[one] = true
	}
	return slices.DeleteFunc(found, func(s session.Session) bool {
		return s.Start >= to || s.End <= from || !takesPart(s, theirs)
	}), nil
}

func takesPart(s session.Session, who map[string]bool) bool {
	return anyOf(s.Trainees, who) || anyOf(s.Instructors, who) || anyOf(s.Rescuers, who) || anyOf(s.Others, who)
}

func anyOf[T ~string](in []T, who map[string]bool) bool {
	return slices.ContainsFunc(in, func(one T) bool { return who[string(one)] })
}

// whoOf returns persons, trainees, and the enrolments of the persons.
func (v *View) whoOf(persons []id.Person, trainees []id.Trainee) ([]string, error) {
	who := append(ids(persons...), ids(trainees...)...)
	if len(persons) == 0 {
		return who, nil
	}
	want, err := idList(persons)
	if err != nil {
		return nil, err
	}
	enrolments, err := list(v, scanText, `SELECT t.id FROM json_each(?3) AS want CROSS JOIN trainee AS t
		ON t.person = want.value WHERE `+v.at("t"), want)
	return append(who, enrolments...), err
}

func scanText(rows *sql.Rows) (s string, err error) {
	err = rows.Scan(&s)
	return s, err
}

// NotSignedBefore returns the sessions that ended at t or before and are still
// booked or under way, by start.
func (v *View) NotSignedBefore(t civil.Instant) ([]session.Session, error) {
	return v.sessionsIn(`SELECT s.entry, s.id FROM session AS s
		WHERE s.state IN ('booked', 'under-way') AND s.start < ?3 AND s.finish <= ?3 AND `+v.at("s"), int64(t))
}

// UnderWay returns the sessions that are under way, by start.
func (v *View) UnderWay() ([]session.Session, error) {
	return v.sessionsIn(`SELECT s.entry, s.id FROM session AS s WHERE s.state = 'under-way' AND ` + v.at("s"))
}

// BookedAfter returns the sessions that start after t and are pencilled or
// booked, by start.
func (v *View) BookedAfter(t civil.Instant) ([]session.Session, error) {
	return v.sessionsIn(`SELECT s.entry, s.id FROM session AS s
		WHERE s.state IN ('pencilled', 'booked') AND s.start > ?3 AND `+v.at("s"), int64(t))
}

// sessionsIn returns the sessions of the entries that a query names, by start,
// station and id. What was decoded before is not read again; each caller gets
// lists of its own.
func (v *View) sessionsIn(query string, args ...any) ([]session.Session, error) {
	out := make([]session.Session, 0, 64)
	var unread []id.Session
	err := v.each(func(rows *sql.Rows) error {
		var entry int64
		var of id.Session
		if err := rows.Scan(&entry, &of); err != nil {
			return err
		}
		if s, ok := v.s.sessions.get(entry); ok && entry < v.saved {
			out = append(out, ownLists(s))
		} else {
			unread = append(unread, of)
		}
		return nil
	}, query, args...)
	if err != nil {
		return nil, err
	}
	more, err := v.sessionsRead(unread)
	if err != nil {
		return nil, err
	}
	out = append(out, more...)
	slices.SortFunc(out, func(a, b session.Session) int {
		return cmp.Or(cmp.Compare(a.Start, b.Start), cmp.Compare(a.Station, b.Station), cmp.Compare(a.ID, b.ID))
	})
	return out, nil
}

// sessionsRead decodes sessions, in no order, and keeps those that are committed.
func (v *View) sessionsRead(of []id.Session) ([]session.Session, error) {
	if len(of) == 0 {
		return nil, nil
	}
	want, err := idList(of)
	if err != nil {
		return nil, err
	}
	var body sql.RawBytes
	return list(v, func(rows *sql.Rows) (session.Session, error) {
		var entry int64
		if err := rows.Scan(&entry, &body); err != nil {
			return session.Session{}, err
		}
		s, err := decodeBody[session.Session](body)
		if err == nil && entry < v.saved {
			v.s.sessions.put(entry, ownLists(s))
		}
		return s, err
	}, `SELECT s.entry, s.body FROM json_each(?3) AS want CROSS JOIN session AS s ON s.id = want.value AND `+v.at("s"), want)
}

func ownLists(s session.Session) session.Session {
	s.Trainees, s.Instructors = slices.Clone(s.Trainees), slices.Clone(s.Instructors)
	s.Rescuers, s.Others, s.Parts = slices.Clone(s.Rescuers), slices.Clone(s.Others), slices.Clone(s.Parts)
	return s
}

// Revision is one state of a record as it was put, and by whom.
type Revision[T any] struct {
	Value      T
	Rev        int64
	Entry      int64
	Act        string
	Actor      id.Person
	Role       string
	For        string
	RecordedAt civil.Instant
	HappenedAt civil.Instant
	From       civil.Day // the day it counts from
}

// SessionHistory returns every revision of a session known to the view.
func (v *View) SessionHistory(of id.Session) ([]Revision[session.Session], error) {
	return revisions[session.Session](v, "session", string(of))
}

func revisions[T any](v *View, kind, of string) ([]Revision[T], error) {
	entries, err := v.entriesOf(kind, of)
	if err != nil {
		return nil, err
	}
	var out []Revision[T]
	for _, n := range entries {
		value, err := decodeBody[T](n.entry.Body)
		if err != nil {
			return nil, err
		}
		e := n.entry
		out = append(out, Revision[T]{value, e.Rev, n.index, e.Act, e.Actor, e.Role, e.For, e.Recorded(), e.Happened(), e.EffectiveDay})
	}
	return out, nil
}

// Acceptances returns the accepted cautions of sessions.
func (v *View) Acceptances(of ...id.Session) ([]session.Acceptance, error) {
	return rowsFor[session.Acceptance](v, of, `acceptance AS r ON r.session = want.value WHERE `+v.at("r")+` ORDER BY r.session, r.entry`)
}

// Attendance returns the attendance signed for sessions.
func (v *View) Attendance(of ...id.Session) ([]session.Attendance, error) {
	return rowsFor[session.Attendance](v, of, `attendance AS r ON r.id = want.value WHERE `+v.at("r")+` ORDER BY r.id`)
}

// Roll returns the attendance of one session as it stands with its newest
// revision; an empty one and 0 where none was called.
func (v *View) Roll(of id.Session) (session.Attendance, int64, error) {
	r, err := row[session.Attendance](v, "attendance", "attendance", string(of))
	if fault.Of(err) == fault.NotFound {
		return session.Attendance{Session: of}, 0, nil
	}
	return r.Value, r.Rev, err
}

// Assessed returns the results of one session as they stand with their newest
// revision; empty ones and 0 where none were noted.
func (v *View) Assessed(of id.Session) (session.Results, int64, error) {
	r, err := row[session.Results](v, "results", "results", string(of))
	if fault.Of(err) == fault.NotFound {
		return session.Results{Session: of}, 0, nil
	}
	return r.Value, r.Rev, err
}

// LastEntry returns the newest entry of a record. Error: fault.NotFound.
func (v *View) LastEntry(kind, of string) (index int64, err error) {
	found, err := v.one([]any{&index}, `SELECT idx FROM entry WHERE kind = ?3 AND id = ?4 AND idx <= ?1 ORDER BY rev DESC LIMIT 1`, kind, of)
	if err == nil && !found {
		err = fault.New(fault.NotFound, "There is no %s %s.", kind, of)
	}
	return index, err
}

// OwnCode returns the hash of the code that a person countersigns with, and its
// revision; "" and 0 where they chose none, "" where it was erased.
func (v *View) OwnCode(of id.Person) (hash string, rev int64, err error) {
	r, err := row[people.OwnCode](v, "own-code", "code", string(of))
	if fault.Of(err) == fault.NotFound {
		return "", 0, nil
	}
	if err != nil {
		return "", 0, err
	}
	texts, err := v.Texts(r.Value.Hash)
	return texts[r.Value.Hash], r.Rev, err
}

// OwnCodeHistory returns every code that a person chose, the first one first.
func (v *View) OwnCodeHistory(of id.Person) ([]Revision[people.OwnCode], error) {
	return revisions[people.OwnCode](v, "own-code", string(of))
}

// Results returns the results signed for sessions.
func (v *View) Results(of ...id.Session) ([]session.Results, error) {
	return rowsFor[session.Results](v, of, `results AS r ON r.id = want.value WHERE `+v.at("r")+` ORDER BY r.id`)
}
