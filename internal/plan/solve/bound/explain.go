package bound

import (
	"slices"

	"rungbook/internal/plan"
)

// Parts are what the bound of a problem is made of, for people to read. Unplaced
// holds for every plan; the other numbers for every plan that places each need
// that can be placed at all.
type Parts struct {
	Cost         plan.Cost // no valid plan costs less
	Unplaced     int64     // needs that must stay unplaced
	StaffMinutes int64     // hold minutes × staff
	TraineeDays  int64     // days with a session, summed over trainees
	IntakeDays   int64     // index of the last day, summed over intakes
}

// Explain proves a bound with some effort (see Lower) and takes it apart.
func Explain(p *plan.Problem, effort int) Parts {
	c := New(p, nil)
	for range effort {
		c.Step()
	}
	return c.Parts()
}

// Parts takes the bound proven so far apart.
//
// Proof. With leaving a need out dearer than anything else, the cheapest path of
// every trainee places all that can be placed; its least days alone, and the
// earliest last day of its intake alone, are then least for every such plan, as are
// those that the intake's own days leave (see placedWhole). The staff minutes are
// those of disjoint cuts (see newCuts) or of stays at the latest ends (see stay),
// over trainees of whom all can be placed. What fixed sessions settle comes on top.
func (c *Climber) Parts() Parts {
	out := Parts{Cost: c.best, StaffMinutes: c.settled(plan.Weights{StaffMinute: 1}),
		TraineeDays: c.settled(plan.Weights{TraineeDay: 1}), IntakeDays: c.settled(plan.Weights{IntakeDay: 1})}
	if c.f == nil {
		return out
	}
	out.Unplaced = c.leastOut()
	days, last := c.alone(weights{unplaced: dear, traineeDay: 1}), c.alone(weights{unplaced: dear, intakeDay: 1})
	for in, o := range c.own {
		d, l := c.placedWhole(in, o)
		out.TraineeDays, out.IntakeDays = out.TraineeDays+max(d, days[in]%dear), out.IntakeDays+max(l, last[in]%dear)
	}
	out.StaffMinutes += c.staffMinutes()
	return out
}

// settled is what fixed sessions settle, by one weight.
func (c *Climber) settled(w plan.Weights) int64 {
	p := *c.asked
	p.Weights = w
	_, _, sunk := apart(&p, nil)
	return int64(sunk.cost)
}

// dear is more than all days of a countable problem add up to.
const dear = int64(1) << 32

// alone is what the trainees of each intake cost without prices.
func (c *Climber) alone(w weights) (out []int64) {
	d := newDual(c.f, w, nil, nil, nil)
	x := newPrices(c.f, 0)
	d.payCuts(x)
	for in := range c.f.intakes {
		out = append(out, d.intake(in, x))
	}
	return out
}

// placedWhole is the fewest trainee days and the earliest last day of an intake if
// all its needs are placed: a value of its own days beyond what every day of every
// trainee costs says that some need is left out. 0 where its values say nothing.
func (c *Climber) placedWhole(in int, o *ownDays) (days, last int64) {
	if o.w.traineeDay == 0 {
		return 0, 0
	}
	heads, found := int64(0), false
	for _, k := range c.f.intakes[in] {
		if !c.placeable(k) {
			return 0, 0
		}
		heads += int64(c.f.classes[k].count)
	}
	for k, v := range o.value {
		if d := ceilDiv(v, o.w.traineeDay); d <= heads*int64(k+1) && (!found || d < days) {
			if days = d; !found {
				last, found = c.f.beyond(in, o.first+k), true
			}
		}
	}
	return days, last
}

// staffMinutes is the least staff minutes of plans that place all that can be.
func (c *Climber) staffMinutes() (least int64) {
	cuts, best := c.f.newCuts()
	for _, k := range best {
		if c.allPlaced(&cuts[k]) {
			least += cuts[k].least
		}
	}
	if c.lasts == nil {
		return least
	}
	for k := range c.f.classes {
		if !c.placeable(k) {
			return least
		}
	}
	for i, o := range c.own {
		c.lasts.ends[i] = o.first + len(o.value) - 1
	}
	shared := c.f.aloneStaff()
	for e := range c.lasts.stays {
		shared += c.lasts.minutes(e)
	}
	return max(least, shared)
}

// allPlaced reports whether every need of a cut can be placed within its order.
func (c *Climber) allPlaced(v *cut) bool {
	return !slices.ContainsFunc(v.classes, func(k int) bool { return !c.placeable(k) })
}

// placeable reports whether a trainee of a class who has the yard to themselves
// leaves no need out.
func (c *Climber) placeable(k int) bool {
	fees := make([]int64, len(c.f.exercises))
	for e := range fees {
		fees[e] = 1
	}
	var p path
	class := &c.f.classes[k]
	left := c.f.price(class, weights{unplaced: 1}, newPrices(c.f, 0), fees, &p)
	if n := len(class.can); n > 0 {
		left = p.byLast[n-1]
	}
	return left == 0 && len(class.dropped) == 0
}
