package bound

import (
	"slices"

	"rungbook/internal/plan"
)

// Climber proves better and better lower bounds on the cost of one problem's
// plans. It is not safe for concurrent use.
type Climber struct {
	f      *facts
	p      *plan.Problem // without what is fixed
	asked  *plan.Problem // as it was given
	grain  int64         // every cost is a multiple of it
	out    *paced        // needs left out, alone
	whole  *climb        // the whole cost with a capped weight of them
	capped int64         // weights.unplaced as whole counts it
	own    []*ownDays    // each intake by itself
	ownFee int64         // weights.unplaced as own counts it
	ownSum int64         // what they add up to, with the cuts' least staff minutes
	lasts  *lasts        // intakes by themselves that share sessions; nil = own alone
	turn   int           // the intake whose turn it is
	moved  int64         // sessions of old that can't stay as they are
	sunk   int64         // what the fixed sessions cost whatever else there is
	steps  int
	best   plan.Cost
}

// New prepares a problem, which must be Usable, and proves a first bound. old are
// the sessions of the plan that is repaired, nil without one.
func New(p *plan.Problem, old []plan.Session) *Climber {
	asked := p
	p, old, sunk := apart(p, old)
	c := &Climber{p: p, asked: asked, sunk: int64(sunk.cost), grain: grain(p, len(old) > 0), capped: cappedWeight(p), moved: mustMove(p, old)}
	if c.countable() {
		c.f = newFacts(p, sunk)
	}
	if c.f == nil {
		c.settle()
		return c
	}
	c.f.layShifts()
	grounds := c.f.newYard()
	crowds := c.f.newCrowds()
	c.out, c.whole = c.countOut(grounds, crowds), c.countAll(grounds, crowds)
	c.countOwn()
	c.settle()
	return c
}

// Step does one unit of work and reports whether the bound rose.
func (c *Climber) Step() bool {
	if c.f == nil {
		return false
	}
	c.steps++
	before := c.best
	switch {
	case c.steps%4 == 0 && !c.out.settled:
		c.out.step()
	case c.steps%8 == 1 && c.wholeLeads():
		c.whole.step()
	case !c.stepOwn() && c.wholeLeads():
		c.whole.step()
	}
	if c.lasts != nil {
		c.lasts.step()
	}
	c.settle()
	return c.best > before
}

// tries is how many steps whole gets before it must be ahead.
const tries = 100

// wholeLeads reports whether to raise whole may raise the bound.
func (c *Climber) wholeLeads() bool {
	return c.lasts == nil || c.whole.steps < tries || c.whole.best > c.lasts.best()
}

// Best is the highest bound proven so far, and 0 for a problem too large to be
// looked at.
func (c *Climber) Best() plan.Cost { return c.best }

// Lower returns a proven lower bound on the cost of every valid plan of p: the
// best of effort steps. More effort never gives less, and the same effort the
// same. stop, nil for never, is asked between steps. old are the sessions of the
// plan that is repaired, nil without one. Precondition: p.Usable() is nil.
func Lower(p *plan.Problem, old []plan.Session, effort int, stop func() bool) plan.Cost {
	if stop != nil && stop() {
		return 0
	}
	c := New(p, old)
	for range effort {
		if c.f == nil || (stop != nil && stop()) {
			break
		}
		c.Step()
	}
	return c.Best()
}

// settle puts the parts together.
//
// Proof. A plan with u needs left out costs unplaced × u + the rest. u is whole,
// so u ≥ u* = ⌈out⌉. capped × u + the rest ≥ whole. So the cost is at least
// (unplaced − capped) × u* + whole, plus moved for each session of old that can't
// stay and what is sunk (see apart); and as every cost is a multiple of the grain,
// so is the least one.
func (c *Climber) settle() {
	w := c.p.Weights
	least := c.sunk + w.Moved*c.moved
	if c.f != nil {
		own := c.ownSum
		if c.lasts != nil {
			own = max(own, c.lasts.best())
		}
		least += max((w.Unplaced-c.capped)*c.leastOut()+ceilDiv(c.whole.best, scale),
			(w.Unplaced-c.ownFee)*c.leastOut()+ceilDiv(own, scale), w.Unplaced*c.leastOut())
	}
	if c.grain > 0 {
		least = ceilDiv(least, c.grain) * c.grain
	}
	c.best = max(c.best, plan.Cost(least))
}

// leastOut is how many needs must stay unplaced at least.
func (c *Climber) leastOut() int64 {
	if c.f == nil {
		return 0
	}
	return max(0, ceilDiv(c.out.best, outScale))
}

// grain is a number that divides every plan's cost.
func grain(p *plan.Problem, moved bool) int64 {
	var holds int64
	for i := range p.Exercises {
		e := &p.Exercises[i]
		holds = gcd(holds, int64(e.Setup+e.Minutes+e.Strike))
	}
	w := p.Weights
	g := gcd(gcd(w.Unplaced, w.StaffMinute*holds), gcd(w.TraineeDay, w.IntakeDay))
	if moved {
		g = gcd(g, w.Moved)
	}
	return g
}

// cappedWeight is weights.unplaced, but no more than what makes leaving a need
// out dear beside everything else: smaller prices settle sooner.
func cappedWeight(p *plan.Problem) int64 {
	var dearest float64
	for i := range p.Exercises {
		e := &p.Exercises[i]
		dearest = max(dearest, float64(e.Setup+e.Minutes+e.Strike)*float64(p.Weights.StaffMinute))
	}
	dear := 20 * (2*dearest + float64(p.Weights.TraineeDay) + float64(p.Weights.IntakeDay))
	if float64(p.Weights.Unplaced) < dear {
		return p.Weights.Unplaced
	}
	return int64(dear)
}

// countable reports whether every sum of prices stays far from overflow.
func (c *Climber) countable() bool {
	p, needs, longest := c.p, 0.0, 1.0
	for i := range p.Trainees {
		needs += float64(len(p.Trainees[i].Needs))
	}
	for i := range p.Exercises {
		e := &p.Exercises[i]
		longest = max(longest, float64(e.Setup+e.Minutes+e.Strike))
	}
	w := p.Weights
	day := float64(p.Days) * float64(len(p.People)+len(p.Stations)*20+1)
	most := (needs+day*10)*float64(c.capped)*64 + needs*longest*float64(w.StaffMinute)*100 +
		needs*float64(w.TraineeDay) + float64(p.Days)*needs*float64(w.IntakeDay) + needs*float64(w.Unplaced)
	return most < float64(1<<60)/scale
}

// countOut climbs on the number of needs left out alone. Beside no prices it
// starts from the best of those that make one ground's seats as dear as leaving out.
func (c *Climber) countOut(grounds []*ground, crowds []*crowd) *paced {
	d := newDual(c.f, weights{unplaced: outScale}, nil, grounds, crowds)
	from := []*prices{newPrices(c.f, 0)}
	for _, g := range grounds {
		x := newPrices(c.f, 0)
		for i := range c.f.exercises {
			e := &c.f.exercises[i]
			if len(e.places) == 0 || !containsAll(g.places, e.places) {
				continue
			}
			for day := range c.f.days {
				x.seat[i*len(c.f.days)+day] = outScale
			}
		}
		from = append(from, x)
	}
	for _, v := range crowds {
		x := newPrices(c.f, 0)
		for _, e := range slices.Concat(v.shy, v.bold) {
			for day := range c.f.days {
				x.room[e*len(c.f.days)+day] = outScale
			}
		}
		from = append(from, x)
	}
	return newPaced(d, from, outScale)
}

// countAll climbs on the whole cost. It starts without prices or with the best sum
// of disjoint cuts, whichever is better.
func (c *Climber) countAll(grounds []*ground, crowds []*crowd) *climb {
	cuts, sum := c.f.newCuts()
	w := c.p.Weights
	d := newDual(c.f, weights{c.capped * scale, w.StaffMinute * scale, w.TraineeDay * scale, w.IntakeDay * scale}, cuts, grounds, crowds)
	x := newPrices(c.f, len(cuts))
	for _, k := range sum {
		x.cut[k] = d.w.staff
	}
	first := d.value(x)
	return newClimb(d, []*prices{newPrices(c.f, len(cuts)), x}, max(scale, first/100))
}

// countOwn bounds every intake by itself, under the cuts from which whole starts.
// Where leaving out is dear enough the fees are such that intakes may share.
func (c *Climber) countOwn() {
	d := c.whole.d
	c.ownSum, c.ownFee = d.payCuts(c.whole.at), c.capped
	fee, shares := c.feeToShare()
	if shares {
		c.ownFee = fee
		for k := range d.unplaced {
			saved := int64(0)
			for _, e := range c.f.classes[k].needs {
				saved += d.w.staff * c.f.exercises[e].cover.steepest()
			}
			for e := range d.unplaced[k] {
				d.unplaced[k][e] = fee*scale - saved
			}
		}
	}
	for in := range c.f.intakes {
		o := newOwnDays(d, in)
		least, _ := o.bound()
		c.own, c.ownSum = append(c.own, o), c.ownSum+least
	}
	if shares {
		c.lasts = newLasts(c.f, c.own, d.w.staff)
	}
}

// feeToShare is what leaving a need out counts where intakes share, and whether it
// is dear enough: a fee lacks what staff a trainee left out could save.
func (c *Climber) feeToShare() (fee int64, ok bool) {
	most := int64(0)
	for k := range c.f.classes {
		saved := int64(0)
		for _, e := range c.f.classes[k].needs {
			saved += c.p.Weights.StaffMinute * c.f.exercises[e].cover.steepest()
		}
		most = max(most, saved)
	}
	fee = most + c.capped/4 // no more than it takes: what is left out counts in full only beyond it
	return fee, fee <= c.p.Weights.Unplaced && c.capped > 0
}

// stepOwn gives the next intake that can still rise a turn, and reports whether
// there was one.
func (c *Climber) stepOwn() bool {
	for range c.own {
		o := c.own[c.turn]
		c.turn = (c.turn + 1) % len(c.own)
		if o.settled {
			continue
		}
		before, _ := o.bound()
		o.step()
		after, _ := o.bound()
		c.ownSum += after - before
		return true
	}
	return false
}

func containsAll(list, all []int) bool {
	for _, v := range all {
		found := false
		for _, w := range list {
			found = found || v == w
		}
		if !found {
			return false
		}
	}
	return true
}
