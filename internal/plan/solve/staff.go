package solve

import (
	"cmp"
	"math/rand/v2"
	"slices"

	"rungbook/internal/civil"
)

// recruiter finds staff for sessions of a search. People whose skills few others
// have are the dearest, so they stay free for what only they can do; chance
// decides between those who are equally dear.
type recruiter struct {
	s      *state
	chance *rand.Rand
	seek   search
	mates  []mate
	wanted []int // people to take first, if they are free
}

// post is a session to staff.
type post struct {
	spot      *spot
	day, slot int
	hold      civil.Period
	span      civil.Period
	trainees  []int
	guests    int      // others who watch
	standing  *session // it is on the board already, with its own staff kept
}

func (s *state) post(sp *spot, d, slot int, trainees []int) post {
	ex := &s.c.exercises[sp.exercise]
	start := s.t.starts[d][slot]
	span := civil.Period{Start: start, End: start.Add(ex.minutes)}
	return post{spot: sp, day: d, slot: slot, span: span, hold: ex.hold(span), trainees: trainees}
}

// asks returns what n trainees on a spot ask of their staff.
func (t *task) asks(sp *spot, n int) team {
	st := &t.c.stations[sp.station]
	return team{
		teachers: t.c.exercises[sp.exercise].instructorsFor(sp.station, n), staff: st.staffMin,
		aiders: st.firstAiders, rescue: st.rescue,
	}
}

// staff finds the smallest team for a post, of these a cheap one. Those of a
// standing session stay.
func (r *recruiter) staff(at *post) (instructors, rescuers []int, ok bool) {
	s, n := r.s, len(at.trainees)
	need := s.t.asks(at.spot, n)
	r.seek.at.clear()
	guests, rig := n+at.guests, s.c.stations[at.spot.station].rig
	if x := at.standing; x != nil {
		guests -= len(x.trainees) + at.guests // those are counted on the board
		r.keep(x, at.day)
	}
	room := noLimit
	if s.c.rigs[rig] > 0 {
		room = s.room(rig, guests, at.hold, at.span) + r.seek.at.size()
	}
	if need.short(len(r.seek.at.instructors), len(r.seek.at.rescuers), len(r.seek.at.rescuers), r.seek.at.aiders, r.seek.at.counted).sum() == 0 {
		if x := at.standing; x != nil && room >= r.seek.at.size() {
			return x.instructors, x.rescuers, true
		}
	}
	r.gather(at)
	r.seek.begin(need, r.mates, room)
	best, _, ok := r.seek.complete()
	if !ok {
		return nil, nil, false
	}
	return sorted(best.instructors), sorted(best.rescuers), true
}

// keep notes the staff of a standing session as those who take part in any case.
func (r *recruiter) keep(x *session, d int) {
	day := r.s.c.from + civil.Day(d)
	for i, list := range [2][]int{x.instructors, x.rescuers} {
		for _, p := range list {
			m := r.mate(p, x.exercise, day)
			r.seek.at.join(&m, asInstructor+part(i))
		}
	}
}

func sorted(list []int) []int {
	out := slices.Clone(list)
	slices.Sort(out)
	return out
}

func (s *staffing) clear() {
	s.instructors, s.rescuers, s.bodies = s.instructors[:0], s.rescuers[:0], s.bodies[:0]
	s.aiders, s.counted = 0, 0
}

// mate says what somebody can do for an exercise on a day.
func (r *recruiter) mate(p, e int, day civil.Day) mate {
	pe := &r.s.c.people[p]
	return mate{
		person: p, body: pe.body, shared: r.s.c.bodies[pe.body].staff > 1,
		teaches: validOn(pe.teaches[e], day), rescues: validOn(pe.rescuer, day), aids: validOn(pe.firstAid, day),
	}
}

// gather lists who is free for a post, cheapest first.
func (r *recruiter) gather(at *post) {
	s, e := r.s, at.spot.exercise
	r.mates = r.mates[:0]
	list := s.t.teachers[e]
	if at.spot.rescued {
		list = s.t.standby[e]
	}
	shape := s.t.asStaff[e][count(s.c.stations[at.spot.station].height)]
	day := s.c.from + civil.Day(at.day)
	for _, p := range list {
		free := s.personFree(p, shape, at.day)
		if free == nil || !free.has(at.slot) || slices.Contains(r.seek.at.bodies, s.c.people[p].body) {
			continue
		}
		m := r.mate(p, e, day)
		if !m.teaches && !m.rescues || s.t.isIn(p, at.trainees) {
			continue
		}
		m.price = price(s.t.value[p])
		m.price += price(r.chance.Int64N(int64(m.price)/4 + 16))
		if slices.Contains(r.wanted, p) {
			m.price = 0
		}
		r.mates = append(r.mates, m)
	}
	slices.SortFunc(r.mates, func(a, b mate) int { return cmp.Or(cmp.Compare(a.price, b.price), cmp.Compare(a.person, b.person)) })
}

// isIn reports whether a member of staff is, as a body, one of some trainees.
func (t *task) isIn(p int, trainees []int) bool {
	body := t.c.people[p].body
	for _, tr := range trainees {
		if t.c.trainees[tr].body == body {
			return true
		}
	}
	return false
}

// trim sends home those whom a session no longer needs.
func (r *recruiter) trim(x *session) {
	s, sp := r.s, &r.s.t.spots[x.spot]
	size := len(x.instructors) + len(x.rescuers)
	if x.bound || size <= sp.staff[len(x.trainees)] {
		return
	}
	r.seek.at.clear()
	r.mates = r.mates[:0]
	for _, list := range [2][]int{x.instructors, x.rescuers} {
		for _, p := range list {
			m := r.mate(p, x.exercise, x.day)
			m.price = price(s.t.value[p]) // the dearest go first
			r.mates = append(r.mates, m)
		}
	}
	slices.SortFunc(r.mates, func(a, b mate) int { return cmp.Or(cmp.Compare(a.price, b.price), cmp.Compare(a.person, b.person)) })
	r.seek.begin(s.t.asks(sp, len(x.trainees)), r.mates, noLimit)
	if best, _, ok := r.seek.complete(); ok && best.size() < size {
		s.restaff(x, sorted(best.instructors), sorted(best.rescuers))
	}
}

// sameStaff returns the staff of an old session, if it can still do what is asked.
func (r *recruiter) sameStaff(at *post, old *session) (instructors, rescuers []int, ok bool) {
	s := r.s
	r.seek.at.clear()
	r.gather(at)
	for i, list := range [2][]int{old.instructors, old.rescuers} {
		for _, p := range list {
			as := asInstructor + part(i)
			j := slices.IndexFunc(r.mates, func(m mate) bool { return m.person == p && m.can(as) })
			if j < 0 || slices.Contains(r.seek.at.bodies, r.mates[j].body) {
				return nil, nil, false
			}
			r.seek.at.join(&r.mates[j], as)
		}
	}
	a := &r.seek.at
	short := s.t.asks(at.spot, len(at.trainees)).short(len(a.instructors), len(a.rescuers), len(a.rescuers), a.aiders, a.counted)
	rig := s.c.stations[at.spot.station].rig
	if short.sum() > 0 || s.c.rigs[rig] > 0 && a.size() > s.room(rig, len(at.trainees), at.hold, at.span) {
		return nil, nil, false
	}
	return old.instructors, old.rescuers, true
}
