package planning

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// loader fills a slice's moving part: sessions, trainees, duties and absences.
type loader struct {
	slice  *Slice
	view   *store.View
	zone   civil.Zone
	ground *ground
	staff  []id.Person
	group  []people.Trainee // those loaded in full

	sorted       []session.Session            // all sessions loaded, by start
	duties, away map[id.Person][]civil.Period // of the staff and the group
}

// all loads in the order in which one step names what the next one needs.
func (l *loader) all() error {
	l.staff = l.slice.Scope.Staff
	if l.staff == nil {
		for _, p := range l.slice.Problem.People {
			l.staff = append(l.staff, id.Person(p.ID))
		}
	}
	steps := []func() error{l.loadGroup, l.loadSessions, l.loadEveryone, l.loadTimes, l.addTrainees, l.addStaffTimes, l.addNames}
	for _, step := range steps {
		if err := step(); err != nil {
			return err
		}
	}
	return nil
}

// loadGroup finds the group's enrolments and, because a body may have several,
// those of the same persons and of the staff.
func (l *loader) loadGroup() error {
	group, err := l.view.Trainees(l.slice.Scope.Trainees...)
	if err != nil {
		return err
	}
	return l.loadBodies(group)
}

func (l *loader) loadBodies(group []people.Trainee) error {
	bodies := slices.Clone(l.staff)
	for _, t := range group {
		bodies = append(bodies, t.Person)
	}
	all, err := l.view.TraineesOfPersons(bodies...)
	if err != nil {
		return err
	}
	l.group = all
	for _, t := range all {
		l.slice.trainees[t.ID] = t
	}
	return nil
}

// loadSessions takes the sessions on the ground of the scope's days (a hold can
// reach over midnight, hence a day more on each side), those of the people
// concerned as far as any rule looks, and the group's whole path.
func (l *loader) loadSessions() error {
	scope := l.slice.Scope
	near, err := l.view.SessionsBetween(l.zone.StartOfDay(scope.From-1), l.zone.StartOfDay(scope.Until+2))
	if err != nil {
		return err
	}
	far, err := l.view.SessionsOf(l.bodies(), l.groupIDs(), l.ground.reach.Start, l.ground.reach.End)
	if err != nil {
		return err
	}
	path, err := l.view.SessionsOfTrainees(l.groupIDs())
	if err != nil {
		return err
	}
	for _, list := range [][]session.Session{near, far, path} {
		for _, r := range list {
			l.slice.sessions[string(r.ID)] = r
		}
	}
	return nil
}

// loadEveryone widens the group to all trainees of standing sessions, where all
// of those sessions are to be judged.
func (l *loader) loadEveryone() error {
	if !l.slice.Scope.Everyone {
		return nil
	}
	var ids []id.Trainee
	for _, r := range l.slice.sessions {
		if stands(r) {
			ids = append(ids, r.Trainees...)
		}
	}
	slices.Sort(ids)
	all, err := l.view.Trainees(slices.Compact(ids)...)
	if err != nil {
		return err
	}
	if err := l.loadBodies(all); err != nil {
		return err
	}
	return l.loadSessions()
}

// bodies are the persons whose times are judged: the staff, and the group, who
// may teach elsewhere in the days around.
func (l *loader) bodies() []id.Person {
	out := slices.Clone(l.staff)
	for _, t := range l.group {
		out = append(out, t.Person)
	}
	return out
}

func (l *loader) groupIDs() []id.Trainee {
	ids := make([]id.Trainee, len(l.group))
	for i, t := range l.group {
		ids[i] = t.ID
	}
	return ids
}

// stands reports whether a session is still to come or running. What was signed
// or cut short has become done exercises and duties.
func stands(r session.Session) bool { return r.State.Holds() && !happened(r) }

func happened(r session.Session) bool { return r.State.Signed() }

// addStaffTimes puts duties, past sessions and absences beside each of the staff
// that were asked for.
func (l *loader) addStaffTimes() error {
	asked := map[id.Person]bool{}
	for _, p := range l.staff {
		asked[p] = true
	}
	p := l.slice.Problem
	for i := range p.People {
		person := &p.People[i]
		key := id.Person(person.ID)
		if !asked[key] {
			continue
		}
		person.Duties = l.duties[key]
		if len(l.away[key]) > 0 && len(person.Available) > 0 {
			person.Available = without(person.Available, l.away[key])
		}
	}
	return nil
}

// loadTimes finds the periods at work outside standing sessions (duties and
// sessions that have happened) and the periods away, of the staff and the group.
func (l *loader) loadTimes() error {
	l.sorted = sortedSessions(l.slice.sessions)
	l.duties, l.away = map[id.Person][]civil.Period{}, map[id.Person][]civil.Period{}
	persons := l.bodies()
	duties, err := l.view.Duties(persons, l.ground.reach.Start, l.ground.reach.End)
	if err != nil {
		return err
	}
	for _, d := range duties {
		if !d.Ended {
			l.duties[d.Person] = append(l.duties[d.Person], civil.Period{Start: d.Start, End: d.End})
		}
	}
	away, err := l.view.AwayOf(persons, l.ground.reach.Start, l.ground.reach.End)
	if err != nil {
		return err
	}
	for _, a := range away {
		if !a.Ended {
			l.away[a.Person] = append(l.away[a.Person], civil.Period{Start: a.Start, End: a.End})
		}
	}
	if err := l.loadLow(); err != nil {
		return err
	}
	wanted := map[id.Person]bool{}
	for _, p := range persons {
		wanted[p] = true
	}
	for _, r := range l.sorted {
		if happened(r) && !l.sameDay(r) {
			l.addHappened(r, wanted)
		}
	}
	return nil
}

// addHappened counts a past session as time at work: staff for its hold, others
// for the session, as plan/check counts a standing one.
func (l *loader) addHappened(r session.Session, wanted map[id.Person]bool) {
	e, _ := l.slice.ref.Exercises.On(r.Exercise, l.zone.DayOf(r.Start))
	pauses := r.Held(e)
	add := func(p id.Person, span civil.Period) {
		if wanted[p] { // a duty has no pauses, so the pieces between them are duties
			l.duties[p] = append(l.duties[p], without([]civil.Period{span}, pauses)...)
		}
	}
	hold := civil.Period{Start: r.Start.Add(-e.Setup), End: r.End.Add(e.Strike)}
	for _, p := range r.Instructors {
		add(p, hold)
	}
	for _, p := range r.Rescuers {
		add(p, hold)
	}
	for _, p := range r.Others {
		add(p, civil.Period{Start: r.Start, End: r.End})
	}
	for _, t := range r.Trainees {
		if tr, ok := l.slice.trainees[t]; ok {
			add(tr.Person, civil.Period{Start: r.Start, End: r.End})
		}
	}
}

// addNames gives those who are judged their names, for findings.
func (l *loader) addNames() error {
	names, err := l.view.TraineeNames(l.groupIDs()...)
	if err != nil {
		return err
	}
	for t, n := range names {
		l.slice.names[verdict.Ref{Kind: verdict.Trainee, ID: string(t)}] = n
		l.slice.names[verdict.Ref{Kind: verdict.Body, ID: string(l.slice.trainees[t].Person)}] = n
	}
	return nil
}

// without cuts the given periods out of spans that are sorted and separate.
func without(spans, cuts []civil.Period) []civil.Period {
	out := spans
	for _, cut := range cuts {
		var next []civil.Period
		for _, s := range out {
			if !s.Overlaps(cut) {
				next = append(next, s)
				continue
			}
			if s.Start < cut.Start {
				next = append(next, civil.Period{Start: s.Start, End: cut.Start})
			}
			if cut.End < s.End {
				next = append(next, civil.Period{Start: cut.End, End: s.End})
			}
		}
		out = next
	}
	if out == nil {
		return []civil.Period{} // never, which is not the same as always
	}
	return out
}

// pastSuffix marks the stand-in exercise of a session that has happened.
const pastSuffix = ".past"
