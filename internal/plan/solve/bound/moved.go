package bound

import (
	"slices"

	"rungbook/internal/plan"
)

// mustMove counts sessions of an older plan that no valid plan holds unchanged.
//
// Proof. A session that stands unchanged would break a rule all by itself: its
// exercise, station or somebody in it is gone, it lies outside the horizon or in a
// shut period of its station, a member of staff is not available for its hold, or
// a trainee not for the session or doesn't need the exercise. Each such session
// is gone or differs, and costs weights.moved.
func mustMove(p *plan.Problem, old []plan.Session) (n int64) {
	for i := range old {
		if !mayStay(p, &old[i]) {
			n++
		}
	}
	return n
}

func mayStay(p *plan.Problem, s *plan.Session) bool {
	e := slices.IndexFunc(p.Exercises, func(e plan.Exercise) bool { return e.ID == s.Exercise })
	at := slices.IndexFunc(p.Stations, func(v plan.Station) bool { return v.ID == s.Station })
	if e < 0 || at < 0 || !slices.Contains(p.Exercises[e].Stations, s.Station) {
		return false
	}
	x := &p.Exercises[e]
	// An unchanged start with the exercise's length of today: end is no part of moved.
	session := s.Period()
	session.End = session.Start.Add(x.Minutes)
	hold := x.Hold(session)
	if d := p.Zone.DayOf(s.Start); d < p.From || int64(d-p.From) >= int64(p.Days) || slices.Contains(p.ClosedDays, d) {
		return false
	}
	if slices.ContainsFunc(p.Stations[at].Shut, hold.Overlaps) {
		return false
	}
	for _, id := range s.Trainees {
		t := slices.IndexFunc(p.Trainees, func(t plan.Trainee) bool { return t.ID == id })
		if t < 0 || !slices.Contains(p.Trainees[t].Needs, s.Exercise) || !free(p.Trainees[t].Available, p.Trainees[t].Duties, session) {
			return false
		}
	}
	for _, id := range slices.Concat(s.Instructors, s.Rescuers) {
		v := slices.IndexFunc(p.People, func(v plan.Person) bool { return v.ID == id })
		if v < 0 || !free(p.People[v].Available, p.People[v].Duties, hold) {
			return false
		}
	}
	return true
}
