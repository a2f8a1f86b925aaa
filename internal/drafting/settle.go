package drafting

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/plan"
	"rungbook/internal/plan/check"
	"rungbook/internal/planning"
	"rungbook/internal/session"
	"rungbook/internal/verdict"
)

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
	t.letTeach(s.Instructors, s.Exercise, t.day(s))
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

// started reports whether a session can't be moved: its time has come, or it is a trial,
// which whoever set it up moves by hand.
func (t *task) started(s plan.Session) bool {
	rec, ok := t.slice.Session(s.ID)
	return s.Start <= t.begin || !ok || rec.Trial || rec.State != session.Booked && rec.State != session.Pencilled
}

// settle sorts the sessions of the days asked for. Those that break a rule are
// hit, and a repair moves them; of the others it may move what starts after
// notice. The plan of an intake changes nothing that is booked.
func (t *task) settle(now, notice civil.Instant) {
	for _, s := range t.free {
		t.allowPast(s)
	}
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

// loosen gives up sessions that can't stay as they are. Those that may move are
// to be moved. The others stay where they are, as sessions of a stand-in exercise
// of which only room, means and people's time are asked; what breaks a rule even
// so is put aside.
func (t *task) loosen(list []plan.Session) {
	for _, s := range list {
		switch {
		case t.kind == ForMend && !t.started(s):
			t.old = append(t.old, s)
		case t.stoodIn[s.ID] == "" && t.exercise(s.Exercise) != nil:
			t.fixed = append(t.fixed, t.standIn(s))
		default:
			if was := t.stoodIn[s.ID]; was != "" {
				s.Exercise = was
			}
			t.aside = append(t.aside, s)
		}
	}
}

// standIn returns a session as one of a stand-in exercise.
func (t *task) standIn(s plan.Session) plan.Session {
	t.stoodIn[s.ID] = s.Exercise
	t.countAsDone(s)
	name := planning.StandIn(s.Exercise, len(t.stoodIn))
	e := *t.exercise(s.Exercise)
	e.ID, e.Minutes, e.Stations, e.GroupMin, e.GroupMax = name, s.End.Sub(s.Start), []string{s.Station}, 1, 0
	e.Ratio, e.RatioAt, e.After, e.Requires = max(1, len(s.Trainees)), nil, nil, nil
	t.problem.Exercises = append(t.problem.Exercises, e)
	t.letTeach(s.Instructors, name, t.day(s))
	s.Exercise = name
	return s
}

// letTeach lets people teach a stand-in on a day.
func (t *task) letTeach(who []string, exercise string, d civil.Day) {
	for i := range t.problem.People {
		if p := &t.problem.People[i]; slices.Contains(who, p.ID) {
			p.Teaches = append(slices.Clip(p.Teaches), plan.Teaches{Exercise: exercise, Validity: plan.Validity{From: d, Until: d}})
		}
	}
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
