package solve

import (
	"slices"
)

// standing returns the cheapest session with room for a trainee, and what it costs.
func (k *seater) standing(t, e int) (best *session, cost int64) {
	s, w := k.s, &k.pool[0].window
	row := s.byExercise[e]
	for _, x := range row[row.from(w.lo.Add(-s.c.exercises[e].setup)):] {
		if x.span.Start > w.hi {
			break
		}
		sp := &s.t.spots[x.spot]
		d := s.t.day(x.day)
		if x.bound || len(x.trainees) >= sp.most || d < k.region.days.from || d >= k.region.days.to ||
			d < w.days.from || d >= w.days.to || !s.entitledOn(t, e, d) || !s.mayJoin(t, x.trainees) || k.overlooks() {
			continue
		}
		free := s.traineeFree(t, s.t.asTrainee[e][count(s.c.stations[x.station].height)], d)
		if free == nil || !free.has(x.slot) {
			continue
		}
		c := s.t.staffCost(sp, max(0, sp.staff[len(x.trainees)+1]-len(x.instructors)-len(x.rescuers))) +
			int64(max(0, d-s.lastDay[s.t.intakeOf[t]]))*s.t.weights.IntakeDay
		if !s.comesOn(t, d) {
			c += s.t.weights.TraineeDay
		}
		if x.same {
			c += s.t.weights.Moved
		}
		c += k.noise(c)
		if best == nil || c < cost {
			if k.staffFor(x, t, nil) {
				best, cost = x, c
			}
		}
	}
	return best, cost
}

// staffFor reports whether a session can take one more trainee, and with whom.
func (k *seater) staffFor(x *session, t int, f func(instructors, rescuers []int)) bool {
	s := k.s
	at := s.post(&s.t.spots[x.spot], s.t.day(x.day), x.slot, with(x.trainees, t))
	at.standing, at.guests = x, len(x.others)
	k.recruit.wanted = nil
	instructors, rescuers, ok := k.recruit.staff(&at)
	if ok && f != nil {
		f(instructors, rescuers)
	}
	return ok
}

// enter seats a trainee in a session that stands.
func (k *seater) enter(x *session, t int) bool {
	return k.staffFor(x, t, func(instructors, rescuers []int) {
		if !slices.Equal(instructors, x.instructors) || !slices.Equal(rescuers, x.rescuers) {
			k.s.restaff(x, instructors, rescuers)
		}
		k.s.enter(x, t)
	})
}
