package solve

import (
	"cmp"
	"slices"

	"rungbook/internal/civil"
)

// sequenceOf returns the sequence of the sessions listed: the one that was searched
// last, if it is the same again. nil if a day has no starts.
func (w *walk) sequenceOf(d int) *sequence {
	s, p := w.s, &w.packer
	if len(s.t.starts[d]) == 0 {
		return nil
	}
	order := make([]int32, len(p.slots))
	for i := range order {
		order[i] = int32(i)
	}
	slots := slices.Clone(p.slots)
	slices.SortFunc(order, func(a, b int32) int {
		x, y := &slots[a], &slots[b]
		return cmp.Or(cmp.Compare(x.spot, y.spot), slices.Compare(x.group, y.group))
	})
	at := make([]int32, len(order)) // by entry as the slots were listed: its new number
	for i, o := range order {
		p.slots[i] = slots[o]
		at[o] = int32(i)
	}
	if key := w.packKey(d); p.q == nil || p.key != key {
		p.key = key
		p.q = w.newSequence(d)
		p.q.seal(at)
	}
	return p.q
}

// packKey is a fingerprint of a day and what is to be put in order on it.
func (w *walk) packKey(d int) uint64 {
	key := scramble(uint64(d))
	add := func(n int) { key = scramble(key ^ uint64(n)) }
	for i := range w.packer.slots {
		x := &w.packer.slots[i]
		add(x.spot)
		for _, list := range [3][]int{x.group, x.staff[0], x.staff[1]} {
			add(-1 - len(list))
			for _, v := range list {
				add(v)
			}
		}
		for _, word := range x.allowed {
			key = scramble(key ^ word)
		}
	}
	return key
}

func (w *walk) newSequence(d int) *sequence {
	s, slots := w.s, w.packer.slots
	n := len(slots)
	q := &sequence{must: make([]bool, n*n), gaps: [2]gaps{make(gaps, n), make(gaps, n)}}
	start := s.t.starts[d][0]
	for i := range slots {
		q.entries = append(q.entries, entryOf(slots[i].allowed, s.t.starts[d], start))
	}
	w.queueBodies(q)
	w.queuePlaces(q)
	return q
}

// entryOf says when a session may start.
func entryOf(allowed slotSet, list starts, zero civil.Instant) entry {
	first, last := allowed.next(0), allowed.prev(len(allowed)*64-1)
	e := entry{first: int32(list[first].Sub(zero)), last: int32(list[last].Sub(zero))}
	n := 0
	for i := first; i >= 0; i = allowed.next(i + 1) {
		n++
	}
	if n == int(e.last-e.first)+1 {
		return e
	}
	e.next = make([]int32, e.last-e.first+1)
	i := last
	for m := e.last; m >= e.first; m-- {
		if i > first {
			if before := allowed.prev(i - 1); int32(list[before].Sub(zero)) >= m {
				i = before
			}
		}
		e.next[m-e.first] = int32(list[i].Sub(zero))
	}
	return e
}

// queuePlaces adds queues for stations and zones.
func (w *walk) queuePlaces(q *sequence) {
	c, slots := w.s.c, w.packer.slots
	stations, zones := make([][]member, len(c.stations)), make([][]member, c.zones)
	for i := range slots {
		sp := &w.s.t.spots[slots[i].spot]
		ex, st := &c.exercises[sp.exercise], &c.stations[sp.station]
		m := member{entry: int32(i), before: int32(ex.setup), after: int32(ex.minutes + ex.strike + st.turnaround)}
		stations[sp.station] = append(stations[sp.station], m)
		m.after -= int32(st.turnaround)
		for _, z := range st.zones {
			zones[z] = append(zones[z], m)
		}
	}
	w.queueAll(q, stations)
	w.queueAll(q, zones)
}

// queueAll adds those queues in which something waits for something else, and that
// no queue before says all of.
func (w *walk) queueAll(q *sequence, all [][]member) {
	for _, list := range all {
		if len(list) > 1 && !q.covers(list) {
			q.queueUp(list)
		}
	}
}

// covers reports whether one queue keeps the same entries apart at least as far.
func (q *sequence) covers(list []member) bool {
	for lo := 0; lo < len(q.members); {
		hi := lo
		for hi < len(q.members) && q.members[hi].queue == q.members[lo].queue {
			hi++
		}
		if hi-lo == len(list) && slices.EqualFunc(q.members[lo:hi], list, func(a, b member) bool {
			return a.entry == b.entry && a.before >= b.before && a.after >= b.after
		}) {
			return true
		}
		lo = hi
	}
	return false
}

// queueBodies adds queues for people, and notes what must come before what.
func (w *walk) queueBodies(q *sequence) {
	c, s, slots := w.s.c, w.s, w.packer.slots
	bodies := make([][]member, len(c.bodies))
	of := make([][]int32, len(c.trainees))
	for i := range slots {
		ex := &c.exercises[s.t.spots[slots[i].spot].exercise]
		for _, t := range slots[i].group {
			b := c.trainees[t].body
			bodies[b] = append(bodies[b], member{entry: int32(i), after: int32(ex.minutes)})
			of[t] = append(of[t], int32(i))
		}
		for _, list := range slots[i].staff {
			for _, p := range list {
				b := c.people[p].body
				bodies[b] = append(bodies[b], member{entry: int32(i), before: int32(ex.setup), after: int32(ex.minutes + ex.strike)})
			}
		}
	}
	for _, list := range of {
		w.orderOf(q, list)
	}
	w.queueAll(q, bodies)
}

// orderOf notes which of a trainee's sessions must come before which, and how long.
func (w *walk) orderOf(q *sequence, list []int32) {
	c, n := w.s.c, int32(len(q.entries))
	exercise := func(i int32) int { return w.s.t.spots[w.packer.slots[i].spot].exercise }
	for _, i := range list {
		for _, j := range list {
			for _, a := range c.exercises[exercise(j)].after {
				if a.exercise != exercise(i) {
					continue
				}
				q.must[i*n+j] = true
				if a.minGap > 0 {
					m := int32(c.exercises[exercise(i)].minutes + a.minGap)
					q.gaps[forth][i] = append(q.gaps[forth][i], gap{j, m})
					q.gaps[back][j] = append(q.gaps[back][j], gap{i, m})
				}
			}
		}
	}
}
