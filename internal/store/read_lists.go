package store

import (
	"database/sql"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/ledger"
	"rungbook/internal/session"
)

// Numbered is an entry with its index in the ledger.
type Numbered struct {
	Index int64
	ledger.Entry
}

// EntriesFrom returns entries in their order from an index on, at most limit.
func (v *View) EntriesFrom(first int64, limit int) ([]Numbered, error) {
	return list(v, func(rows *sql.Rows) (n Numbered, err error) {
		var raw sql.RawBytes
		if err := rows.Scan(&n.Index, &raw); err != nil {
			return n, err
		}
		n.Entry, err = ledger.Decode(append([]byte(nil), raw...))
		return n, err
	}, `SELECT idx, bytes FROM entry WHERE idx >= ?3 AND idx <= ?1 ORDER BY idx LIMIT ?4`, first, limit)
}

// RevisionsOfSessions returns the number of each session's newest revision known,
// that by which it was struck out too; 0 for none.
func (v *View) RevisionsOfSessions(of ...id.Session) (map[id.Session]int64, error) {
	out := make(map[id.Session]int64, len(of))
	if len(of) == 0 {
		return out, nil
	}
	want, err := idList(of)
	if err != nil {
		return nil, err
	}
	err = v.each(func(rows *sql.Rows) error {
		var s id.Session
		var rev int64
		err := rows.Scan(&s, &rev)
		out[s] = rev
		return err
	}, `SELECT want.value, (SELECT coalesce(max(e.rev), 0) FROM entry AS e WHERE e.kind = 'session' AND e.id = want.value AND e.idx <= ?1)
		FROM json_each(?3) AS want`, want)
	return out, err
}

// EverBetween returns every revision of sessions, those that no longer stand too,
// whose time overlaps [from, to), by session and revision.
func (v *View) EverBetween(from, to civil.Instant) ([]session.Session, error) {
	return list(v, scanBody[session.Session], `SELECT s.body FROM session AS s
		WHERE s.start > ?3 AND s.start < ?4 AND s.finish > ?5 AND s.since_entry <= ?1 ORDER BY s.id, s.rev`,
		int64(from.Add(-longestSession)), int64(to), int64(from))
}

// EverOf is EverBetween for the revisions in which a person took part, as a
// trainee too.
func (v *View) EverOf(p id.Person, from, to civil.Instant) ([]session.Session, error) {
	who, err := v.whoOf([]id.Person{p}, nil)
	if err != nil {
		return nil, err
	}
	want, err := idList(who)
	if err != nil {
		return nil, err
	}
	after := from.Add(-longestSession)
	ever, err := list(v, scanBody[session.Session], `SELECT s.body FROM session AS s
		WHERE s.id IN (SELECT w.session FROM json_each(?3) AS want CROSS JOIN session_person AS w
			ON w.who = want.value AND w.day >= ?7 AND w.day <= ?8)
			AND +s.start > ?4 AND +s.start < ?5 AND s.finish > ?6 AND s.since_entry <= ?1 ORDER BY s.id, s.rev`,
		want, int64(after), int64(to), int64(from), dayNumber(after), dayNumber(to))
	theirs := map[string]bool{}
	for _, one := range who {
		theirs[one] = true
	}
	return slices.DeleteFunc(ever, func(s session.Session) bool { return !takesPart(s, theirs) }), err
}
