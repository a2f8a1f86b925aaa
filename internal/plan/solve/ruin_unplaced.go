package solve

import "rungbook/internal/civil"

// ruinUnplaced makes room for a need that has no seat: it dissolves sessions of
// that exercise, or of others on its stations, where the trainee could come.
func ruinUnplaced(k *rebuilder, x *session, most int) {
	s := k.s
	if len(s.open) == 0 {
		ruinExercise(k, x, most)
		return
	}
	n := s.open[k.chance.IntN(len(s.open))]
	if !k.region.has(s.t.needs[n].trainee) {
		return
	}
	t, e := s.t.needs[n].trainee, s.t.needs[n].exercise
	for !s.ready(t, e) {
		// What comes before has no seat either: begin there.
		for _, a := range s.c.exercises[e].after {
			m := s.t.needOf(t, a.exercise)
			if m < 0 && len(s.c.trainees[t].done[a.exercise]) == 0 {
				return
			}
			if m >= 0 && s.where[m] == nil {
				e = a.exercise
				break
			}
		}
	}
	for m := range s.t.needsOf[t] {
		if n := s.t.needsOf[t][m]; s.where[n] == nil {
			k.take(n)
		}
	}
	w := s.windowOf(t, e)
	if w.none() {
		k.unseatTrainee(t)
		return
	}
	d := w.days.from + k.chance.IntN(w.days.to-w.days.from)
	spots := s.t.spotsOf[e]
	if len(spots) == 0 {
		return
	}
	at := s.t.spots[spots[k.chance.IntN(len(spots))]].station
	r := s.byStation[at]
	if k.chance.IntN(3) == 0 {
		r = s.byExercise[e]
	}
	i := r.from(s.c.midnight(s.c.from + civil.Day(d)))
	if i < len(r) {
		k.clearRow(r, r[i], most)
	}
}
