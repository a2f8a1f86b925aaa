package bound

// weigh is what one session at a place is worth with a crew: its seats' prices
// less its staff minutes and staff prices.
func (d *dual) weigh(i, day int, x *prices, c crew) int64 {
	e := d.f.places[i].exercise
	k := e*len(d.f.days) + day
	pay := int64(d.f.exercises[e].hold()) * d.staff[k]
	return x.seat[k]*int64(c.seats) - pay*int64(c.staff) - x.teach[k]*int64(c.teachers) - x.aid[k]*int64(c.staff-c.teachers)
}

// wanted is how much a free session at a place is wished for: among days worth the
// same, those that seat more are the better guide. It has no part in the bound.
func (d *dual) wanted(i, day int, x *prices) int64 {
	at := &d.f.places[i]
	k := at.exercise*len(d.f.days) + day
	if x.seat[k]|d.staff[k]|x.teach[k]|x.aid[k] != 0 {
		return 0
	}
	return min(max(0, d.over.seat[k]), int64(at.crews[len(at.crews)-1].seats))
}

// offer is one place of a ground on one day.
type offer struct {
	open  bool
	best  int64 // what one session is worth
	with  crew
	tie   int64
	menu  menu
	short bool // teachers are too few for the best crew every time: menu counts
	staff int  // teachers there are
}

// worth is what n sessions are worth.
func (o *offer) worth(n int) int64 {
	switch {
	case n == 0 || o.best <= 0:
		return 0
	case o.short:
		return o.menu.worth[n]
	}
	return int64(n) * o.best
}

// prepare weighs the sessions at a place on a day, up to most of them.
func (d *dual) prepare(o *offer, i, day, most int, x *prices) {
	at := &d.f.places[i]
	o.open, o.best, o.with, o.tie, o.short = len(at.starts[day]) > 0, 0, crew{}, 0, false
	if !o.open {
		return
	}
	o.tie = d.wanted(i, day, x)
	if x.seat[at.exercise*len(d.f.days)+day] == 0 {
		return
	}
	for _, c := range at.crews {
		if v := d.weigh(i, day, x, c); v > o.best {
			o.best, o.with = v, c
		}
	}
	o.staff = d.teachers[at.exercise*len(d.f.days)+day]
	if o.short = o.best > 0 && o.staff < most*o.with.teachers; o.short {
		o.menu.fill(at.crews, most, o.staff, func(c crew) int64 { return d.weigh(i, day, x, c) })
	}
}

// ground is the most that the days of a ground are worth.
func (d *dual) ground(g *ground, x *prices) (sum int64) {
	offers := make([]offer, len(g.places))
	for day, v := range g.days {
		if v == nil {
			continue
		}
		any := false
		for k, i := range g.places {
			d.prepare(&offers[k], i, day, v.top(k), x)
			any = any || offers[k].best > 0 || offers[k].tie > 0
		}
		if any {
			sum += d.day(g, v, day, offers)
		}
	}
	return sum
}

// day is the most that one day of a ground is worth; the sessions chosen count.
func (d *dual) day(g *ground, v *fullDays, day int, offers []offer) (sum int64) {
	if v.apart != nil {
		worth, most := make([]int64, len(offers)), make([]int, len(offers))
		for k := range offers {
			worth[k], most[k] = offers[k].best, d.f.mostSessions(d.f.places[g.places[k]].exercise)
		}
		for i := range v.apart {
			sum += v.apart[i].value(worth, most, func(k, times int) { d.seat(g.places[k], day, offers[k].with, int64(times)) })
		}
		return sum
	}
	var chosen []uint8
	var ties int64
	for _, full := range v.full {
		var s, t int64
		for k, n := range full {
			s, t = s+offers[k].worth(int(n)), t+int64(n)*offers[k].tie
		}
		if s > sum || (s == sum && t > ties) {
			sum, ties, chosen = s, t, full
		}
	}
	for k, n := range chosen {
		o, i := &offers[k], g.places[k]
		switch {
		case n == 0:
		case o.best > 0 && o.short:
			for _, c := range o.menu.chosen(int(n), o.staff) {
				d.seat(i, day, c, 1)
			}
		case o.best > 0:
			d.seat(i, day, o.with, int64(n))
		case o.tie > 0:
			d.fillFree(i, day, int64(n))
		}
	}
	return sum
}

// seat counts sessions of the cheapest answer.
func (d *dual) seat(i, day int, with crew, times int64) {
	e := d.f.places[i].exercise
	k := e*len(d.f.days) + day
	d.over.seat[k] -= times * int64(with.seats)
	d.over.teach[k] += times * int64(with.teachers)
	d.over.aid[k] += times * int64(with.staff-with.teachers)
	d.paid[k] += times * int64(with.staff) * int64(d.f.exercises[e].hold())
}

// fillFree counts up to some free sessions, as many as there are trainees for.
func (d *dual) fillFree(i, day int, times int64) {
	at := &d.f.places[i]
	with := at.crews[len(at.crews)-1]
	k := at.exercise*len(d.f.days) + day
	want := max(0, d.over.seat[k])
	times = min(times, ceilDiv(want, int64(with.seats)))
	d.seat(i, day, with, times)
	d.over.seat[k] += max(0, times*int64(with.seats)-want)
}
