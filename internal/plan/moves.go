package plan

import (
	"cmp"
	"slices"
)

// Moves are the sessions of one person that a newer plan changes: those they had and
// no longer have so, and those they have now and did not have so. Both are in order
// of time.
type Moves struct {
	Person        string
	Before, After []Session
}

// MovesBetween lists the people whose sessions change from an older plan to a newer
// one, by id. A session is unchanged for a person if its id, exercise, station,
// times and the person's part in it stay; who else takes part does not matter.
func MovesBetween(old, now []Session) []Moves {
	was, is := parts(old), parts(now)
	moves := make(map[string]*Moves)
	of := func(person string) *Moves {
		if moves[person] == nil {
			moves[person] = &Moves{Person: person}
		}
		return moves[person]
	}
	for k, s := range was {
		if _, same := is[k]; !same {
			m := of(k.person)
			m.Before = append(m.Before, *s)
		}
	}
	for k, s := range is {
		if _, same := was[k]; !same {
			m := of(k.person)
			m.After = append(m.After, *s)
		}
	}
	out := make([]Moves, 0, len(moves))
	for _, m := range moves {
		SortSessions(m.Before)
		SortSessions(m.After)
		out = append(out, *m)
	}
	slices.SortFunc(out, func(a, b Moves) int { return cmp.Compare(a.Person, b.Person) })
	return out
}

// attendance is one person's part in one session, with all of it that matters to them.
type attendance struct {
	person, id, exercise, station string
	start, end                    int64
	part                          int
}

func parts(list []Session) map[attendance]*Session {
	out := make(map[attendance]*Session)
	for i := range list {
		c := list[i].Clone() // so that sorting what is listed leaves the plan alone
		s := &c
		for part, ids := range [][]string{s.Trainees, s.Instructors, s.Rescuers, s.Others} {
			for _, id := range ids {
				out[attendance{id, s.ID, s.Exercise, s.Station, int64(s.Start), int64(s.End), part}] = s
			}
		}
	}
	return out
}
