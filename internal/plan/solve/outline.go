package solve

import (
	"fmt"
	"math/bits"
	"math/rand/v2"
	"slices"

	"rungbook/internal/civil"
)

// outline knows, for trainees who need the same under the same limits, how their
// needs can be spread over as few days as the rules of one day allow: which are met
// together on the first day, which on the next, and so on. Where the days of a
// whole intake must be full to the minute, seating one need after another does not
// find such days by chance.
type outline struct {
	needs  []int    // exercises, none before what it comes after
	before []uint32 // by need: needs that it comes after
	gaps   [][]civil.Minutes
	most   ofDay
	goal   uint32 // the needs to meet
	height []bool // by need: every station it may use is at height
	// days and steps by set of needs met: how many days the rest takes at least,
	// and what a day may add so that it takes one less.
	days  map[uint32]int
	steps map[uint32][]uint32
}

// ofDay is what a day of one trainee holds at most.
type ofDay struct{ minutes, height, span, stretch, rest civil.Minutes }

const (
	mostOutlined  = 20     // needs of an outline; trainees with more have none
	mostOutlines  = 64     // kinds of trainees that get one
	mostMet       = 4000   // sets of needs of an outline
	mostSteps     = 60_000 // steps of an outline
	dayOfNoLimits = civil.Minutes(24 * 60)
)

// compileOutlines makes the outlines of all kinds of trainees.
func (t *task) compileOutlines() {
	known := make(map[string]*outline)
	t.outlineOf = make([]*outline, len(t.c.trainees))
	for i := range t.c.trainees {
		tr := &t.c.trainees[i]
		key := fmt.Sprint(tr.needs, len(tr.done), t.c.bodies[tr.body].policies)
		o, ok := known[key]
		if !ok && len(known) < mostOutlines {
			o = t.newOutline(i)
			known[key] = o
		}
		t.outlineOf[i] = o
	}
}

// newOutline returns nil for a trainee whose needs are too many, or can't all be
// met in days of their own.
func (t *task) newOutline(trainee int) *outline {
	o := &outline{days: make(map[uint32]int), steps: make(map[uint32][]uint32), most: t.limitsOf(trainee)}
	for _, n := range t.needsOf[trainee] {
		o.needs = append(o.needs, t.needs[n].exercise)
	}
	if len(o.needs) < 2 || len(o.needs) > mostOutlined {
		return nil
	}
	o.goal = 1<<len(o.needs) - 1
	slices.SortStableFunc(o.needs, func(a, b int) int { return t.depth[a] - t.depth[b] })
	for i, e := range o.needs {
		o.before, o.gaps = append(o.before, 0), append(o.gaps, make([]civil.Minutes, len(o.needs)))
		high := true
		for _, s := range t.spotsOf[e] {
			high = high && t.c.stations[t.spots[s].station].height
		}
		o.height = append(o.height, high)
		for _, a := range t.c.exercises[e].after {
			if j := slices.Index(o.needs, a.exercise); j >= 0 {
				o.before[i] |= 1 << j
				o.gaps[i][j] = a.minGap
			}
		}
	}
	left := mostSteps
	if o.fewest(t.c, 0, &left) >= never {
		return nil
	}
	return o
}

// limitsOf is what the rest policies of a trainee leave of a day.
func (t *task) limitsOf(trainee int) ofDay {
	m := ofDay{dayOfNoLimits, dayOfNoLimits, dayOfNoLimits, dayOfNoLimits, 0}
	for _, p := range t.c.bodies[t.c.trainees[trainee].body].policies {
		for _, l := range []struct {
			most *civil.Minutes
			of   civil.Minutes
		}{{&m.minutes, p.DayMinutes}, {&m.height, p.HeightDay}, {&m.span, p.DaySpan}, {&m.stretch, p.Stretch}} {
			if l.of > 0 {
				*l.most = min(*l.most, l.of)
			}
		}
		m.rest = max(m.rest, p.Break)
	}
	for d := range t.starts {
		if list := t.starts[d]; len(list) > 0 {
			m.span = min(m.span, max(list[len(list)-1].Sub(list[0])+t.longestExercise(), 1))
			break
		}
	}
	return m
}

func (t *task) longestExercise() (out civil.Minutes) {
	for i := range t.c.exercises {
		out = max(out, t.c.exercises[i].minutes)
	}
	return out
}

const never = 1 << 20

// fewest is the fewest days that what is not in a set takes; steps lead there.
func (o *outline) fewest(c *Compiled, set uint32, left *int) int {
	if set == o.goal {
		return 0
	}
	if d, ok := o.days[set]; ok {
		return d
	}
	best := never
	var steps []uint32
	if len(o.days) < mostMet {
		o.each(c, set, 0, 0, left, func(add uint32) {
			d := 1 + o.fewest(c, set|add, left)
			if d < best {
				best, steps = d, steps[:0]
			}
			if d == best && d < never {
				steps = append(steps, add)
			}
		})
	}
	o.days[set], o.steps[set] = best, steps
	return best
}

// each calls f with all that one day can add to a set. Needs stand in order, so each
// is built once.
func (o *outline) each(c *Compiled, set, add uint32, next int, left *int, f func(uint32)) {
	for i := next; i < len(o.needs) && *left > 0; i++ {
		more := add | 1<<i
		if (set|add|^o.goal)>>i&1 == 1 || o.before[i]&^(set|add) != 0 || !o.fits(c, more) {
			continue
		}
		*left--
		f(more)
		o.each(c, set, more, i+1, left, f)
	}
}

// fits reports whether a day may hold some needs, going by their lengths alone:
// whether they have a place, seating them tells.
func (o *outline) fits(c *Compiled, add uint32) bool {
	var minutes, height, chain, whole civil.Minutes
	var ends [mostOutlined]civil.Minutes
	for i, e := range o.needs {
		if add>>i&1 == 0 {
			continue
		}
		long := c.exercises[e].minutes
		net := long
		for _, p := range c.exercises[e].pauses {
			net -= p.to - p.from
		}
		minutes, whole = minutes+net, whole+long
		if o.height[i] {
			height += net
		}
		for j := range i {
			if add>>j&1 == 1 && o.before[i]>>j&1 == 1 {
				ends[i] = max(ends[i], ends[j]+o.gaps[i][j])
			}
		}
		ends[i] += long
		chain = max(chain, ends[i])
	}
	breaks := (max(minutes, 1) - 1) / o.most.stretch * o.most.rest
	return minutes <= o.most.minutes && height <= o.most.height && max(chain, whole+breaks) <= o.most.span
}

// draw draws one way to spread what is in rest over the fewest days, after a set
// that is met: by day the exercises. nil where no way is known.
func (o *outline) draw(c *Compiled, met, rest uint32, chance *rand.Rand) (days [][]int) {
	from := o
	if _, known := o.days[met]; !known || met|rest != o.goal {
		part := *o
		part.days, part.steps, part.goal = make(map[uint32]int), make(map[uint32][]uint32), met|rest
		left := mostSteps / 10
		if part.fewest(c, met, &left) >= never {
			return nil
		}
		from = &part
	}
	for set := met; from.days[set] > 0; {
		steps := from.steps[set]
		add := steps[chance.IntN(len(steps))]
		set |= add
		var day []int
		for ; add != 0; add &= add - 1 {
			day = append(day, o.needs[bits.TrailingZeros32(add)])
		}
		days = append(days, day)
	}
	return days
}
