package bound

import "rungbook/internal/plan"

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
// earliest last day of its intake alone, are then least for every such plan. The
// staff minutes are those of disjoint cuts (see newCuts), over needs that can be
// placed.
func (c *Climber) Parts() Parts {
	out := Parts{Cost: c.best}
	if c.f == nil {
		return out
	}
	out.Unplaced = c.leastOut()
	days, last := c.alone(weights{unplaced: dear, traineeDay: 1}), c.alone(weights{unplaced: dear, intakeDay: 1})
	out.TraineeDays, out.IntakeDays = days%dear, last%dear
	cuts, best := c.f.newCuts()
	for _, k := range best {
		if c.allPlaced(&cuts[k]) {
			out.StaffMinutes += cuts[k].least
		}
	}
	return out
}

// dear is more than all days of a countable problem add up to.
const dear = int64(1) << 32

// alone is what trainees cost without prices.
func (c *Climber) alone(w weights) int64 {
	d := newDual(c.f, w, nil, nil, nil)
	return d.value(newPrices(c.f, 0))
}

// allPlaced reports whether every need of a cut can be placed within its order: a
// trainee who can do everything in the free yard leaves none out.
func (c *Climber) allPlaced(v *cut) bool {
	x := newPrices(c.f, 0)
	fees := make([]int64, len(c.f.exercises))
	for e := range fees {
		fees[e] = 1
	}
	var p path
	for _, k := range v.classes {
		class := &c.f.classes[k]
		none := c.f.price(class, weights{unplaced: 1}, x, fees, &p)
		if n := len(class.can); n > 0 {
			none = p.byLast[n-1]
		}
		if none > 0 {
			return false
		}
	}
	return true
}
