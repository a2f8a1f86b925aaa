package bound

import "math/bits"

// climb raises a dual bound by moving its prices. One step is one evaluation of
// the dual, always the same from the same problem. Prices move along an average
// of the excesses seen, from the best point so far, by a step that would reach a
// target a little above the best bound if the dual were a plane: the volume
// algorithm of Barahona and Anbil (2000) with the target rule of Polyak (1969).
// It is exact arithmetic on whole numbers; that prices are good is a hope, that
// the bound holds is the proof of dual.
type climb struct {
	d        *dual
	best     int64 // the highest bound so far
	at       *prices
	trial    *prices
	from     *prices // where the next step starts, and the bound there
	here     int64
	mean     [5][]int64 // averaged excess, in parts of 1/fine
	reach    int64      // the target is best + reach
	idle     int        // steps since the bound rose
	steps    int
	leastTry int64
	patience int // steps without a rise after which the target comes nearer
}

const fine = 1 << 10

// newClimb starts from the best of the given prices.
func newClimb(d *dual, from []*prices, reach int64) *climb {
	c := &climb{d: d, trial: newPrices(d.f, len(d.cuts)), reach: reach, patience: 20, leastTry: max(1, reach/2000)}
	for i, x := range from {
		if v := d.value(x); i == 0 || v > c.best {
			c.best, c.at = v, x
		}
	}
	d.value(c.at)
	c.from = newPrices(d.f, len(d.cuts))
	c.from.copyFrom(c.at)
	c.here = c.best
	for i, list := range d.over.lists() {
		c.mean[i] = make([]int64, len(list))
		for k, v := range list {
			c.mean[i][k] = v * fine
		}
	}
	return c
}

// step evaluates the dual once more. It reports whether the bound rose.
func (c *climb) step() bool {
	c.steps++
	c.move()
	v := c.d.value(c.trial)
	rose := v > c.best
	c.turn()
	c.from.copyFrom(c.trial)
	c.here = v
	if rose {
		if v-c.best > c.reach/3 {
			c.reach += c.reach / 4
		}
		c.best, c.idle = v, 0
		c.at.copyFrom(c.trial)
		return true
	}
	if c.idle++; c.idle%c.patience == 0 {
		c.reach = max(c.leastTry, c.reach*2/3)
	}
	return false
}

// turn mixes the newest excess with the last direction so that the two don't
// undo each other (Camerini, Fratta and Maffioli 1975).
func (c *climb) turn() {
	var dot, norm int64
	over := c.d.over.lists()
	for i, list := range over {
		for k, v := range list {
			u := c.unit(i, k)
			m := c.mean[i][k] / u
			dot, norm = dot+v/u*m, norm+m*m/fine
		}
	}
	part := int64(0) // of the last direction, in parts of 1/fine
	if dot < 0 && norm > 0 {
		part = min(2*fine, -dot*3/2/max(1, norm/fine))
	}
	for i, list := range over {
		for k, v := range list {
			c.mean[i][k] = v*fine + c.mean[i][k]*part/fine
		}
	}
}

// move sets the trial prices: from the best ones along the mean.
func (c *climb) move() {
	var norm uint64
	from := c.from.lists()
	for i, list := range c.mean {
		for k, v := range list {
			if v = v / c.unit(i, k); v > 0 || from[i][k] > 0 {
				norm += uint64(v * v)
			}
		}
	}
	norm = max(1, norm)
	to := c.trial.lists()
	for i, list := range c.mean {
		most := c.d.w.unplaced // a seat for more than it costs to go without is never taken
		if i > 0 && i != 3 {
			most *= 50
		}
		for k, v := range list {
			u := c.unit(i, k)
			by := mulDiv(c.best+c.reach-c.here, v, norm) / (u * u)
			to[i][k] = min(most, max(0, from[i][k]+by))
		}
	}
	if !c.d.staffed {
		clear(c.trial.teach)
		clear(c.trial.aid)
	}
	c.trim()
}

// unit makes prices of unlike rules comparable: a staff minute in a cut counts as
// a part of one member of staff in one session.
func (c *climb) unit(list, k int) int64 {
	if list != cutPrices {
		return 1
	}
	return int64(c.d.f.exercises[c.d.cuts[k].exercise].hold())
}

// trim lowers cut prices so that no staff minute is paid more than once.
func (c *climb) trim() {
	n := len(c.d.f.days)
	used := make([]int64, len(c.d.staff))
	for k, price := range c.trial.cut {
		v := &c.d.cuts[k]
		days := used[v.exercise*n+v.first : v.exercise*n+v.last+1]
		for _, u := range days {
			price = min(price, c.d.w.staff-u)
		}
		for i := range days {
			days[i] += price
		}
		c.trial.cut[k] = price
	}
}

// mulDiv returns a × v × fine / norm.
func mulDiv(a, v int64, norm uint64) int64 {
	negative := v < 0
	if negative {
		v = -v
	}
	hi, lo := bits.Mul64(uint64(a), uint64(v)*fine)
	if hi >= norm {
		return 0 // a step beyond all numbers: none
	}
	q, _ := bits.Div64(hi, lo, norm)
	out := int64(min(q, 1<<50))
	if negative {
		return -out
	}
	return out
}
