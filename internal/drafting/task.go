package drafting

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/plan"
	"rungbook/internal/plan/check"
	"rungbook/internal/planning"
	"rungbook/internal/store"
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
	last    civil.Day // the last on which a session may change
	slice   *planning.Slice
	problem *plan.Problem
	old     []plan.Session // to start from; nil = none
	begin   civil.Instant  // nothing is placed before
	chosen  map[string]bool

	free    []plan.Session // sessions of the days asked for that may become fixed
	fixed   []plan.Session
	inPlan  []plan.Session    // those that are not aside, as far as they are sorted
	aside   []plan.Session    // sessions that only take time and room
	stoodIn map[string]string // by session: the exercise of which it now holds a stand-in
	hit     []plan.Session    // standing sessions that break a rule
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
	t := &task{kind: kind, wish: w, last: w.Until, chosen: map[string]bool{}, stoodIn: map[string]string{},
		begin: v.Now().Add(civil.Minutes(w.Seconds/60 + 1))}
	for _, id := range trainees {
		t.chosen[string(id)] = true
	}
	for { // until it reaches as far as what depends on what may move
		var err error
		if t.slice, err = b.Build(v, scopeOf(kind, w.From, t.last, trainees)); err != nil {
			return nil, err
		}
		last := t.last
		if t.sort(); t.last == last {
			break
		}
	}
	notice, _ := t.slice.Notice()
	t.copyProblem()
	t.closeDays()
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
	return t, t.usable()
}

// usable reports whether the problem can be planned. That it can not is our fault
// and nobody's form.
func (t *task) usable() error {
	err := t.problem.Usable()
	if err == nil {
		err = check.Usable(t.problem)
	}
	if err != nil {
		return fmt.Errorf("the problem built from the records: %s", fault.Message(err))
	}
	return nil
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

// closeDays ends the horizon on the day after the last one that anything may
// change on, and closes what lies outside. Days beyond those asked for on which
// sessions depend on what may move are open for these alone: they can lose people,
// but nothing comes to lie there.
func (t *task) closeDays() {
	p := t.problem
	p.Days = int(t.last+1-p.From) + 1
	dependent := map[civil.Day]bool{}
	for _, s := range t.free {
		if d := t.day(s); d > t.wish.Until {
			dependent[d] = true
		}
	}
	t.inPlan = t.free
	for d := p.From; d < p.From+civil.Day(p.Days); d++ {
		switch {
		case t.asked(d):
		case dependent[d]:
			for i := range p.Stations {
				t.shut(&p.Stations[i], p.Zone.DayPeriod(d))
			}
		case !slices.Contains(p.ClosedDays, d):
			p.ClosedDays = append(p.ClosedDays, d)
		}
	}
}

func (t *task) asked(d civil.Day) bool { return t.wish.From <= d && d <= t.wish.Until }

func (t *task) day(s plan.Session) civil.Day { return t.slice.Problem.Zone.DayOf(s.Start) }

// sort puts aside the sessions of other days, but for those that come after one
// that a repair may move, in the order of exercises: what they rest on may go.
func (t *task) sort() {
	t.free, t.aside = nil, nil
	var later []plan.Session
	for _, s := range t.slice.Standing {
		switch s, d := s.Clone(), t.day(s); {
		case t.asked(d):
			t.free = append(t.free, s)
		case t.kind == ForMend && d > t.wish.Until && d < t.wish.From+MostDays && !t.started(s):
			later = append(later, s)
		default:
			t.aside = append(t.aside, s)
		}
	}
	for found := true; found; {
		found = false
		later = slices.DeleteFunc(later, func(s plan.Session) bool {
			rests := slices.ContainsFunc(t.free, func(x plan.Session) bool { return t.restsOn(s, x) })
			if rests {
				t.free, found, t.last = append(t.free, s), true, max(t.last, t.day(s))
			}
			return rests
		})
	}
	t.aside = append(t.aside, later...)
}

// restsOn reports whether somebody does in one session what must come before what
// they do in the other.
func (t *task) restsOn(s, before plan.Session) bool {
	i := slices.IndexFunc(t.slice.Problem.Exercises, func(e plan.Exercise) bool { return e.ID == s.Exercise })
	return i >= 0 && slices.ContainsFunc(t.slice.Problem.Exercises[i].After, func(a plan.After) bool { return a.Exercise == before.Exercise }) &&
		shared(s.Trainees, before.Trainees) > 0
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
				if t.wish.From < d && d <= t.last {
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
