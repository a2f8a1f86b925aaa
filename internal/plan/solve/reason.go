package solve

import "rungbook/internal/plan"

// reasons lists the needs without a seat, each with why no plan could place it, or
// else with what stands in its way as the plan is.
func (s *state) reasons() []plan.Unplaced {
	out := []plan.Unplaced{}
	if len(s.open) == 0 {
		return out
	}
	never := s.t.contradicted()
	for n, x := range s.where {
		if x != nil {
			continue
		}
		t, e := s.t.needs[n].trainee, s.t.needs[n].exercise
		why := never[traineeExercise{t, e}]
		if why == "" {
			why = s.reason(t, e)
		}
		out = append(out, plan.Unplaced{Trainee: s.c.trainees[t].id, Exercise: s.c.exercises[e].id, Reason: why})
	}
	return out
}

// reason says in a sentence what stands in a need's way. It names the first thing
// that by itself, with all else as it stands, leaves no start.
func (s *state) reason(t, e int) string {
	c, ex := s.c, &s.c.exercises[e]
	for _, a := range ex.after {
		m := s.t.needOf(t, a.exercise)
		name := c.exercises[a.exercise].id
		if m < 0 && len(c.trainees[t].done[a.exercise]) == 0 {
			return name + " must come first, and the trainee neither has done it nor needs it"
		}
		if m >= 0 && s.where[m] == nil {
			return name + " must come first and has no place"
		}
	}
	if len(s.t.spotsOf[e]) == 0 {
		return "no station is given for this exercise"
	}
	w := s.windowOf(t, e)
	if w.none() {
		return "what comes before and after, the deadline and the days of availability leave no time between them"
	}
	var found sieve
	for d := w.days.from; d < w.days.to; d++ {
		s.sift(t, e, d, &w, &found)
	}
	return found.sentence()
}

// sieve counts the starts that pass one test after another.
type sieve struct{ open, window, entitled, trainee, place, teacher int }

func (f *sieve) sentence() string {
	switch {
	case f.open == 0:
		return "no station for this exercise is open, lit and in use within the days that order, deadline and availability leave"
	case f.window == 0:
		return "order, deadline and availability leave no start within opening hours"
	case f.entitled == 0:
		return "the trainee does not hold what the exercise requires on any day left"
	case f.trainee == 0:
		return "the trainee's own sessions, duties and rest leave no start"
	case f.place == 0:
		return "the stations, their ground, energy and kit are taken at every start that the trainee could keep"
	case f.teacher == 0:
		return "nobody who may teach it is free at any start left"
	}
	return "no group, team and room on the rig was found together at any start left"
}

func (s *state) sift(t, e, d int, w *window, f *sieve) {
	from, to := w.slots(s.t, d)
	for _, number := range s.t.spotsOf[e] {
		sp := &s.t.spots[number]
		if sp.light[d] == nil {
			continue
		}
		height := count(s.c.stations[sp.station].height)
		free := s.traineeFree(t, s.t.asTrainee[e][height], d)
		place, entitled := s.spotFree(number, d), s.entitledOn(t, e, d)
		for i := sp.light[d].next(0); i >= 0; i = sp.light[d].next(i + 1) {
			passed := [5]bool{i >= from && i < to, entitled, free != nil && free.has(i), place.has(i), s.teacherFree(e, height, d, i)}
			counts := [5]*int{&f.window, &f.entitled, &f.trainee, &f.place, &f.teacher}
			f.open++
			for j := 0; j < len(passed) && passed[j]; j++ {
				*counts[j]++
			}
		}
	}
}

func (s *state) teacherFree(e, height, d, slot int) bool {
	for _, p := range s.t.teachers[e] {
		if free := s.personFree(p, s.t.asStaff[e][height], d); free != nil && free.has(slot) {
			return true
		}
	}
	return false
}
