package solve

import (
	"cmp"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// insertion is what a search for one need's place came to.
type insertion struct {
	found         *plan.Session // nil = none; its id is that of the session joined, or empty
	refused       []Refusal     // the best of each station and day, fewest rules first
	starts, joins int
}

// search looks for a place for the need with some causes lifted and all else as it
// stands: first in every session of the exercise that has room, at any time of its
// day with any staff, then in a new session on every day and station. A group that
// must be larger is made up of others who wait for the same. refusals says whether
// those are wanted.
func (x *explainer) search(lifted []Cause, refusals bool) insertion {
	r := x.relax(lifted)
	c := Compile(&r.p)
	b := c.Board(r.sessions)
	var out insertion
	for _, a := range x.asks(c, b, r.sessions) {
		days := a.Days
		for d := c.from; len(a.Remove) == 0 && d < min(c.until, c.from+mostExplainedDays); d++ {
			days = append(days, d)
		}
		for _, d := range days {
			a.Days = []civil.Day{d}
			offers, refused := b.Insertions(a)
			out.starts += max(1, len(c.starts(d, c.exercises[c.exerciseOf[a.Exercise]].minutes))) * max(len(a.Stations), len(c.exercises[c.exerciseOf[a.Exercise]].stations))
			if len(offers) > 0 {
				out.found = &offers[0].Session
				return out
			}
			if refusals {
				out.refused = append(out.refused, refused...)
			}
		}
		out.joins += len(a.Remove)
	}
	slices.SortStableFunc(out.refused, func(a, b Refusal) int { return cmp.Compare(len(a.Rules), len(b.Rules)) })
	return out
}

// asks lists what to ask a board for: sessions with room for one more, then a new
// one.
func (x *explainer) asks(c *Compiled, b *Board, sessions []plan.Session) []Ask {
	t, e := c.traineeOf[x.e.Trainee], c.exerciseOf[x.e.Exercise]
	var out []Ask
	for i := range sessions {
		s := &sessions[i]
		if s.Exercise != x.e.Exercise || c.fixed[s.ID] != nil {
			continue
		}
		d := b.byID[s.ID]
		group := append(slices.Clone(d.trainees), t)
		if len(group) > c.mostTrainees(e, d.station) || c.strangers(t, group) > 0 || slices.ContainsFunc(group, func(u int) bool { return c.strangers(u, group) > 0 }) {
			continue
		}
		out = append(out, Ask{Exercise: s.Exercise, Trainees: append(slices.Clone(s.Trainees), x.e.Trainee), Days: []civil.Day{d.day}, Stations: []string{s.Station}, Remove: []string{s.ID}})
	}
	return append(out, Ask{Exercise: x.e.Exercise, Trainees: x.party(c, b, t, e)})
}

// party is the trainee with as many others who wait for the exercise as its
// smallest group asks: first those who have had what must come before, of the same
// intake, then of others.
func (x *explainer) party(c *Compiled, b *Board, t, e int) []string {
	group := []int{t}
	for pass := range 4 { // those who can come after what is before it, then others
		for u := range c.trainees {
			tr := &c.trainees[u]
			if len(group) >= c.exercises[e].groupMin {
				break
			}
			if u == t || !tr.needs[e] || b.byTrainee[u].hasExercise(e) || (pass%2 == 0) != (tr.intake == c.trainees[t].intake) || (pass < 2) != b.begun(u, e) {
				continue
			}
			more := append(slices.Clone(group), u)
			apart := slices.ContainsFunc(more, func(v int) bool { return c.strangers(v, more) > 0 })
			same := slices.ContainsFunc(group, func(v int) bool { return c.trainees[v].body == tr.body })
			if !apart && !same {
				group = more
			}
		}
	}
	out := make([]string, len(group))
	for i, u := range group {
		out[i] = c.trainees[u].id
	}
	return out
}

// begun reports whether a trainee has what must come before an exercise, done or on
// the board.
func (b *Board) begun(t, e int) bool {
	for _, a := range b.c.exercises[e].after {
		if len(b.c.trainees[t].done[a.exercise]) == 0 && !b.byTrainee[t].hasExercise(a.exercise) {
			return false
		}
	}
	return true
}
