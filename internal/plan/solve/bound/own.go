package bound

import "slices"

// ownDays bounds what one intake costs by itself: for each last day L, its trainee
// days and what it must leave out if all its sessions are over by L.
//
// Proof. In a valid plan whose last session of the intake starts on day L, the
// intake's own seats fit on stations and staff within days up to L, whoever else
// is there. So the dual of a yard that has this intake alone and ends with L (its
// classes cut off after L, a session seating no more of its trainees than it has)
// is a lower bound v(L) on trainee days and unplaced needs, with prices of its own
// for each L. The intake costs at least the least of intake_day × L + v(L) over all
// L, and of having no session at all. The prices of different intakes and last
// days have nothing to do with each other: that makes this sum higher than one
// price for all, which lets an intake be spread over several last days in parts.
type ownDays struct {
	f       *facts
	w       weights
	intake  int
	fees    [][]int64 // by class of the intake and exercise: what leaving out costs
	grounds []*ground
	crowds  []*crowd
	none    int64    // what no session at all costs
	first   int      // the first last day that can be
	value   []int64  // by last day from first: the highest v so far
	climbs  []*climb // by last day from first; nil = not begun
	settled bool     // the lowest can't be raised any more
}

// ownSteps is how many steps one turn of an intake takes.
const ownSteps = 5

func newOwnDays(d *dual, intake int) *ownDays {
	o := &ownDays{f: d.f, w: weights{d.w.unplaced, 0, d.w.traineeDay, d.w.intakeDay}, intake: intake, grounds: d.grounds, crowds: d.crowds}
	last := -1
	o.first = len(d.f.days)
	for _, c := range d.f.intakes[intake] {
		o.fees = append(o.fees, slices.Clone(d.unplaced[c]))
		if v := &d.f.classes[c]; len(v.can) > 0 {
			o.first, last = min(o.first, v.first), max(last, v.first+len(v.can)-1)
		}
	}
	x := newPrices(d.f, 0)
	var p path
	for day := o.first; day <= last; day++ {
		o.value = append(o.value, 0)
	}
	o.climbs = make([]*climb, len(o.value))
	for i, c := range d.f.intakes[intake] {
		v := &d.f.classes[c]
		count := int64(v.count)
		none := count * d.f.price(v, o.w, x, o.fees[i], &p)
		o.none += none
		for k := range o.value {
			if at := min(o.first+k-v.first, len(v.can)-1); at >= 0 {
				o.value[k] += count * p.byLast[at]
			} else {
				o.value[k] += none
			}
		}
	}
	return o
}

// bound is the least that the intake costs, and the last day that decides, −1 for
// no session at all.
func (o *ownDays) bound() (least int64, at int) {
	least, at = o.none, -1
	for k, v := range o.value {
		if sum := v + o.w.intakeDay*o.f.beyond(o.intake, o.first+k); sum < least {
			least, at = sum, k
		}
	}
	return least, at
}

// step raises the value of the last day that decides.
func (o *ownDays) step() {
	_, k := o.bound()
	if k < 0 {
		o.settled = true
		return
	}
	c := o.climbs[k]
	if c == nil {
		c = o.begin(k)
		o.climbs[k] = c
	}
	for range ownSteps {
		c.step()
	}
	o.value[k] = max(o.value[k], c.best)
	if c.idle > 160 {
		o.settled = true
	}
}

// begin makes the dual of one last day, starting without prices or from those of
// the day before.
func (o *ownDays) begin(k int) *climb {
	g, days := o.f.within(o.intake, o.first, o.first+k)
	d := newDual(g, weights{o.w.unplaced, 0, o.w.traineeDay, 0}, nil, groundsWithin(o.grounds, o.first, days), crowdsWithin(o.crowds, o.first, days))
	d.fees = o.fees
	from := []*prices{newPrices(g, 0)}
	if k > 0 && o.climbs[k-1] != nil {
		from = append(from, o.climbs[k-1].at.longer(days-1, days))
	}
	c := newClimb(d, from, max(scale, o.w.unplaced/4))
	c.patience, c.leastTry = 6, max(1, o.w.traineeDay/50)
	return c
}

// longer copies prices to a yard with more days.
func (x *prices) longer(days, more int) *prices {
	y := &prices{}
	lists := [...]*[]int64{&y.seat, &y.teach, &y.aid, &y.room}
	for i, list := range x.lists() {
		if i == len(lists) {
			break
		}
		*lists[i] = make([]int64, len(list)/max(1, days)*more)
		for e := range len(list) / max(1, days) {
			copy((*lists[i])[e*more:], list[e*days:(e+1)*days])
		}
	}
	return y
}

// within cuts the facts down to one intake and the days from first to last.
func (f *facts) within(intake, first, last int) (*facts, int) {
	g := &facts{p: f.p, grid: f.grid, own: true, days: f.days[first : last+1], exercises: slices.Clone(f.exercises)}
	for e := range g.exercises {
		g.exercises[e].needs = 0
	}
	for _, c := range f.intakes[intake] {
		v := f.classes[c]
		v.first, v.dropped = v.first-first, nil
		v.can = v.can[:max(0, min(len(v.can), last-first-v.first+1))]
		if g.intakes == nil {
			g.intakes = [][]int{nil}
		}
		g.intakes[0] = append(g.intakes[0], len(g.classes))
		g.classes = append(g.classes, v)
		for _, e := range v.needs {
			g.exercises[e].needs += v.count
		}
	}
	for i := range f.places {
		at := f.places[i]
		at.starts = at.starts[first : last+1]
		own := g.exercises[at.exercise].needs
		at.crews = slices.Clone(at.crews)
		for k := range at.crews {
			at.crews[k].seats = min(at.crews[k].seats, own)
		}
		g.places = append(g.places, at)
	}
	for i := range f.people {
		v := f.people[i]
		v.days = v.days[first : last+1]
		g.people = append(g.people, v)
	}
	return g, last - first + 1
}

func groundsWithin(list []*ground, first, days int) (out []*ground) {
	for _, g := range list {
		out = append(out, &ground{g.places, g.days[first : first+days]})
	}
	return out
}

func crowdsWithin(list []*crowd, first, days int) (out []*crowd) {
	for _, c := range list {
		v := *c
		v.days = c.days[first : first+days]
		out = append(out, &v)
	}
	return out
}
