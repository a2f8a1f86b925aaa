package solve

// ruinOutline seats a group anew in lockstep: over as few days as what they need can
// be met in, everybody on the same days, each day's exercises one after another (see
// outline). The group is that of x or its whole intake, the time all of theirs or a
// stretch of days. What of others is in the way may lose its seat.
func ruinOutline(k *rebuilder, x *session, most int) {
	t := x.trainees[k.chance.IntN(len(x.trainees))]
	o := k.s.t.outlineOf[t]
	if o == nil {
		ruinGroup(k, x, most)
		return
	}
	group := x.trainees
	if k.chance.IntN(3) == 0 {
		group = k.s.t.intakes[k.s.t.intakeOf[t]].trainees
	}
	stretch := k.stretchOf(t)
	met, rest, members := k.unseatAlike(t, group, stretch)
	days := o.draw(k.s.c, met, rest, k.chance)
	on := k.outlineDays(t, days, stretch)
	if on == nil {
		return
	}
	if every := k.chance.IntN(3); every > 0 {
		for i, d := range on {
			k.clearFor(days[i], d, every, len(k.pending)+most)
		}
	}
	k.seatDays(members, days, on)
}

// unseatAlike unseats a trainee, and those of a group with the same outline, on some
// days. It tells what the trainee has met before and what has no seat now, and which
// of the group stand alike.
func (k *rebuilder) unseatAlike(t int, group []int, stretch dayRange) (met, rest uint32, members []int) {
	o := k.s.t.outlineOf[t]
	k.unseatOn(t, stretch)
	met, rest = k.metOf(o, t, stretch)
	members = []int{t}
	for _, u := range group {
		if u == t || k.s.t.outlineOf[u] != o || !k.region.has(u) {
			continue
		}
		k.unseatOn(u, stretch)
		if m, r := k.metOf(o, u, stretch); m == met && r == rest {
			members = append(members, u)
		}
	}
	return met, rest, members
}

// seatDays seats all members in each day's exercises on the day drawn for it.
func (k *rebuilder) seatDays(members []int, days [][]int, on []int) {
	was := k.region.days
	for i, d := range on {
		k.region.days = dayRange{d, d + 1}
		k.seatDay(members, days[i])
	}
	k.region.days = was
}

// stretchOf draws a stretch of days: all days of a trainee, or from one of those on
// which they come to before a later one.
func (k *rebuilder) stretchOf(t int) dayRange {
	all := k.s.t.traineeDays[t]
	all.from, all.to = max(all.from, k.region.days.from), min(all.to, k.region.days.to)
	list := k.s.byTrainee[t]
	if k.chance.IntN(2) == 0 || len(list) == 0 {
		return all
	}
	first := k.chance.IntN(len(list))
	out := dayRange{k.s.t.day(list[first].day), all.to}
	if first == 0 {
		out.from = all.from
	}
	left := 2 + k.chance.IntN(3)
	for d := out.from; first < len(list); first++ {
		if at := k.s.t.day(list[first].day); at != d {
			d = at
			if left--; left < 0 {
				out.to = at
				break
			}
		}
	}
	return out
}

// unseatOn unseats what a trainee has on some days.
func (k *rebuilder) unseatOn(t int, days dayRange) {
	for _, n := range k.s.t.needsOf[t] {
		if o := k.s.where[n]; o != nil && k.mayUnseat(o) {
			if d := k.s.t.day(o.day); d >= days.from && d < days.to {
				k.unseat(n, func(m int) { k.take(m) })
			}
		}
	}
}

// metOf tells which needs of an outline a trainee has a seat for before some days,
// and which they have none for.
func (k *rebuilder) metOf(o *outline, t int, days dayRange) (met, rest uint32) {
	for i, e := range o.needs {
		switch x := k.s.where[k.s.t.needOf(t, e)]; {
		case x == nil:
			rest |= 1 << i
		case k.s.t.day(x.day) < days.from:
			met |= 1 << i
		}
	}
	return met, rest
}

// outlineDays draws the days for an outline out of a stretch, one after another, each
// with a start for all its exercises; nil if the stretch is over before the last.
func (k *rebuilder) outlineDays(t int, days [][]int, stretch dayRange) (on []int) {
	d := stretch.from
	if d >= stretch.to || len(days) == 0 {
		return nil
	}
	if k.chance.IntN(2) == 0 {
		d += k.chance.IntN(min(stretch.to-d, 6))
	}
	for _, list := range days {
		for d < stretch.to && (!k.opensFor(list, d) || k.chance.IntN(10) == 0) {
			d++
		}
		if d >= stretch.to {
			return nil
		}
		on = append(on, d)
		d++
	}
	return on
}

// opensFor reports whether each exercise of a list has a start on a day.
func (k *rebuilder) opensFor(list []int, d int) bool {
	for _, e := range list {
		open := false
		for _, number := range k.s.t.spotsOf[e] {
			open = open || k.s.t.spots[number].light[d] != nil
		}
		if !open {
			return false
		}
	}
	return true
}

// clearFor dissolves sessions on the stations that some exercises may use on a day:
// each, or every other.
func (k *rebuilder) clearFor(list []int, d, every, most int) {
	for _, e := range list {
		for _, number := range k.s.t.spotsOf[e] {
			for _, x := range k.s.heldOn(k.s.t.spots[number].station, d) {
				if len(k.pending) < most && k.chance.IntN(every) == 0 {
					k.clear(x)
				}
			}
		}
	}
}

// seatDay seats all members in a day's exercises, drawn in an order that each is
// ready for. Who finds no seat waits for the rebuild.
func (k *rebuilder) seatDay(members, list []int) {
	list = append([]int(nil), list...)
	for len(list) > 0 {
		var ready []int
		for i, e := range list {
			if k.s.ready(members[0], e) {
				ready = append(ready, i)
			}
		}
		if len(ready) == 0 {
			return
		}
		i := ready[k.chance.IntN(len(ready))]
		e := list[i]
		list = append(list[:i], list[i+1:]...)
		var waiting []int
		for _, t := range members {
			if k.s.ready(t, e) {
				waiting = append(waiting, t)
			}
		}
		for len(waiting) > 0 {
			if !k.seat(waiting[0], e, waiting) {
				waiting = waiting[1:]
				continue
			}
			left := waiting[:0]
			for _, t := range waiting {
				if k.s.where[k.s.t.needOf(t, e)] == nil {
					left = append(left, t)
				}
			}
			waiting = left
		}
	}
}
