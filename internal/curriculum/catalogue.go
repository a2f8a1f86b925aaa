package curriculum

import (
	"cmp"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/id"
)

// On reports whether the exercise is taught on a day: it is not retired yet.
func (e Exercise) On(d civil.Day) bool { return e.Retired == 0 || d < e.Retired }

// Contact returns the exercise's minutes less its pauses.
func (e Exercise) Contact() civil.Minutes {
	m := e.Minutes
	for _, p := range e.Pauses {
		m -= p.Minutes
	}
	return m
}

// RatioOn returns the exercise's own ratio on a station: the smaller of its
// general one and that station's.
func (e Exercise) RatioOn(s id.Station) int {
	r := e.Ratio
	for _, at := range e.RatioAt {
		if at.Station == s && (r == 0 || at.Ratio < r) {
			r = at.Ratio
		}
	}
	return r
}

// Delivers reports whether the exercise delivers an outcome.
func (e Exercise) Delivers(o id.Outcome) bool { return slices.Contains(e.Outcomes, o) }

// Outcomes returns every outcome of a programme, each once, in teaching order.
func (p Programme) Outcomes() []id.Outcome {
	var out []id.Outcome
	for _, u := range p.Units {
		for _, o := range u.Outcomes {
			if !slices.Contains(out, o) {
				out = append(out, o)
			}
		}
	}
	return out
}

// Catalogue is all that is taught on one day. It is made once and only read.
type Catalogue struct {
	Outcomes   []Outcome
	Exercises  []Exercise // by Order, then id
	Programmes []Programme
	byID       map[id.Exercise]int
}

// NewCatalogue makes a catalogue of the records that stand on a day. Exercises
// retired by then are left out.
func NewCatalogue(d civil.Day, outcomes []Outcome, exercises []Exercise, programmes []Programme) *Catalogue {
	c := &Catalogue{Outcomes: slices.Clone(outcomes), Programmes: slices.Clone(programmes), byID: map[id.Exercise]int{}}
	for _, e := range exercises {
		if e.On(d) {
			c.Exercises = append(c.Exercises, e)
		}
	}
	slices.SortFunc(c.Exercises, func(a, b Exercise) int { return cmp.Or(cmp.Compare(a.Order, b.Order), cmp.Compare(a.ID, b.ID)) })
	for i, e := range c.Exercises {
		c.byID[e.ID] = i
	}
	return c
}

// Exercise returns an exercise that is taught.
func (c *Catalogue) Exercise(e id.Exercise) (Exercise, bool) {
	i, ok := c.byID[e]
	if !ok {
		return Exercise{}, false
	}
	return c.Exercises[i], true
}

// Delivering returns the exercises that deliver an outcome.
func (c *Catalogue) Delivering(o id.Outcome) []Exercise {
	var out []Exercise
	for _, e := range c.Exercises {
		if e.Delivers(o) {
			out = append(out, e)
		}
	}
	return out
}

// Way is one way to deliver an outcome: an exercise on a station.
type Way struct {
	Exercise id.Exercise
	Station  id.Station
}

// Ways returns every way to deliver an outcome on the stations that usable
// allows, in the order of exercises, then as each lists its stations. nil allows
// all. An outcome whose ways all lie on one station depends on that station.
func (c *Catalogue) Ways(o id.Outcome, usable func(id.Station) bool) []Way {
	var out []Way
	for _, e := range c.Delivering(o) {
		for _, s := range e.Stations {
			if usable == nil || usable(s) {
				out = append(out, Way{e.ID, s})
			}
		}
	}
	return out
}

// OnlyStation returns the station that alone delivers an outcome.
func (c *Catalogue) OnlyStation(o id.Outcome, usable func(id.Station) bool) (id.Station, bool) {
	ways := c.Ways(o, usable)
	for _, w := range ways {
		if w.Station != ways[0].Station {
			return "", false
		}
	}
	if len(ways) == 0 {
		return "", false
	}
	return ways[0].Station, true
}

// Before returns every exercise that must be done before one, directly or not,
// each once, the earlier ones first. Precondition: After holds no cycle (Check).
func (c *Catalogue) Before(e id.Exercise) []id.Exercise {
	var out []id.Exercise
	seen := map[id.Exercise]bool{e: true}
	var visit func(id.Exercise)
	visit = func(of id.Exercise) {
		exercise, ok := c.Exercise(of)
		if !ok {
			return
		}
		for _, a := range exercise.After {
			if !seen[a.Exercise] {
				seen[a.Exercise] = true
				visit(a.Exercise)
				out = append(out, a.Exercise)
			}
		}
	}
	visit(e)
	return out
}

// Undelivered returns the outcomes of a programme that none of its own exercises
// delivers, in teaching order.
func (c *Catalogue) Undelivered(p Programme) []id.Outcome {
	var out []id.Outcome
	for _, o := range p.Outcomes() {
		delivered := slices.ContainsFunc(p.Exercises, func(e id.Exercise) bool {
			exercise, ok := c.Exercise(e)
			return ok && exercise.Delivers(o)
		})
		if !delivered {
			out = append(out, o)
		}
	}
	return out
}
