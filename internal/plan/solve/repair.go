package solve

import (
	"cmp"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// begin puts the fixed sessions on the board, then those of the plan to repair
// that still hold.
func (k *rebuilder) begin(old []plan.Session) {
	s := k.s
	s.sums.moved += int64(len(old))
	s.standing, s.old = make([]bool, len(old)), make([]*session, len(old))
	for i := range s.t.p.Fixed {
		x, ok := s.c.session(&s.t.p.Fixed[i])
		if !ok {
			panic("a usable problem's fixed sessions name nothing that it lacks")
		}
		x.bound = true
		s.dense(x)
		s.knowOld(x, old)
		s.onBoard(x)
	}
	s.oldAt = make(map[oldKey][]int, len(old))
	var list []*session
	for i := range old {
		if s.standing[i] {
			continue // it is fixed
		}
		x, ok := s.c.session(&old[i])
		if !ok {
			x = s.c.remnant(&old[i])
		}
		if x == nil {
			continue
		}
		s.dense(x)
		if ok && len(x.others) == 0 {
			c := *x
			s.old[i] = &c
			key := oldKey{x.exercise, x.station, x.span.Start}
			s.oldAt[key] = append(s.oldAt[key], i)
		}
		list = append(list, x)
	}
	slices.SortFunc(list, func(a, b *session) int {
		return cmp.Or(cmp.Compare(a.span.Start, b.span.Start), cmp.Compare(a.station, b.station))
	})
	s.log = s.log[:0]
	for _, x := range list {
		before := len(s.log)
		k.keepOld(x)
		if s.restless() {
			s.undo(before)
		}
	}
	s.log = s.log[:0]
}

// dense fills in what the search knows of a session, its lists sorted.
func (s *state) dense(x *session) {
	slices.Sort(x.trainees)
	slices.Sort(x.instructors)
	slices.Sort(x.rescuers)
	x.spot = s.t.spotOf(x.exercise, x.station)
	if d := s.t.day(x.day); d >= 0 && d < s.t.days {
		x.slot, _ = s.t.starts[d].at(x.span.Start)
	}
}

// remnant returns what is left of a session that names people who have gone; nil
// if its exercise or station has.
func (c *Compiled) remnant(old *plan.Session) *session {
	left := old.Clone()
	gone := func(of map[string]int) func(string) bool {
		return func(id string) bool { _, known := of[id]; return !known }
	}
	left.Trainees = slices.DeleteFunc(left.Trainees, gone(c.traineeOf))
	left.Instructors = slices.DeleteFunc(left.Instructors, gone(c.personOf))
	left.Rescuers = slices.DeleteFunc(left.Rescuers, gone(c.personOf))
	left.Others = nil
	x, ok := c.session(&left)
	if !ok {
		return nil
	}
	return x
}

// keepOld puts a session of the plan to repair back on the board: as it was if it
// still holds, else with those of its trainees who can still come and such staff
// as there is; not at all if that breaks a rule.
func (k *rebuilder) keepOld(old *session) {
	s, d := k.s, k.s.t.day(old.day)
	if d < 0 || d >= s.t.days || old.spot < 0 {
		return
	}
	slot, ok := s.t.starts[d].at(old.span.Start)
	free := s.spotFree(old.spot, d)
	if !ok || free == nil || !free.has(slot) {
		return
	}
	sp := &s.t.spots[old.spot]
	if old.span.Length() != s.c.exercises[sp.exercise].minutes {
		return
	}
	var group []int
	for _, t := range old.trainees {
		if len(group) < sp.most && s.canCome(t, sp, d, slot) && s.mayJoin(t, group) && !s.sharesBody(t, group) {
			group = append(group, t)
		}
	}
	if len(group) < max(1, s.c.exercises[sp.exercise].groupMin) {
		return
	}
	at := s.post(sp, d, slot, group)
	k.recruit.wanted = slices.Concat(old.instructors, old.rescuers)
	instructors, rescuers, ok := k.recruit.sameStaff(&at, old)
	if !ok {
		instructors, rescuers, ok = k.recruit.staff(&at)
	}
	if ok {
		s.add(s.newSession(&at, instructors, rescuers))
	}
}

// canCome reports whether a trainee can do what a spot holds at a start.
func (s *state) canCome(t int, sp *spot, d, slot int) bool {
	n := s.t.needOf(t, sp.exercise)
	if n < 0 || s.where[n] != nil || !s.ready(t, sp.exercise) || !s.entitledOn(t, sp.exercise, d) {
		return false
	}
	w := s.windowOf(t, sp.exercise)
	from, to := w.slots(s.t, d)
	free := s.traineeFree(t, s.t.asTrainee[sp.exercise][count(s.c.stations[sp.station].height)], d)
	return !w.none() && d >= w.days.from && d < w.days.to && slot >= from && slot < to && free != nil && free.has(slot)
}

func (s *state) sharesBody(t int, list []int) bool {
	return slices.ContainsFunc(list, func(u int) bool { return s.c.trainees[u].body == s.c.trainees[t].body })
}

// recognise notes which session of the plan to repair a new one is, if it takes
// its place.
func (s *state) recognise(x *session) {
	for _, i := range s.oldAt[oldKey{x.exercise, x.station, x.span.Start}] {
		if !s.standing[i] {
			x.old = i + 1
			return
		}
	}
}

// staffWanted lists who staffed the session that took place there and then in the
// plan to repair.
func (s *state) staffWanted(e, station int, start civil.Instant) []int {
	for _, i := range s.oldAt[oldKey{e, station, start}] {
		return slices.Concat(s.old[i].instructors, s.old[i].rescuers)
	}
	return nil
}

// knowOld finds a fixed session in the plan to repair; if it stands there unchanged
// it is not moved.
func (s *state) knowOld(x *session, old []plan.Session) {
	for i := range old {
		if old[i].ID == x.id {
			s.standing[i] = true
			if !x.told.MovedFrom(&old[i]) {
				s.sums.moved--
			}
		}
	}
}
