package planning

import (
	"cmp"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/plan"
	"rungbook/internal/rulebook"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// addTrainees builds the group in full and everybody else in a standing session
// as a bare id with no limits: they hold their place, but nothing of theirs is
// changed, so nothing of theirs is judged.
func (l *loader) addTrainees() error {
	persons := make([]id.Person, len(l.group))
	for i, t := range l.group {
		persons[i] = t.Person
	}
	slices.Sort(persons)
	persons = slices.Compact(persons)
	certificates, err := l.view.CertificatesOf(persons...)
	if err != nil {
		return err
	}
	completions, err := l.view.CompletionsOfPersons(persons...)
	if err != nil {
		return err
	}
	held, done := map[id.Person][]credential.Certificate{}, map[id.Person][]store.Completion{}
	for _, c := range certificates {
		held[c.Person] = append(held[c.Person], c)
	}
	for _, c := range completions {
		done[c.Person] = append(done[c.Person], c)
	}
	l.addCourses()
	known := map[string]bool{}
	slices.SortFunc(l.group, func(a, b people.Trainee) int { return cmp.Compare(a.ID, b.ID) })
	for _, t := range l.group {
		l.addTrainee(t, held[t.Person], done[t.Person])
		known[string(t.ID)] = true
	}
	for _, r := range l.sorted {
		if stands(r) || l.sameDay(r) {
			l.addStanding(r, known)
		}
	}
	return nil
}

// notAsked stands for the intake of a trainee who is not loaded: it is no
// intake's id, and no rule about intakes is asked of them.
const notAsked = "not-asked"

// addStanding puts a session on the board, with bare ids for those of its people
// who are not loaded.
func (l *loader) addStanding(r session.Session, known map[string]bool) {
	p, s := l.slice.Problem, AsPlan(r)
	switch {
	case happened(r):
		s.Exercise = l.past(r)
	case r.Trial:
		l.slice.AdmitTrial(r)
	}
	l.slice.Standing = append(l.slice.Standing, s)
	for _, t := range s.Trainees {
		if !known[t] {
			known[t] = true
			p.Trainees = append(p.Trainees, plan.Trainee{ID: t, Intake: notAsked, Needs: []string{s.Exercise}, Rest: []string{}})
		}
	}
	for _, who := range slices.Concat(s.Instructors, s.Rescuers) {
		if !known[who] && !l.ground.staff[who] {
			known[who] = true
			p.People = append(p.People, plan.Person{ID: who, Available: []civil.Period{}, Rest: []string{}})
		}
	}
	for _, who := range s.Others {
		l.slice.Admit(id.Person(who))
		known[who] = true
	}
}

// sameDay reports whether a session that has happened lies on a day that is being
// judged. It stays on the board, because its minutes at height still count.
func (l *loader) sameDay(r session.Session) bool {
	d := l.zone.DayOf(r.Start)
	return happened(r) && l.slice.Scope.From <= d && d <= l.slice.Scope.Until
}

// past returns an exercise that equals the session's in length and pauses but is
// not it: a session that has happened takes time, and whether it completed the
// exercise stands in its results alone. It can be done nowhere, lest anybody
// propose it.
func (l *loader) past(r session.Session) string {
	name := string(r.Exercise) + pastSuffix
	if r.Run != nil { // of its own length
		name += "." + string(r.ID)
	}
	p := l.slice.Problem
	if slices.ContainsFunc(p.Exercises, func(e plan.Exercise) bool { return e.ID == name }) {
		return name
	}
	e, _ := l.slice.ref.Exercises.On(r.Exercise, l.zone.DayOf(r.Start))
	clone := planExercise(e, 0)
	clone.ID, clone.Minutes, clone.Stations, clone.After, clone.Requires = name, r.End.Sub(r.Start), []string{}, nil, nil
	if r.Run != nil {
		clone.Pauses = nil
		for _, held := range r.Held(e) {
			clone.Pauses = append(clone.Pauses, plan.Pause{After: held.Start.Sub(r.Start), Minutes: held.Length()})
		}
	}
	p.Exercises = append(p.Exercises, clone)
	return name
}

func sortedSessions(m map[string]session.Session) []session.Session {
	out := make([]session.Session, 0, len(m))
	for _, r := range m {
		out = append(out, r)
	}
	slices.SortFunc(out, func(a, b session.Session) int {
		return cmp.Or(cmp.Compare(a.Start, b.Start), cmp.Compare(a.Station, b.Station), cmp.Compare(a.ID, b.ID))
	})
	return out
}

// addTrainee builds one trainee. held and done are the person's, of all enrolments.
func (l *loader) addTrainee(t people.Trainee, held []credential.Certificate, done []store.Completion) {
	p, ref := l.slice.Problem, l.slice.ref
	i := len(p.Trainees)
	out := plan.Trainee{ID: string(t.ID), Body: string(t.Person), Intake: string(t.Intake), Duties: l.duties[t.Person]}
	intake, found := ref.Intakes.On(t.Intake, l.slice.day)
	if found {
		out.Deadline = intake.Until
	}
	path := l.programme(intake.Programme)
	needs := map[id.Exercise]bool{}
	for _, e := range t.Needs {
		needs[e] = true
	}
	for _, c := range done {
		if c.Trainee == t.ID {
			delete(needs, c.Exercise)
		}
	}
	for _, e := range t.Needs {
		if needs[e] {
			out.Needs = append(out.Needs, string(e))
		}
	}
	for _, c := range done {
		own := c.Trainee == t.ID
		// An exercise of an earlier enrolment counts for order, but never for the
		// span of the programme that is being followed now.
		if !needs[c.Exercise] && (own || !slices.Contains(path.Exercises, c.Exercise)) {
			out.Done = append(out.Done, plan.Done{Exercise: string(c.Exercise), At: c.End})
		}
	}
	for _, h := range credential.EntitlementsOf(held, l.ground.books...).Holds {
		out.Holds = append(out.Holds, plan.Hold{Name: h.Name, Validity: plan.Validity(h.Span)})
	}
	out.Rest, out.Available = l.bind(t.Rest, verdict.Ref{Kind: verdict.Trainee, ID: out.ID}, pointer("trainees", i)+"/available")
	if out.Available == nil {
		out.Available = without(l.here(intake), l.away[t.Person])
	}
	if !found {
		out.Available = []civil.Period{}
		l.slice.causeAt(pointer("trainees", i)+"/available", Cause{Say: verdict.Say("the intake of ", verdict.Ref{Kind: verdict.Trainee, ID: out.ID}, " is not stated")})
	}
	p.Trainees = append(p.Trainees, out)
}

// here returns the part of the horizon in which an intake's trainees are at the
// yard: not before its first day. Its last day is their deadline.
func (l *loader) here(in people.Intake) []civil.Period {
	span := l.ground.reach
	span.Start = max(span.Start, l.zone.StartOfDay(in.From))
	if span.Start >= span.End {
		return []civil.Period{}
	}
	return []civil.Period{span}
}

// addCourses lists the programmes that the group follows and that must be
// completed within a span of days; other programmes may share their exercises
// but not their span.
func (l *loader) addCourses() {
	follows := map[id.Programme]bool{}
	for _, t := range l.group {
		if in, ok := l.slice.ref.Intakes.On(t.Intake, l.slice.day); ok {
			follows[in.Programme] = true
		}
	}
	for _, p := range l.slice.ref.Programmes.All(l.slice.day) {
		if days := l.ground.spanDays(p); follows[p.ID] && days > 0 {
			l.slice.Problem.Courses = append(l.slice.Problem.Courses, plan.Course{ID: string(p.ID), Exercises: texts(p.Exercises), Days: days})
		}
	}
}

// spanDays is within how many days a programme is completed: the smaller of its
// own and the rule books' span, 0 where neither limits it.
func (g *ground) spanDays(p curriculum.Programme) int {
	days := p.SpanDays
	for _, b := range g.books {
		if l, ok := b.Strictest(rulebook.CourseSpan); ok && (days == 0 || int(l.Value) < days) {
			days = int(l.Value)
		}
	}
	return days
}

// programme returns a programme in the version of the slice's day, an empty one
// where none is recorded.
func (l *loader) programme(pid id.Programme) curriculum.Programme {
	p, _ := l.slice.ref.Programmes.On(pid, l.slice.day)
	return p
}

// bind returns the rest policies of a person. Who has none stated, or one the
// rule book lacks, is never available, and the cause says so.
func (l *loader) bind(profiles []id.Profile, who verdict.Ref, at string) (rest []string, available []civil.Period) {
	rest = []string{}
	if len(profiles) == 0 {
		l.slice.causeAt(at, Cause{Say: verdict.Say("it is not stated which rest rules bind ", who)})
		return rest, []civil.Period{}
	}
	for _, pr := range profiles {
		if !l.ground.policies[pr] {
			l.slice.causeAt(at, Cause{Say: verdict.Say("the rule book in force does not hold the rest rules that bind ", who)})
			return []string{}, []civil.Period{}
		}
		rest = append(rest, string(pr))
	}
	return rest, nil
}
