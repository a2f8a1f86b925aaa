package solve

import "rungbook/internal/civil"

// ruinUnplaced makes room for a need that has no seat: on one of the days on which
// the trainee could come it dissolves what stands on the stations of that exercise
// and on those that share ground, energy or kit with them, or what keeps those who
// teach it, and what the trainee has. The need is seated before what had to go.
func ruinUnplaced(k *rebuilder, x *session, most int) {
	s := k.s
	n := k.pickOpen()
	if n < 0 {
		ruinExercise(k, x, most)
		return
	}
	t := s.t.needs[n].trainee
	for _, m := range s.t.needsOf[t] {
		if s.where[m] == nil {
			k.take(m)
		}
	}
	n = k.firstMissing(n)
	if n < 0 {
		return
	}
	e := s.t.needs[n].exercise
	switch w := s.windowOf(t, e); {
	case w.none() || k.chance.IntN(6) == 0:
		k.unseatTrainee(t)
	case k.chance.IntN(4) == 0:
		k.unseatFellows(t)
		k.look.haste = k.chance.Int64N(s.t.scale/2 + 1)
	default:
		k.clearDay(t, e, w.days, most)
	}
	if k.chance.IntN(2) == 0 {
		k.urgent = e
	}
}

// unseatFellows unseats those who came with a trainee, over their whole time: what
// they do first may have to move so that what comes last has room.
func (k *rebuilder) unseatFellows(t int) {
	for _, u := range k.s.t.intakes[k.s.t.intakeOf[t]].trainees {
		if len(k.pending) < mostFellows {
			k.unseatTrainee(u)
		}
	}
}

// mostFellows is about how many needs are unseated at once at most.
const mostFellows = 250

// pickOpen draws a need without a seat that may be seated; −1 if it finds none.
func (k *rebuilder) pickOpen() int {
	for range min(20, len(k.s.open)) {
		if n := k.s.open[k.chance.IntN(len(k.s.open))]; k.region.has(k.s.t.needs[n].trainee) {
			return n
		}
	}
	return -1
}

// firstMissing returns the first need of the chain of `after` that leads to n and
// has no seat; −1 if n can't be done at all.
func (k *rebuilder) firstMissing(n int) int {
	s, t := k.s, k.s.t.needs[n].trainee
	for {
		e, earlier := s.t.needs[n].exercise, -1
		for _, a := range s.c.exercises[e].after {
			m := s.t.needOf(t, a.exercise)
			if m < 0 && len(s.c.trainees[t].done[a.exercise]) == 0 {
				return -1
			}
			if m >= 0 && s.where[m] == nil {
				earlier = m
			}
		}
		if earlier < 0 {
			return n
		}
		n = earlier
	}
}

// clearDay makes room on one day for an exercise that a trainee misses.
func (k *rebuilder) clearDay(t, e int, days dayRange, most int) {
	s, spots := k.s, k.s.t.spotsOf[e]
	days = dayRange{max(days.from, k.region.days.from), min(days.to, k.region.days.to)}
	if len(spots) == 0 || days.from >= days.to {
		return
	}
	sp := &s.t.spots[spots[k.chance.IntN(len(spots))]]
	d := days.from + k.chance.IntN(days.to-days.from)
	for range 10 {
		if sp.light[d] != nil {
			break
		}
		d = days.from + k.chance.IntN(days.to-days.from)
	}
	for _, n := range s.t.needsOf[t] {
		if o := s.where[n]; o != nil && s.t.day(o.day) == d && k.mayUnseat(o) {
			k.unseat(n, func(m int) { k.take(m) })
		}
	}
	var list []*session
	if k.chance.IntN(3) == 0 {
		for _, p := range s.t.teachers[e] {
			list = append(list, s.staffedOn(p, d)...)
		}
	} else {
		for _, at := range s.t.near[sp.station] {
			list = append(list, s.heldOn(at, d)...)
		}
	}
	k.chance.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
	for _, o := range list {
		if len(k.pending) >= most {
			return
		}
		if s.stands(o) {
			k.clear(o)
		}
	}
}

// heldOn lists the sessions on a station that start on a day.
func (s *state) heldOn(station, d int) (out []*session) {
	r := s.byStation[station]
	for _, o := range r[r.from(s.c.midnight(s.c.from+civil.Day(d)).Add(-s.longest)):] {
		if at := s.t.day(o.day); at == d {
			out = append(out, o)
		} else if at > d {
			break
		}
	}
	return out
}

// staffedOn lists the sessions that somebody staffs on a day.
func (s *state) staffedOn(p, d int) (out []*session) {
	b := &s.bodies[s.c.people[p].body]
	for _, tm := range b.list[b.from(s.c.midnight(s.c.from+civil.Day(d)).Add(-b.longest)):] {
		if at := s.t.day(tm.day); at > d {
			break
		} else if at == d && tm.s != nil && (tm.as == asInstructor || tm.as == asRescuer) {
			out = append(out, tm.s)
		}
	}
	return out
}
