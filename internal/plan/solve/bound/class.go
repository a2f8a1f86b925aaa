package bound

import (
	"fmt"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// class are the trainees of one intake who are alike in all that the bounds see.
type class struct {
	intake, count int
	alone         bool
	needs         []int // exercises, none before what it comes after
	lattice       *lattice
	first         int      // the first day on which anything can be done
	can           []uint32 // by day from first: needs that can be done on it
	limits        []limits // by day from first
	paid          []bool   // by day from first: a fixed session has paid for the trainee's day
	dropped       []int    // needs beyond the lattice: priced one by one
}

// limits are what one day of one person holds.
type limits struct{ minutes, height, span civil.Minutes }

// unlimited is longer than any day.
const unlimited civil.Minutes = 1 << 40

// layClasses puts trainees that are alike together, intakes in the order in
// which they appear.
func (f *facts) layClasses() {
	p := f.p
	exercise := make(map[string]int)
	for i := range p.Exercises {
		exercise[p.Exercises[i].ID] = i
	}
	alone := make(map[string]bool)
	for _, in := range p.Intakes {
		alone[in.ID] = in.Alone
	}
	intake, known, lattices := make(map[string]int), make(map[string]int), make(map[string]*lattice)
	for i := range p.Trainees {
		t := &p.Trainees[i]
		if _, ok := intake[t.Intake]; !ok {
			intake[t.Intake] = len(f.intakes)
			f.intakes = append(f.intakes, nil)
			f.reached = append(f.reached, f.sunk.last[t.Intake])
		}
		in := intake[t.Intake]
		like := *t
		like.ID, like.Body = "", ""
		key := fmt.Sprint(like, f.sunk.days[t.ID])
		if c, ok := known[key]; ok {
			f.classes[c].count++
			continue
		}
		known[key] = len(f.classes)
		f.intakes[in] = append(f.intakes[in], len(f.classes))
		f.classes = append(f.classes, f.newClass(t, in, alone[t.Intake], exercise, lattices))
	}
}

func (f *facts) newClass(t *plan.Trainee, intake int, alone bool, exercise map[string]int, lattices map[string]*lattice) class {
	c := class{intake: intake, count: 1, alone: alone}
	for _, n := range f.inOrder(t, exercise) {
		if len(c.needs) < mostNeeds {
			c.needs = append(c.needs, n)
		} else {
			c.dropped = append(c.dropped, n)
		}
	}
	policies := f.policiesOf(t.Rest)
	done := make(map[string]bool)
	for _, d := range t.Done {
		done[d.Exercise] = true
	}
	key := fmt.Sprint(c.needs, done, t.Needs, t.Rest)
	for lattices[key] == nil {
		if l := f.newLattice(c.needs, done, t.Needs, policies); l != nil {
			lattices[key] = l
			break
		}
		c.dropped = append([]int{c.needs[len(c.needs)-1]}, c.dropped...)
		c.needs = c.needs[:len(c.needs)-1]
		key = fmt.Sprint(c.needs, done, t.Needs, t.Rest)
	}
	c.lattice = lattices[key]
	f.layDaysOf(&c, t, policies)
	return c
}

// inOrder returns what a trainee needs, every exercise behind those it comes after.
func (f *facts) inOrder(t *plan.Trainee, exercise map[string]int) (out []int) {
	seen := make(map[string]bool)
	var visit func(id string)
	visit = func(id string) {
		if seen[id] || !slices.Contains(t.Needs, id) {
			return
		}
		seen[id] = true
		for _, a := range f.exercises[exercise[id]].After {
			visit(a.Exercise)
		}
		out = append(out, exercise[id])
	}
	for _, n := range t.Needs {
		visit(n)
	}
	return out
}

func (f *facts) policiesOf(names []string) (out []plan.RestPolicy) {
	for _, r := range f.p.RestPolicies {
		if slices.Contains(names, r.Name) {
			out = append(out, r)
		}
	}
	return out
}

// layDaysOf finds for each day what the trainee can do on it and for how long.
func (f *facts) layDaysOf(c *class, t *plan.Trainee, policies []plan.RestPolicy) {
	end := civil.Instant(1<<62 - 1)
	if t.Deadline != 0 {
		end = f.p.Zone.StartOfDay(t.Deadline + 1)
	}
	for d := range f.days {
		var can uint32
		hull := civil.Period{Start: 1<<62 - 1, End: -1 << 62}
		for i, n := range c.needs {
			if h, ok := f.hullOf(n, d, t, end); ok {
				can |= 1 << i
				hull.Start, hull.End = min(hull.Start, h.Start), max(hull.End, h.End)
			}
		}
		if can == 0 && c.can == nil {
			continue
		}
		if c.can == nil {
			c.first = d
		}
		c.can = append(c.can, can)
		c.limits = append(c.limits, limitsOf(policies, t.Duties, f.days[d].period, hull.Length()))
		c.paid = append(c.paid, slices.Contains(f.sunk.days[t.ID], f.p.From+civil.Day(d)))
	}
	for len(c.can) > 0 && c.can[len(c.can)-1] == 0 {
		c.can = c.can[:len(c.can)-1]
	}
}

// hullOf returns from the earliest start to the latest end that an exercise can
// have for a trainee on a day, and whether it can be done at all.
func (f *facts) hullOf(n, d int, t *plan.Trainee, end civil.Instant) (hull civil.Period, ok bool) {
	e := &f.exercises[n]
	if !entitled(e, t, f.p.From+civil.Day(d)) {
		return hull, false
	}
	for _, at := range e.places {
		for _, s := range f.places[at].starts[d] {
			session := civil.Period{Start: s, End: s.Add(e.Minutes)}
			if session.End > end || !free(t.Available, t.Duties, session) {
				continue
			}
			if !ok {
				hull, ok = session, true
			}
			hull.Start, hull.End = min(hull.Start, session.Start), max(hull.End, session.End)
		}
	}
	return hull, ok
}

func entitled(e *exercise, t *plan.Trainee, at civil.Day) bool {
	for _, name := range e.Requires {
		if !slices.ContainsFunc(t.Holds, func(h plan.Hold) bool { return h.Name == name && h.Validity.Holds(at) }) {
			return false
		}
	}
	return true
}

// limitsOf is what rest policies leave of a day on which times of at most span
// are possible. Of duties only the longest that starts on the day counts, so that
// duties that overlap count once.
func limitsOf(policies []plan.RestPolicy, duties []civil.Period, day civil.Period, span civil.Minutes) limits {
	l := limits{minutes: unlimited, height: unlimited, span: span}
	var duty civil.Minutes
	for _, d := range duties {
		if day.Holds(d.Start) {
			duty = max(duty, d.Length())
		}
	}
	for _, r := range policies {
		if r.DayMinutes > 0 {
			l.minutes = min(l.minutes, r.DayMinutes-duty)
		}
		if r.HeightDay > 0 {
			l.height = min(l.height, r.HeightDay)
		}
		if r.DaySpan > 0 {
			l.span = min(l.span, r.DaySpan)
		}
	}
	return l
}
