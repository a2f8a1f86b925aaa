package solve

import (
	"cmp"
	"slices"
)

// perStation is how many offers a station and day may have before the list is
// made diverse.
const perStation = 3

// berth is one station on the inquiry's day.
type berth struct {
	*inquiry
	at     int
	st     *station
	need   team
	always rules            // broken at any time
	placed []rules          // by slot: what the station's time breaks
	teams  map[pool]*crewed // by who is free
}

// pool is who could staff a slot, and how many the rig bears.
type pool struct {
	free mateSet
	room int
}

// crewed is the best team out of a pool, with those who take part in any case.
type crewed struct {
	instructors, rescuers []string // ids, sorted
	price                 price
	broken                rules
}

func (c *crewed) size() int { return len(c.instructors) + len(c.rescuers) }

// tryStation looks for the best times of a station on the inquiry's day.
func (q *inquiry) tryStation(at int) {
	st := &q.c.stations[at]
	b := &berth{inquiry: q, at: at, st: st, teams: make(map[pool]*crewed)}
	b.need = team{teachers: q.ex.instructorsFor(at, len(q.group)), staff: st.staffMin, aiders: st.firstAiders, rescue: st.rescue}
	b.always = q.day.always | stationFit.when(!slices.Contains(q.ex.stations, at)) |
		groupSize.when(len(q.group) < q.ex.groupMin || len(q.group) > q.c.mostTrainees(q.e, at))
	b.placed = make([]rules, len(q.day.slots))
	for i := range b.placed {
		b.placed[i] = b.always | b.place(&q.day.slots[i])
	}
	if found := b.clear(); len(found) > 0 {
		q.offers = append(q.offers, found...)
		return
	}
	q.refused = append(q.refused, b.leastBad())
}

// place returns what a slot breaks on the station whoever takes part.
func (b *berth) place(s *slot) rules {
	q, st := b.inquiry, b.st
	trial := q.trial[count(st.height)]
	trial.station = b.at
	q.c.setTime(trial, s.start, s.start.Add(q.ex.minutes))
	out := openHours.when(!q.c.openAt(trial.day, trial.span)) |
		daylight.when(st.needsDaylight && !q.c.lightAt(trial.day, trial.span))
	for _, shut := range st.shut {
		out |= stationShut.when(shut.Overlaps(trial.hold))
	}
	q.b.clashes(trial, func(f fault) { out |= f.rule.set() })
	for k := range q.c.kits {
		if n := q.c.takes(trial, k); n > 0 {
			out |= kitUse.when(q.b.kitOver(k, trial.hold, n) > 0)
		}
	}
	return out
}

// clear finds up to perStation times that break nothing and don't overlap, the
// best first. Slots with less idle time come first whatever their staff, so it
// stops when enough are found.
func (b *berth) clear() []proposal {
	order := make([]int, 0, len(b.placed))
	for i, broken := range b.placed {
		if broken == 0 && b.crew(&b.day.slots[i], b.at).broken == 0 {
			order = append(order, i)
		}
	}
	slots := b.day.slots
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(slots[i].idle, slots[j].idle) })
	var found []proposal
	for i := 0; i < len(order) && len(found) < perStation; {
		var same []proposal
		idle := slots[order[i]].idle
		for ; i < len(order) && slots[order[i]].idle == idle; i++ {
			if p := b.propose(order[i]); p.broken == 0 {
				same = append(same, p)
			}
		}
		slices.SortFunc(same, b.rank)
		for _, p := range same {
			overlaps := slices.ContainsFunc(found, func(o proposal) bool { return o.hold.Overlaps(p.hold) })
			if !overlaps && len(found) < perStation {
				found = append(found, p)
			}
		}
	}
	return found
}

// leastBad finds the time that breaks fewest rules, the earliest of these.
func (b *berth) leastBad() proposal {
	order := make([]int, len(b.placed))
	sure := make([]int, len(b.placed))
	for i, broken := range b.placed {
		order[i] = i
		sure[i] = (broken | b.crew(&b.day.slots[i], b.at).broken).count()
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(sure[i], sure[j]) })
	best, at := b.propose(order[0]), order[0]
	for _, i := range order[1:] {
		if sure[i] > best.broken.count() {
			break
		}
		p := b.propose(i)
		if n, m := p.broken.count(), best.broken.count(); n < m || n == m && i < at {
			best, at = p, i
		}
	}
	return best
}

// propose puts a session into a slot, with the best staff there is.
func (b *berth) propose(i int) proposal {
	s := &b.day.slots[i]
	cr := b.crew(s, b.at)
	staff := b.staff(pool{cr.free, b.b.room(b.st.rig, len(b.group)+len(b.others), cr.hold, cr.span)})
	return proposal{station: b.at, day: b.day, slot: s, hold: cr.hold, broken: b.placed[i] | cr.broken | staff.broken, staff: staff}
}

// staff finds the best team out of a pool; the same pool gives the same team.
func (b *berth) staff(of pool) *crewed {
	of.room = min(of.room, b.day.chosen.size()+b.need.most())
	if found := b.teams[of]; found != nil {
		return found
	}
	var mates []mate
	for i := range b.day.mates {
		if of.free.has(i) {
			mates = append(mates, b.day.mates[i])
		}
	}
	s := newSearch(b.need, b.day.chosen, mates, of.room)
	var broken rules
	team, price, ok := s.complete()
	if !ok {
		team, broken = s.nearest()
		price = s.bestPrice
	}
	found := &crewed{b.ids(team.instructors), b.ids(team.rescuers), b.day.price + price, broken}
	b.teams[of] = found
	return found
}

func (b *berth) ids(people []int) []string {
	out := make([]string, len(people))
	for i, p := range people {
		out[i] = b.c.people[p].id
	}
	slices.Sort(out)
	return out
}
