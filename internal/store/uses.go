package store

import (
	"database/sql"
	"math"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/id"
)

// Use is a record that speaks of another one, or how many of a kind do.
type Use struct {
	Kind  string // of record
	ID    string // "" where only their number is told
	Count int    // of Kind, where ID is ""
}

// Uses returns what speaks of a record today or on a day to come: each slowly
// changing record, and how many sessions that are still to run, enrolments,
// certificates and sessions of the past. It is asked before a record changes.
func (v *View) Uses(of string) ([]Use, error) {
	var out []Use
	for _, k := range kinds {
		if !k.slow || k.facet {
			continue
		}
		seen := ""
		err := v.eachReference(k.name, nil, func(other string, _, until civil.Day, _ int64, body []byte) error {
			if other == of || other == seen || (until != 0 && until <= v.day) {
				return nil
			}
			record, err := k.decode(body)
			if err == nil && slices.Contains(k.refers(record), of) {
				out, seen = append(out, Use{Kind: k.name, ID: other}), other
			}
			return err
		})
		if err != nil {
			return nil, err
		}
	}
	counts := []struct{ kind, query string }{
		{"session", `SELECT count(*) FROM session AS r WHERE (r.exercise = ?3 OR r.station = ?3) AND r.state IN ('pencilled', 'booked', 'under-way') AND ` + v.at("r")},
		{"past-session", `SELECT count(*) FROM session AS r WHERE (r.exercise = ?3 OR r.station = ?3) AND r.state IN (` + signedText + `) AND ` + v.at("r")},
		{"trainee", `SELECT count(*) FROM trainee AS r WHERE (r.intake = ?3 OR r.person = ?3 OR EXISTS (SELECT 1 FROM json_each(r.body, '$.needs') WHERE value = ?3)) AND ` + v.at("r")},
		{"certificate", `SELECT count(*) FROM certificate AS r WHERE (r.programme = ?3 OR r.person = ?3 OR json_extract(r.body, '$.exercise') = ?3) AND ` + v.at("r")},
		{"person", `SELECT count(*) FROM person AS r WHERE r.employer = ?3 AND ` + v.at("r")},
	}
	for _, c := range counts {
		n := 0
		if _, err := v.one([]any{&n}, c.query, of); err != nil {
			return nil, err
		}
		if n > 0 {
			out = append(out, Use{Kind: c.kind, Count: n})
		}
	}
	return v.usesInSessions(out, id.Person(of))
}

// usesInSessions adds the sessions that a person takes part in.
func (v *View) usesInSessions(out []Use, of id.Person) ([]Use, error) {
	who, err := v.whoOf([]id.Person{of}, nil)
	if err != nil {
		return nil, err
	}
	all, err := v.sessionsOf(who, 0, math.MaxInt64, 0)
	if err != nil {
		return nil, err
	}
	ahead, past := 0, 0
	for _, s := range all {
		switch {
		case s.State.Signed():
			past++
		case s.State.Holds():
			ahead++
		}
	}
	for _, u := range []Use{{Kind: "session", Count: ahead}, {Kind: "past-session", Count: past}} {
		if u.Count > 0 {
			out = append(out, u)
		}
	}
	return out, nil
}

// SessionsToCome returns the sessions of a station or exercise that are pencilled
// or booked and start on or after a moment, by start.
func (v *View) SessionsToCome(of string, after civil.Instant) ([]id.Session, error) {
	return list(v, func(rows *sql.Rows) (s id.Session, err error) {
		err = rows.Scan(&s)
		return s, err
	}, `SELECT r.id FROM session AS r WHERE (r.exercise = ?3 OR r.station = ?3) AND r.start >= ?4 AND r.state IN ('pencilled', 'booked', 'under-way') AND `+v.at("r")+`
		ORDER BY r.start, r.id`, of, int64(after))
}
