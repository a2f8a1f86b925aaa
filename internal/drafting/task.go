package drafting

import (
	"crypto/sha256"
	"encoding/hex"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/plan"
	"rungbook/internal/plan/check"
	"rungbook/internal/planning"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// task is what a draft is searched for: a problem built from the records, and for
// a repair the sessions it starts from. The lists of the problem begin as those of
// its slice do, so that a pointer into them leads to the slice's causes.
//
// The horizon is the slice's, which begins as long before the first day as any
// rule looks back, on the Monday on which its blocks of weekly rest begin; the
// days that were not asked for are closed. So what is placed is judged alike here
// and when it is accepted.
type task struct {
	kind    Kind
	wish    Wish
	slice   *planning.Slice
	problem *plan.Problem
	old     []plan.Session // to start from; nil = none
	begin   civil.Instant  // nothing is placed before
	chosen  map[string]bool

	free   []plan.Session // sessions of the days asked for that may become fixed
	fixed  []plan.Session
	inPlan []plan.Session // those that are not aside, as far as they are sorted
	aside  []plan.Session // sessions that only take time and room
	hit    []plan.Session // standing sessions that break a rule
}

// scopeOf is the part of the records that a draft needs. A repair judges every
// session, so everybody is loaded.
func scopeOf(kind Kind, from, until civil.Day, trainees []id.Trainee) planning.Scope {
	return planning.Scope{From: from, Until: until, Day: from, Trainees: trainees, Everyone: kind == ForMend}
}

// newTask builds the problem of some days for some trainees. Of a repair the
// trainees are those of the sessions. Errors: fault.Invalid with the field of the
// form for days that can't be planned together.
func newTask(b *planning.Builder, v *store.View, kind Kind, w Wish, trainees []id.Trainee) (*task, error) {
	s, err := b.Build(v, scopeOf(kind, w.From, w.Until, trainees))
	if err != nil {
		return nil, err
	}
	t := &task{kind: kind, wish: w, slice: s, chosen: map[string]bool{}, begin: v.Now().Add(civil.Minutes(w.Seconds/60 + 1))}
	for _, id := range trainees {
		t.chosen[string(id)] = true
	}
	t.copyProblem()
	t.closeDays()
	t.sort()
	notice, _ := s.Notice()
	t.settle(v.Now(), v.Now().Add(notice))
	t.setNeeds()
	t.problem.Fixed = t.fixed
	moved := int64(0)
	if len(t.old) > 0 {
		moved = movedPrice
	}
	weigh(t.problem, w, moved, len(t.old))
	if err := t.oneVersion(); err != nil {
		return nil, err
	}
	if err := t.problem.Usable(); err != nil {
		return nil, err
	}
	return t, check.Usable(t.problem)
}

// copyProblem takes the slice's problem with copies of the lists that change.
func (t *task) copyProblem() {
	p := *t.slice.Problem
	p.ClosedDays = slices.Clone(p.ClosedDays)
	p.Stations = slices.Clone(p.Stations)
	p.Kits = slices.Clone(p.Kits)
	p.Exercises = slices.Clone(p.Exercises)
	p.People = slices.Clone(p.People)
	p.Trainees = slices.Clone(p.Trainees)
	t.problem = &p
}

// closeDays ends the horizon on the day after the last one asked for and closes
// what lies outside.
func (t *task) closeDays() {
	p, scope := t.problem, t.slice.Scope
	p.Days = int(scope.Until+1-p.From) + 1
	for d := p.From; d < p.From+civil.Day(p.Days); d++ {
		if (d < scope.From || scope.Until < d) && !slices.Contains(p.ClosedDays, d) {
			p.ClosedDays = append(p.ClosedDays, d)
		}
	}
}

func (t *task) day(s plan.Session) civil.Day { return t.problem.Zone.DayOf(s.Start) }

// sort puts aside the sessions of other days.
func (t *task) sort() {
	for _, s := range t.slice.Standing {
		s = s.Clone()
		if d := t.day(s); t.slice.Scope.From <= d && d <= t.slice.Scope.Until {
			t.allowPast(s)
			t.free = append(t.free, s)
		} else {
			t.aside = append(t.aside, s)
		}
	}
}

// allowPast lets a session that has happened today stand where it stood: its
// minutes at height count for the rest of the day.
func (t *task) allowPast(s plan.Session) {
	e := t.exercise(s.Exercise)
	if e == nil || len(e.Stations) > 0 {
		return
	}
	if rec, ok := t.slice.Session(s.ID); !ok || string(rec.Exercise) == s.Exercise {
		return // an exercise that can be done nowhere, not one that happened
	}
	e.Stations, e.GroupMin, e.GroupMax, e.RatioAt = []string{s.Station}, 1, 0, nil
	e.Ratio = max(e.Ratio, len(s.Trainees))
	d := t.day(s)
	for i := range t.problem.People {
		if p := &t.problem.People[i]; slices.Contains(s.Instructors, p.ID) {
			p.Teaches = append(slices.Clip(p.Teaches), plan.Teaches{Exercise: s.Exercise, Validity: plan.Validity{From: d, Until: d}})
		}
	}
}

func (t *task) exercise(name string) *plan.Exercise {
	i := slices.IndexFunc(t.problem.Exercises, func(e plan.Exercise) bool { return e.ID == name })
	if i < 0 {
		return nil
	}
	return &t.problem.Exercises[i]
}

// stands reports whether a session is still to come or running.
func stands(r session.Session) bool {
	return r.State == session.Pencilled || r.State == session.Booked || r.State == session.UnderWay
}

// started reports whether a session can't be moved any more.
func (t *task) started(s plan.Session) bool {
	rec, ok := t.slice.Session(s.ID)
	return s.Start <= t.begin || !ok || rec.State != session.Booked && rec.State != session.Pencilled
}

// settle sorts the sessions of the days asked for. Those that break a rule are
// hit; of the others, a repair may move what starts after notice. What is neither
// fixed nor to be moved is put aside.
func (t *task) settle(now, notice civil.Instant) {
	t.inPlan = t.free
	for _, s := range t.aside { // what comes before the first day counts as done
		t.takeTime(s)
	}
	taken := len(t.aside)
	sound, hit := t.sound(t.free)
	for _, s := range sound {
		if t.kind == ForMend && !t.started(s) && s.Start >= notice {
			t.old = append(t.old, s)
		} else {
			t.fixed = append(t.fixed, s)
		}
	}
	t.hit = hit
	t.loosen(hit)
	t.inPlan = slices.Concat(t.fixed, t.old)
	t.shutThePast(now)
	// What is fixed must hold by itself, beside what was put aside: not so what comes
	// after a session that moves.
	for {
		t.inPlan = slices.Concat(t.fixed, t.old)
		for ; taken < len(t.aside); taken++ {
			t.takeTime(t.aside[taken])
		}
		var loose []plan.Session
		if t.fixed, loose = t.sound(t.fixed); len(loose) == 0 {
			break
		}
		t.loosen(loose)
	}
	for i := range t.old { // who watches goes with a session, wherever it goes
		t.old[i].Others = nil
	}
	plan.SortSessions(t.old)
}

// loosen gives up sessions that can't stay as they are: to be moved, or put aside.
func (t *task) loosen(list []plan.Session) {
	for _, s := range list {
		if !t.started(s) && (t.kind == ForMend || t.allChosen(s)) {
			t.old = append(t.old, s)
		} else {
			t.aside = append(t.aside, s)
		}
	}
}

func (t *task) allChosen(s plan.Session) bool {
	return !slices.ContainsFunc(s.Trainees, func(x string) bool { return !t.chosen[x] })
}

// sound parts sessions into those that break no rule among themselves, and the rest.
func (t *task) sound(list []plan.Session) (good, bad []plan.Session) {
	good = slices.Clone(list)
	for {
		t.needOnly(good)
		out := map[string]bool{}
		for _, f := range check.New(t.problem).Board(good).All().At(verdict.Stops) {
			t.blame(f, good, out)
		}
		if len(out) == 0 {
			return good, bad
		}
		good = slices.DeleteFunc(good, func(s plan.Session) bool {
			if out[s.ID] {
				bad = append(bad, s)
			}
			return out[s.ID]
		})
	}
}

// blame marks the sessions that a finding is about: those that it names, or, if
// it speaks of a person's days, all of that person's.
func (t *task) blame(f verdict.Finding, among []plan.Session, out map[string]bool) {
	named := false
	for _, r := range f.Refs() {
		if r.Kind == verdict.Session {
			out[r.ID], named = true, true
		}
	}
	if named {
		return
	}
	for _, s := range among {
		if slices.ContainsFunc(everybody(s), func(who string) bool { return who == f.Who.ID || t.bodyOf(who) == f.Who.ID }) {
			out[s.ID] = true
		}
	}
}

func everybody(s plan.Session) []string {
	return slices.Concat(s.Trainees, s.Instructors, s.Rescuers, s.Others)
}

// bodyOf returns the person whom a trainee or member of staff is.
func (t *task) bodyOf(who string) string {
	if tr, ok := t.slice.Trainee(id.Trainee(who)); ok {
		return string(tr.Person)
	}
	return who
}

// needOnly makes every trainee need what they do in the sessions given, and
// nothing else, unless they have done it.
func (t *task) needOnly(list []plan.Session) {
	needs := map[string][]string{}
	for _, s := range list {
		for _, who := range s.Trainees {
			if !slices.Contains(needs[who], s.Exercise) {
				needs[who] = append(needs[who], s.Exercise)
			}
		}
	}
	for i := range t.problem.Trainees {
		tr := &t.problem.Trainees[i]
		tr.Needs = slices.DeleteFunc(needs[tr.ID], func(e string) bool { return done(tr, e) })
		if tr.Needs == nil {
			tr.Needs = []string{}
		}
		slices.Sort(tr.Needs)
	}
}

func done(tr *plan.Trainee, exercise string) bool {
	return slices.ContainsFunc(tr.Done, func(d plan.Done) bool { return d.Exercise == exercise })
}

// setNeeds gives each trainee what the plan must place: what they do in sessions
// that are fixed or to be moved, and, if they were chosen, all that is still open.
func (t *task) setNeeds() {
	t.needOnly(slices.Concat(t.fixed, t.old))
	if t.kind == ForMend {
		return
	}
	for i := range t.problem.Trainees {
		tr := &t.problem.Trainees[i]
		if !t.chosen[tr.ID] || i >= len(t.slice.Problem.Trainees) {
			continue
		}
		for _, e := range t.slice.Problem.Trainees[i].Needs {
			if !slices.Contains(tr.Needs, e) && !done(tr, e) {
				tr.Needs = append(tr.Needs, e)
			}
		}
	}
}

// oneVersion refuses days in which an exercise to be placed changes: a session is
// judged by the version of its day, and a problem holds one.
func (t *task) oneVersion() error {
	needed := map[string]bool{}
	for _, tr := range t.problem.Trainees {
		for _, e := range tr.Needs {
			needed[e] = true
		}
	}
	first := civil.LastDay
	for e := range needed {
		for _, version := range t.slice.Reference().Exercises.Versions(id.Exercise(e)) {
			for _, d := range []civil.Day{version.From, version.Value.Retired} {
				if t.slice.Scope.From < d && d <= t.slice.Scope.Until {
					first = min(first, d)
				}
			}
		}
	}
	if first == civil.LastDay {
		return nil
	}
	return fault.Field("until", "One of the exercises changes on %s. Plan the days before it and those from it on apart.", first)
}

func shaOf(file []byte) string {
	sum := sha256.Sum256(file)
	return hex.EncodeToString(sum[:])
}
