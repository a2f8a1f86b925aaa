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
// that by itself, with all else as it stands, leaves no start, and what it is at the
// start where it breaks fewest rules.
func (s *state) reason(t, e int) string {
	c, ex := s.c, &s.c.exercises[e]
	for _, a := range ex.after {
		m := s.t.needOf(t, a.exercise)
		if m >= 0 && s.where[m] == nil {
			return c.exercises[a.exercise].id + " must come first and has no place"
		}
	}
	w := s.windowOf(t, e)
	if w.lo > w.hi {
		return "what comes before and after and the deadline leave no time: not before " + c.zone.Format(w.lo) + ", not after " + c.zone.Format(w.hi)
	}
	found := sieve{s: s, t: t, e: e, w: &w}
	for d := w.days.from; d < w.days.to; d++ {
		found.sift(d)
	}
	return found.sentence()
}

// stage is how far a start comes.
type stage uint8

const (
	notOpen stage = iota
	inWindow
	holding
	ownTimes
	taken
	untaught
	unstaffed
)

// sieve puts every start to one test after another and remembers how far the best
// of them comes.
type sieve struct {
	s     *state
	t, e  int
	w     *window
	stage stage
	at    nearMiss
}

// nearMiss is the start that came furthest, with what it breaks.
type nearMiss struct {
	spot, day, slot int
	broken          rules
	known           bool
}

// sift looks at the starts of a day.
func (f *sieve) sift(d int) {
	s, e := f.s, f.e
	from, to := f.w.slots(s.t, d)
	for _, number := range s.t.spotsOf[e] {
		sp := &s.t.spots[number]
		if sp.light[d] == nil {
			continue
		}
		height := count(s.c.stations[sp.station].height)
		free := s.traineeFree(f.t, s.t.asTrainee[e][height], d)
		place, entitled := s.spotFree(number, d), s.entitledOn(f.t, e, d)
		for i := sp.light[d].next(0); i >= 0; i = sp.light[d].next(i + 1) {
			passed := [5]bool{i >= from && i < to, entitled, free != nil && free.has(i), place.has(i), s.teacherFree(e, height, d, i)}
			got := inWindow
			for got-inWindow < stage(len(passed)) && passed[got-inWindow] {
				got++
			}
			f.note(got, nearMiss{spot: number, day: d, slot: i})
		}
	}
}

// note remembers a start that came further, or of those that came as far, one a
// day, the one that breaks fewest rules.
func (f *sieve) note(got stage, at nearMiss) {
	if got < f.stage || got == f.stage && f.at.known && f.at.day == at.day {
		return
	}
	at.known = true
	if got == ownTimes || got == taken {
		at.broken = f.broken(got, &at)
	}
	if got > f.stage || !f.at.known || at.broken.count() < f.at.broken.count() {
		f.at = at
	}
	f.stage = got
}

// broken returns what a session at a start breaks: of the trainee's times, or of the
// place.
func (f *sieve) broken(got stage, at *nearMiss) rules {
	x := f.trial(at)
	if got == ownTimes {
		r := &f.s.c.trainees[f.t].role
		tm := f.s.c.timeOf(x, asTrainee)
		v := f.s.view(r.body, tm.day)
		return available.when(!r.freeFor(tm.Period)) | v.judge(&tm)
	}
	var out rules
	f.s.clashes(x, func(o fault) { out |= o.rule.set() })
	for k := range f.s.c.kits {
		if n := f.s.c.takes(x, k); n > 0 {
			out |= kitUse.when(f.s.kitOver(k, x.hold, n) > 0)
		}
	}
	return out
}

// trial is a session at a start, without people.
func (f *sieve) trial(at *nearMiss) *session {
	x := &session{exercise: f.e, station: f.s.t.spots[at.spot].station}
	start := f.s.t.starts[at.day][at.slot]
	f.s.c.setTime(x, start, start.Add(f.s.c.exercises[f.e].minutes))
	return x
}

func (f *sieve) sentence() string {
	c := f.s.c
	switch f.stage {
	case notOpen:
		return "no station for this exercise is open, lit and in use within the days that order, deadline and availability leave"
	case inWindow:
		return "order, deadline and availability leave no start within opening hours from " + c.zone.Format(f.w.lo) + " to " + c.zone.Format(f.w.hi)
	case holding:
		return "the trainee does not hold what the exercise requires on any day left"
	}
	x := f.trial(&f.at)
	at := "; " + c.zone.Format(x.span.Start) + " on " + c.stations[x.station].id
	switch f.stage {
	case ownTimes:
		return "the trainee's own sessions, duties and rest leave no start" + at + " would break " + listed(f.at.broken)
	case taken:
		return "the stations, their ground, energy and kit are taken at every start that the trainee could keep" + at + " would break " + listed(f.at.broken)
	case untaught:
		return "nobody who may teach it is free at any start left" + at + f.teachers(x)
	}
	return "no group, team and room on the rig was found together at any start left; the first is " + c.zone.Format(x.span.Start) + " on " + c.stations[x.station].id
}

// mostNamed is how many teachers a reason names.
const mostNamed = 3

// teachers says what stops those who teach the exercise from a session.
func (f *sieve) teachers(x *session) string {
	c, out := f.s.c, ""
	named, more := 0, 0
	tm := c.timeOf(x, asInstructor)
	for _, p := range f.s.t.teachers[f.e] {
		pe := &c.people[p]
		v := f.s.view(pe.body, tm.day)
		broken := qualified.when(!validOn(pe.teaches[f.e], x.day)) | available.when(!pe.freeFor(tm.Period)) | v.judge(&tm)
		if named == mostNamed || broken == 0 {
			more++
			continue
		}
		if named++; named == 1 {
			out += ": "
		} else {
			out += ", "
		}
		out += pe.id + " " + listed(broken)
	}
	if more > 0 && named > 0 {
		out += " and " + number(more) + " more"
	}
	return out
}

func (s *state) teacherFree(e, height, d, slot int) bool {
	for _, p := range s.t.teachers[e] {
		if free := s.personFree(p, s.t.asStaff[e][height], d); free != nil && free.has(slot) {
			return true
		}
	}
	return false
}
