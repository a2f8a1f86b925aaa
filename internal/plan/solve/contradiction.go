package solve

import (
	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// Contradiction is a need that no valid plan of its problem can place, whatever
// else is planned, and the rule that proves it.
type Contradiction struct {
	Trainee, Exercise string
	Rule              string // the spec's name of the rule that leaves no place
	At                string // JSON pointer of the problem's value that decided
	Words             string // why, in a sentence
}

// Contradictions names the needs that can be seen to have no place before any
// search, in the problem's order. Each is proven: it looks at one need at a time,
// with nothing on the board but the fixed sessions and what must come before at its
// earliest, and more sessions never make a rule hold that is broken so. (Rests of
// which a week needs several are left out: one session can make two of one.) A need
// that is not named may still have no place. On a very long horizon it stops looking
// after a fixed amount of work, and names fewer. Precondition: as for Plan.
func Contradictions(p *plan.Problem) []Contradiction {
	return newOutlook(p, Compile(p)).contradictions()
}

// outlook is what can be said of needs before anything is planned.
type outlook struct {
	c         *Compiled
	p         *plan.Problem
	b         *Board // of the fixed sessions
	placed    map[traineeExercise]*session
	fields    []field // by exercise
	prospects map[int]*prospect
	trial     [2]*session // on ground and at height
	view      dayView     // of a trainee
	views     []dayView   // of people
	work      int
}

type traineeExercise struct{ trainee, exercise int }

// mostWork is how many starts and days an outlook looks at before it says no more.
const mostWork = 8_000_000

// prospect is when a trainee can do an exercise at all.
type prospect struct {
	first, last civil.Instant // earliest and latest start; last is 0 until asked for
	window      window        // for starts, by what must come before
	barred      *Contradiction
	through     bool // barred because what must come before is
}

func newOutlook(p *plan.Problem, c *Compiled) *outlook {
	o := &outlook{c: c, p: p, placed: make(map[traineeExercise]*session), fields: make([]field, len(c.exercises))}
	for i := range o.trial {
		o.trial[i] = &session{}
	}
	return o
}

func (o *outlook) contradictions() []Contradiction {
	p := o.p
	o.b, o.views = o.c.Board(p.Fixed), make([]dayView, len(o.c.people))
	for i := range p.Fixed {
		x := o.b.byID[p.Fixed[i].ID]
		for _, t := range x.trainees {
			o.placed[traineeExercise{t, x.exercise}] = x
		}
	}
	var out []Contradiction
	o.prospects = make(map[int]*prospect)
	for t := range o.c.trainees {
		clear(o.prospects)
		for _, id := range o.p.Trainees[t].Needs {
			if at := o.prospect(t, o.c.exerciseOf[id]); at.barred != nil {
				out = append(out, *at.barred)
			}
		}
	}
	return out
}

// words says of each contradicted need why it has no place.
func (o *outlook) words() map[traineeExercise]string {
	out := make(map[traineeExercise]string)
	for _, n := range o.contradictions() {
		out[traineeExercise{o.c.traineeOf[n.Trainee], o.c.exerciseOf[n.Exercise]}] = n.Words
	}
	return out
}

func (o *outlook) spent() bool { return o.work >= mostWork }

// prospect works out when a need can be placed, what it waits for first.
func (o *outlook) prospect(t, e int) *prospect {
	if known := o.prospects[e]; known != nil {
		return known
	}
	at := &prospect{}
	o.prospects[e] = at
	if x := o.placed[traineeExercise{t, e}]; x != nil {
		at.first, at.last = x.span.Start, x.span.Start
		return at
	}
	at.barred = o.before(t, e, at)
	for _, bar := range []func(*outlook, int, int) *Contradiction{(*outlook).offered, (*outlook).lonely, (*outlook).late, (*outlook).unfit} {
		if at.barred == nil && !o.spent() {
			at.barred = bar(o, t, e)
		}
	}
	if at.barred == nil && !o.spent() {
		o.scan(t, e, at)
	}
	if at.first == 0 {
		at.first, at.last = o.c.midnight(o.c.from), o.c.midnight(o.c.until) // nothing is known
	}
	return at
}

// contradiction says of a need why it has no place.
func (o *outlook) contradiction(t, e int, r rule, words string, at ...any) *Contradiction {
	return &Contradiction{Trainee: o.c.trainees[t].id, Exercise: o.c.exercises[e].id, Rule: ruleNames[r], At: plan.Pointer(at...), Words: words}
}

// before works out the window that what must come first leaves.
func (o *outlook) before(t, e int, at *prospect) *Contradiction {
	c := o.c
	at.window = window{lo: c.midnight(c.from), hi: c.midnight(c.until)}
	for j, a := range c.exercises[e].after {
		name := c.exercises[a.exercise].id
		if !c.trainees[t].needs[a.exercise] {
			if len(c.trainees[t].done[a.exercise]) == 0 {
				return o.contradiction(t, e, order, name+" must come first, and the trainee neither has done it nor needs it", "exercises", e, "after", j)
			}
			continue
		}
		first := o.prospect(t, a.exercise)
		if first.barred != nil {
			words := name + " must come first and can't be placed"
			if !first.through {
				words += ": " + first.barred.Words
			}
			at.through = true
			return o.contradiction(t, e, order, words, "exercises", e, "after", j)
		}
		minutes := c.exercises[a.exercise].minutes
		at.window.lo = max(at.window.lo, first.first.Add(minutes+a.minGap))
		if a.maxGap > 0 {
			at.window.hi = min(at.window.hi, o.latest(t, a.exercise, first).Add(minutes+a.maxGap))
		}
	}
	return nil
}

// lonely: too few who may share a session need the exercise.
func (o *outlook) lonely(t, e int) *Contradiction {
	least := o.c.exercises[e].groupMin
	if least <= 1 {
		return nil
	}
	if n := o.companions(t, e); n < least {
		return o.contradiction(t, e, groupSize, "the smallest group is "+number(least)+", and of those who may share a session "+only(n)+" it", "exercises", e, "group_min")
	}
	return nil
}

func only(n int) string {
	if n == 1 {
		return "only 1 needs"
	}
	return "only " + number(n) + " need"
}

// companions counts those who can be in one session with a trainee, the trainee
// included: bodies, since nobody is in a session twice.
func (o *outlook) companions(t, e int) int {
	f := o.field(e)
	if f.circles == nil {
		f.circles = make(map[string]map[int]bool)
		for u := range o.c.trainees {
			tr := &o.c.trainees[u]
			if !tr.needs[e] || o.placed[traineeExercise{u, e}] != nil {
				continue
			}
			circle := o.circle(u)
			if f.circles[circle] == nil {
				f.circles[circle] = make(map[int]bool)
			}
			f.circles[circle][tr.body] = true
		}
	}
	return len(f.circles[o.circle(t)])
}

// circle names those who may share a session: an intake that is alone, or all others.
func (o *outlook) circle(t int) string {
	if tr := &o.c.trainees[t]; tr.alone {
		return tr.intake
	}
	return "" // no intake's id
}

// late: the deadline lies before the horizon, or before the exercise can end.
func (o *outlook) late(t, e int) *Contradiction {
	last := o.c.trainees[t].deadline
	if last == 0 {
		return nil
	}
	if last < o.c.from {
		return o.contradiction(t, e, deadline, "the deadline "+last.String()+" is before the first day planned, "+o.c.from.String(), "trainees", t, "deadline")
	}
	if first, ok := o.firstOffer(e); ok && first.Add(o.c.exercises[e].minutes) > o.c.midnight(last+1) {
		return o.contradiction(t, e, deadline, "the earliest it can end is "+o.c.zone.Format(first.Add(o.c.exercises[e].minutes))+", after the deadline "+last.String(), "trainees", t, "deadline")
	}
	return nil
}

// unfit: what the exercise requires is not held on any day up to the deadline.
func (o *outlook) unfit(t, e int) *Contradiction {
	last := o.lastDay(t)
	for _, name := range o.c.exercises[e].requires {
		held := false
		for i := range o.c.trainees[t].holds {
			h := &o.c.trainees[t].holds[i]
			held = held || h.Name == name && max(h.From, o.c.from) <= min(h.Until, last)
		}
		if !held {
			return o.contradiction(t, e, entitled, "it requires "+quoted(name)+", which the trainee does not hold on any day from "+o.c.from.String()+" to "+last.String(), "trainees", t, "holds")
		}
	}
	return nil
}

// lastDay is the last day on which a trainee can have a session.
func (o *outlook) lastDay(t int) civil.Day {
	if last := o.c.trainees[t].deadline; last != 0 {
		return min(last, o.c.until-1)
	}
	return o.c.until - 1
}
