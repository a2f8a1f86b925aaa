package bound

import "math/bits"

// weights are the prices of a plan's cost, in parts of the unit.
type weights struct{ unplaced, staff, traineeDay, intakeDay int64 }

const tooMuch = int64(1) << 60

// path finds the cheapest days for one class of trainees.
type path struct {
	value   []int64   // by set: the least price at which it is done by the current day
	came    [][]int32 // by day and set: the step that led there, −1 = none on that day
	left    []int64   // by set: the price of leaving the rest unplaced
	pay     []int64   // by pattern
	byLast  []int64   // by day: the least price with nothing later
	bestSet []int32   // by day: where that ends
}

// price works out, for one trainee of a class and each last day L, the least of
// trainee days, seat prices and unplaced needs with no session after L; none is
// the price of no session at all.
//
// Proof. A valid plan leads each trainee through the class's lattice (see
// lattice), one step at most a day, adding only needs that can be done that day
// within the day's limits. It pays for the day and for each seat, and for each
// need outside the last set. price finds the least over all such paths. Needs
// beyond the lattice are left out here (see priceDropped).
func (f *facts) price(c *class, w weights, x *prices, unplaced []int64, p *path) (none int64) {
	l, n := c.lattice, len(f.days)
	p.fit(c)
	for i := range p.value {
		p.value[i] = tooMuch
	}
	p.value[l.empty] = 0
	p.leave(c, unplaced)
	none = p.left[l.empty]
	var seats [mostNeeds]int64
	for k, can := range c.can {
		came := p.came[k]
		for i := range came {
			came[i] = -1
		}
		for i, e := range c.needs {
			seats[i] = x.seat[e*n+c.first+k] + x.room[e*n+c.first+k]
		}
		if can != 0 {
			day := w.traineeDay
			if c.paid[k] {
				day = 0
			}
			p.payFor(l, can, c.limits[k], day, &seats)
			p.day(l, came)
		}
		best := 0
		for s, v := range p.value {
			if v+p.left[s] < p.value[best]+p.left[best] {
				best = s
			}
		}
		p.byLast[k], p.bestSet[k] = p.value[best]+p.left[best], int32(best)
	}
	return none
}

// day takes one day's steps. Sets stand larger first and every step leads to a
// larger one, so a set is left before the day adds to it.
func (p *path) day(l *lattice, came []int32) {
	for s, v := range p.value {
		if v >= tooMuch {
			continue
		}
		for k := l.steps[s]; k < l.steps[s+1]; k++ {
			if to, sum := l.to[k], v+p.pay[l.add[k]]; sum < p.value[to] {
				p.value[to], came[to] = sum, k
			}
		}
	}
}

// payFor works out what each pattern costs on a day, tooMuch where it can't be.
func (p *path) payFor(l *lattice, can uint32, most limits, day int64, seats *[mostNeeds]int64) {
	for k := range l.adds {
		a := &l.adds[k]
		if a.needs&^can != 0 || a.minutes > most.minutes || a.height > most.height || a.span > most.span {
			p.pay[k] = tooMuch
			continue
		}
		sum := day
		for m := a.needs; m != 0; m &= m - 1 {
			sum += seats[bits.TrailingZeros32(m)]
		}
		p.pay[k] = sum
	}
}

// leave works out what leaving the rest unplaced costs, for every set.
func (p *path) leave(c *class, unplaced []int64) {
	for s, set := range c.lattice.sets {
		p.left[s] = 0
		for i, e := range c.needs {
			if set>>i&1 == 0 {
				p.left[s] += unplaced[e]
			}
		}
	}
}

// priceDropped is the least that a need beyond the lattice costs one trainee, and
// the day on which it is had for that, −1 for leaving it out.
func (f *facts) priceDropped(e int, x *prices, unplaced int64) (least int64, day int) {
	least, day = unplaced, -1
	for d := range f.days {
		if v := x.seat[e*len(f.days)+d] + x.room[e*len(f.days)+d]; v < least && len(f.exercises[e].places) > 0 {
			least, day = v, d
		}
	}
	return least, day
}

// fit makes the lists as long as a class needs them.
func (p *path) fit(c *class) {
	sets, adds, days := len(c.lattice.sets), len(c.lattice.adds), len(c.can)
	grow := func(list []int64, n int) []int64 {
		if cap(list) < n {
			return make([]int64, n)
		}
		return list[:n]
	}
	p.value, p.left, p.pay, p.byLast = grow(p.value, sets), grow(p.left, sets), grow(p.pay, adds), grow(p.byLast, days)
	for len(p.bestSet) < days {
		p.bestSet = append(p.bestSet, 0)
	}
	for len(p.came) < days {
		p.came = append(p.came, nil)
	}
	for k := range days {
		if cap(p.came[k]) < sets {
			p.came[k] = make([]int32, sets)
		}
		p.came[k] = p.came[k][:sets]
	}
}

// walk follows the cheapest path that ends by day index last back to its
// beginning and adds count seats for every need on it; it reports what was left.
func (p *path) walk(c *class, last, days, count int, seat []int64, left func(exercise int)) {
	s := c.lattice.empty
	if last >= 0 {
		s = int(p.bestSet[last])
	}
	for i, e := range c.needs {
		if c.lattice.sets[s]>>i&1 == 0 {
			left(e)
		}
	}
	for k := last; k >= 0; k-- {
		step := p.came[k][s]
		if step < 0 {
			continue
		}
		added := c.lattice.adds[c.lattice.add[step]].needs
		for ; added != 0; added &= added - 1 {
			seat[c.needs[bits.TrailingZeros32(added)]*days+c.first+k] += int64(count)
		}
		s = c.lattice.from(step)
	}
}

// from returns the set that a step leaves.
func (l *lattice) from(step int32) int {
	lo, hi := 0, len(l.steps)-1
	for hi-lo > 1 {
		if mid := (lo + hi) / 2; l.steps[mid] <= step {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}
