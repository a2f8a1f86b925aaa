package bound

import (
	"cmp"
	"slices"
)

// cut says that sessions of one exercise within days [first, last] cost at least
// some staff minutes, less slope for each need of its that is left out.
//
// Proof. The needs of a cut are those that can be placed only within its days. If
// u of its n are left out, sessions within the days seat the other n − u. Sessions
// with a trainee of an intake that stays alone have no others, so these sets don't
// share a session, and each costs at least its cover (see newCover). cover(n − u)
// ≥ cover(n) − slope × u by the choice of slope, the largest over the sets.
// Rounding up to whole crews is in the cover, which is what a price on seats alone
// would miss.
type cut struct {
	exercise, first, last int
	least, slope          int64
	needs                 int
	classes               []int
}

// mostCuts is how many cuts are kept for each exercise, beside those that make the
// best sum.
const mostCuts = 120

// demand is what one class asks of an exercise.
type demand struct{ class, first, last, count int }

// newCuts lists the cuts of every exercise that promise most, and which of them
// make the best sum: disjoint stretches of days.
func (f *facts) newCuts() (cuts []cut, best []int) {
	for e := range f.exercises {
		list := f.demands(e)
		if len(list) == 0 || len(f.exercises[e].places) == 0 {
			continue
		}
		all := f.cutsOf(e, list)
		chosen := disjoint(all, len(f.days))
		for _, k := range chosen {
			best = append(best, len(cuts))
			cuts = append(cuts, all[k])
		}
		gain := func(k int) int64 { // what rounding up adds for a need and a day
			c := &all[k]
			rate := f.exercises[e].cover.perHead()
			return (c.least*1000 - rate*int64(c.needs)) / int64(c.last-c.first+3)
		}
		order := make([]int, 0, len(all))
		for k := range all {
			if gain(k) > 0 && !slices.Contains(chosen, k) {
				order = append(order, k)
			}
		}
		slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(gain(b), gain(a)) })
		for _, k := range order[:min(mostCuts, len(order))] {
			cuts = append(cuts, all[k])
		}
	}
	return cuts, best
}

// perHead is the least staff minutes a head in a full session, times 1000.
func (c *cover) perHead() int64 {
	rate := int64(-1)
	for n := 1; n < len(c.least); n++ {
		if v := c.least[n] * 1000 / int64(n); rate < 0 || v < rate {
			rate = v
		}
	}
	return max(0, rate)
}

// demands lists by class from the first to the last day on which an exercise can be done.
func (f *facts) demands(e int) (out []demand) {
	for c := range f.classes {
		v := &f.classes[c]
		i := slices.Index(v.needs, e)
		if i < 0 {
			continue
		}
		d := demand{class: c, first: -1, count: v.count}
		for k, can := range v.can {
			if can>>i&1 == 1 {
				if d.first < 0 {
					d.first = v.first + k
				}
				d.last = v.first + k
			}
		}
		if d.first >= 0 {
			out = append(out, d)
		}
	}
	return out
}

// cutsOf makes a cut of every stretch from some demand's first to some demand's last day.
func (f *facts) cutsOf(e int, list []demand) (out []cut) {
	var firsts, lasts []int
	for _, d := range list {
		firsts, lasts = append(firsts, d.first), append(lasts, d.last)
	}
	slices.Sort(firsts)
	slices.Sort(lasts)
	firsts, lasts = slices.Compact(firsts), slices.Compact(lasts)
	for len(firsts)*len(lasts)*len(list) > 20_000_000 { // keep every other
		firsts, lasts = thinned(firsts), thinned(lasts)
	}
	for _, a := range firsts {
		had := 0
		for _, b := range lasts {
			if b < a {
				continue
			}
			c := f.newCut(e, a, b, list)
			if c.needs > had {
				out, had = append(out, c), c.needs
			}
		}
	}
	return out
}

func thinned(list []int) (out []int) {
	for i := 0; i < len(list); i += 2 {
		out = append(out, list[i])
	}
	return out
}

func (f *facts) newCut(e, first, last int, list []demand) cut {
	c := cut{exercise: e, first: first, last: last}
	cover, mixed := &f.exercises[e].cover, 0
	alone := make(map[int]int)
	for _, d := range list {
		if d.first < first || d.last > last {
			continue
		}
		c.classes, c.needs = append(c.classes, d.class), c.needs+d.count
		if v := &f.classes[d.class]; v.alone {
			alone[v.intake] += d.count
		} else {
			mixed += d.count
		}
	}
	c.least, c.slope = cover.of(mixed), cover.slopeOf(mixed)
	for _, n := range alone {
		c.least, c.slope = c.least+cover.of(n), max(c.slope, cover.slopeOf(n))
	}
	return c
}

// disjoint chooses cuts that share no day, with the largest sum of least minutes.
func disjoint(all []cut, days int) (out []int) {
	byLast := make([][]int, days)
	for k := range all {
		byLast[all[k].last] = append(byLast[all[k].last], k)
	}
	sum, with := make([]int64, days+1), make([]int, days)
	for d := range days {
		sum[d+1], with[d] = sum[d], -1
		for _, k := range byLast[d] {
			if v := sum[all[k].first] + all[k].least; v > sum[d+1] {
				sum[d+1], with[d] = v, k
			}
		}
	}
	for d := days - 1; d >= 0; d-- {
		if k := with[d]; k >= 0 {
			out = append(out, k)
			d = all[k].first
		}
	}
	return out
}
