package planning

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/plan"
	"rungbook/internal/session"
	"rungbook/internal/verdict"
)

// trialSuffix marks the exercise of a trial session in a problem.
const trialSuffix = ".trial"

// trialOf names the exercise of a trial session in a problem. It is one of its own, so
// that what is done there is done by nobody: it meets no need, comes before nothing and
// belongs to no course.
func trialOf(r session.Session) string {
	return string(r.Exercise) + trialSuffix + "." + string(r.ID)
}

// AdmitTrial lets a trial session be judged: its exercise asks what the real one asks,
// but no least group, and whoever may teach that may teach it. Its trainees take part
// though they need nothing. A slice that has it already is left as it is.
func (s *Slice) AdmitTrial(r session.Session) {
	p, name := s.Problem, trialOf(r)
	i := slices.IndexFunc(p.Exercises, func(e plan.Exercise) bool { return e.ID == string(r.Exercise) })
	if i < 0 {
		return // whoever asks is told that there is no such exercise
	}
	if !slices.ContainsFunc(p.Exercises, func(e plan.Exercise) bool { return e.ID == name }) {
		e := p.Exercises[i]
		e.ID, e.GroupMin = name, 0
		p.Exercises = append(slices.Clip(p.Exercises), e)
		for k := range p.People {
			who := &p.People[k]
			for _, t := range who.Teaches {
				if t.Exercise == string(r.Exercise) {
					who.Teaches = append(slices.Clip(who.Teaches), plan.Teaches{Exercise: name, Validity: t.Validity})
				}
			}
		}
		s.changed()
	}
	for k := range p.Trainees {
		t := &p.Trainees[k]
		if slices.Contains(r.Trainees, id.Trainee(t.ID)) && !slices.Contains(t.Needs, name) {
			t.Needs = append(slices.Clip(t.Needs), name)
			s.changed()
		}
	}
}

// Admit lets somebody who is not of the staff be judged among a session's others: a
// visitor, whom no rest rule of the yard binds and who comes when they like.
func (s *Slice) Admit(who id.Person) {
	p := s.Problem
	if slices.ContainsFunc(p.People, func(x plan.Person) bool { return x.ID == string(who) }) {
		return
	}
	p.People = append(slices.Clip(p.People), plan.Person{ID: string(who), Rest: []string{}, Duties: []civil.Period{}})
	s.changed()
}

// changed forgets what was worked out from the problem.
func (s *Slice) changed() { s.judged, s.board, s.search = nil, nil, nil }

// addGuests adds what the others in sessions break; see check.Judge.Guests.
func (s *Slice) addGuests(r *verdict.Report, of []plan.Session) {
	var found []verdict.Finding
	for _, p := range of {
		if len(p.Others) > 0 {
			found = append(found, s.judge().Guests(p)...)
		}
	}
	if len(found) > 0 {
		r.Findings = append(r.Findings, found...)
		r.Sort()
	}
}
