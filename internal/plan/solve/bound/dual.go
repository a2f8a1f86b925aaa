package bound

// dual is the relaxed problem under one set of weights: rules that tie trainees,
// stations and staff together are priced, and what remains falls apart.
//
// Proof. Take any valid plan and any prices ≥ 0. In the plan
//   - seats taken in an exercise on a day ≤ seats its sessions offer, and ≤ those
//     that a crowd leaves room for,
//   - instructors its crews ask ≤ instructors given, and likewise further staff
//     (an instructor beyond the ratio counts as such),
//   - staff minutes of a cut's sessions ≥ least − slope × its needs left out.
//
// Each price times what its rule has to spare is ≥ 0, so taking these sums off the
// plan's cost gives no more than that cost. The terms then group into
//   - per intake: days, seat prices, what is left out (unplaced less cuts' slopes)
//     and the last day;
//   - per ground and day: sessions, each worth its seat prices less its staff
//     minutes (less cuts) and staff prices, taken off;
//   - per crowd and day: the room for trainees, taken off (see crowd);
//   - per person and day: the staff prices of the parts taken, taken off;
//   - the cuts' least minutes, added.
//
// Each group is bounded over all it could be in a valid plan (price, newYard,
// newBook), so the sum is a lower bound, whatever the prices. All numbers are
// whole; nothing is rounded but downwards.
type dual struct {
	f        *facts
	w        weights
	cuts     []cut
	grounds  []*ground
	crowds   []*crowd
	staffed  bool    // staff prices are in use
	cutsAt   [][]int // by class: cuts that hold one of its needs
	teachers []int   // by exercise and day: see teachersOn

	staff    []int64   // by exercise and day: what a staff minute costs beside the cuts
	paid     []int64   // by exercise and day: staff minutes of the sessions chosen
	dropped  []int64   // by cut: needs left out
	fees     [][]int64 // by class and exercise: what leaving it out costs; nil = unplaced
	unplaced [][]int64 // the same less what cuts give back
	paths    []path
	over     excess
}

func newDual(f *facts, w weights, cuts []cut, grounds []*ground, crowds []*crowd) *dual {
	n := len(f.exercises) * len(f.days)
	d := &dual{f: f, w: w, cuts: cuts, grounds: grounds, crowds: crowds, staffed: true, staff: make([]int64, n), paid: make([]int64, n),
		dropped: make([]int64, len(cuts)), over: excess(*newPrices(f, len(cuts)))}
	d.cutsAt = make([][]int, len(f.classes))
	for k := range cuts {
		for _, c := range cuts[k].classes {
			d.cutsAt[c] = append(d.cutsAt[c], k)
		}
	}
	for range f.classes {
		d.unplaced = append(d.unplaced, make([]int64, len(f.exercises)))
	}
	d.teachers = make([]int, n)
	for k := range d.teachers {
		d.teachers[k] = f.teachersOn(k/len(f.days), k%len(f.days))
	}
	for i := range f.people {
		for _, s := range f.people[i].days {
			d.staffed = d.staffed && (s == nil || s.book.worth)
		}
	}
	return d
}

// value is the bound that prices prove, in parts of the unit of cost. It leaves
// in over by how much the answer oversteps each rule.
func (d *dual) value(x *prices) int64 {
	d.over.clear()
	clear(d.paid)
	clear(d.dropped)
	sum := d.payCuts(x)
	for in := range d.f.intakes {
		sum += d.intake(in, x)
	}
	for _, c := range d.crowds {
		sum -= d.crowd(c, x)
	}
	for _, g := range d.grounds {
		sum -= d.ground(g, x)
	}
	if d.staffed {
		sum -= d.people(x)
	}
	d.weighCuts()
	return sum
}

// payCuts settles what staff minutes and unplaced needs cost beside the cuts.
func (d *dual) payCuts(x *prices) (sum int64) {
	n := len(d.f.days)
	for i := range d.staff {
		d.staff[i] = d.w.staff
	}
	for c := range d.unplaced {
		if d.fees != nil {
			copy(d.unplaced[c], d.fees[c])
			continue
		}
		for e := range d.unplaced[c] {
			d.unplaced[c][e] = d.w.unplaced
		}
	}
	for k, price := range x.cut {
		if price == 0 {
			continue
		}
		c := &d.cuts[k]
		sum += price * c.least
		for day := c.first; day <= c.last; day++ {
			d.staff[c.exercise*n+day] -= price
		}
		for _, class := range c.classes {
			d.unplaced[class][c.exercise] -= price * c.slope
		}
	}
	return sum
}

// intake is the least an intake costs: over each last day, its index and the
// cheapest paths that end by then.
func (d *dual) intake(in int, x *prices) int64 {
	f, classes := d.f, d.f.intakes[in]
	for len(d.paths) < len(classes) {
		d.paths = append(d.paths, path{})
	}
	var none int64
	first, last := len(f.days), -1
	for i, c := range classes {
		v := &f.classes[c]
		none += int64(v.count) * f.price(v, d.w, x, d.unplaced[c], &d.paths[i])
		if len(v.can) > 0 {
			first, last = min(first, v.first), max(last, v.first+len(v.can)-1)
		}
	}
	best, at := none, -1
	for day := first; day <= last; day++ {
		sum := d.w.intakeDay * f.beyond(in, day)
		for i, c := range classes {
			v := &f.classes[c]
			if k := min(day-v.first, len(v.can)-1); k >= 0 {
				sum += int64(v.count) * d.paths[i].byLast[k]
			} else {
				sum += int64(v.count) * d.paths[i].left[v.lattice.empty]
			}
		}
		if sum < best {
			best, at = sum, day
		}
	}
	for i, c := range classes {
		best += d.follow(c, at, x, &d.paths[i])
	}
	return best
}

// follow counts what a class does in the cheapest answer. It returns what its
// needs beyond the lattice cost.
func (d *dual) follow(c, last int, x *prices, p *path) (beyond int64) {
	f := d.f
	v := &f.classes[c]
	left := func(e int) {
		for _, k := range d.cutsAt[c] {
			if d.cuts[k].exercise == e {
				d.dropped[k] += int64(v.count)
			}
		}
	}
	p.walk(v, min(last-v.first, len(v.can)-1), len(f.days), v.count, d.over.seat, left)
	for _, e := range v.dropped {
		price, day := f.priceDropped(e, x, d.unplaced[c][e])
		beyond += int64(v.count) * price
		if day >= 0 {
			d.over.seat[e*len(f.days)+day] += int64(v.count)
		}
	}
	return beyond
}

// people is the most that the staff's days are worth.
func (d *dual) people(x *prices) (sum int64) {
	n := len(d.f.days)
	var worth []int64
	for i := range d.f.people {
		for day, s := range d.f.people[i].days {
			if s == nil {
				continue
			}
			worth = worth[:0]
			for _, q := range s.parts {
				worth = append(worth, d.over.priceOf(x, q, n, day))
			}
			sum += s.best(worth, func(q part, times int64) {
				if k := q.exercise*n + day; q.teaches {
					d.over.teach[k] -= times
				} else {
					d.over.aid[k] -= times
				}
			})
		}
	}
	return sum
}

// priceOf is the price of a part on a day.
func (*excess) priceOf(x *prices, q part, days, day int) int64 {
	if q.teaches {
		return x.teach[q.exercise*days+day]
	}
	return x.aid[q.exercise*days+day]
}

// weighCuts works out by how much the answer falls short of each cut.
func (d *dual) weighCuts() {
	n := len(d.f.days)
	for k := range d.cuts {
		c := &d.cuts[k]
		short := c.least - c.slope*d.dropped[k]
		for day := c.first; day <= c.last; day++ {
			short -= d.paid[c.exercise*n+day]
		}
		d.over.cut[k] = short
	}
}
