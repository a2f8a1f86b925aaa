package check

import (
	"fmt"
	"slices"

	"rungbook/internal/fault"
	"rungbook/internal/plan"
	"rungbook/internal/verdict"
)

// Options are what a plan is judged against besides its problem.
type Options struct {
	Old *plan.Plan // the plan it was repaired from, nil = none
}

func (o Options) sessions() []plan.Session {
	if o.Old == nil {
		return nil
	}
	return o.Old.Sessions
}

// Plan judges a whole plan: every subject of its sessions, the fixed sessions,
// and what it states of itself. Preconditions: p.Usable() and p.Knows(pl) are nil.
func Plan(p *plan.Problem, pl *plan.Plan, o Options) verdict.Report {
	all := New(p).Board(pl.Sessions).all()
	all = append(all, fixed(p, pl)...)
	all = append(all, stated(p, pl, o)...)
	return report(all, func(finding) bool { return false })
}

// CostJudged reports whether the cost that a plan states can be judged: not that
// of a repaired plan without the plan it came from.
func CostJudged(pl *plan.Plan, o Options) bool {
	return o.Old != nil || pl.Made == nil || pl.Made.FromSHA256 == ""
}

// fixed: every fixed session appears, all fields unchanged.
func fixed(p *plan.Problem, pl *plan.Plan) (out []finding) {
	there := make(map[string]*plan.Session, len(pl.Sessions))
	for i := range pl.Sessions {
		there[pl.Sessions[i].ID] = &pl.Sessions[i]
	}
	for i := range p.Fixed {
		want, at := &p.Fixed[i], plan.Pointer("fixed", i)
		switch got := there[want.ID]; {
		case got == nil:
			out = append(out, finding{Finding: verdict.FixedGone(want.ID, at)})
		case !got.Same(want):
			out = append(out, finding{Finding: verdict.FixedChanged(want.ID, difference(got, want), at)})
		}
	}
	return out
}

// difference names the first field in which two sessions differ.
func difference(a, b *plan.Session) string {
	for _, f := range []struct {
		name string
		same bool
	}{
		{"exercise", a.Exercise == b.Exercise}, {"station", a.Station == b.Station},
		{"start", a.Start == b.Start}, {"end", a.End == b.End},
		{"trainees", plan.SamePeople(a.Trainees, b.Trainees)}, {"instructors", plan.SamePeople(a.Instructors, b.Instructors)},
		{"rescuers", plan.SamePeople(a.Rescuers, b.Rescuers)},
	} {
		if !f.same {
			return f.name
		}
	}
	return "others"
}

// stated: the plan's cost is its cost, bound ≤ cost, and unplaced lists exactly
// the needs not placed; each is judged only if it is stated.
func stated(p *plan.Problem, pl *plan.Plan, o Options) (out []finding) {
	add := func(f verdict.Finding) { out = append(out, finding{Finding: f}) }
	if CostJudged(pl, o) {
		cost := p.Cost(pl.Sessions, o.sessions())
		if pl.Cost != nil && *pl.Cost != cost {
			add(verdict.CostStated(int64(*pl.Cost), int64(cost)))
		}
		if pl.Bound != nil && *pl.Bound > cost {
			add(verdict.BoundStated(int64(*pl.Bound), int64(cost)))
		}
	}
	if pl.Unplaced == nil {
		return out
	}
	type need struct{ trainee, exercise string }
	missing := make(map[need]bool)
	for _, u := range p.Missing(pl.Sessions) {
		missing[need{u.Trainee, u.Exercise}] = true
	}
	for _, u := range pl.Unplaced {
		n := need{u.Trainee, u.Exercise}
		if !missing[n] {
			add(verdict.UnplacedStated(u.Trainee, u.Exercise, true))
		}
		delete(missing, n)
	}
	for _, u := range p.Missing(pl.Sessions) {
		if missing[need{u.Trainee, u.Exercise}] {
			add(verdict.UnplacedStated(u.Trainee, u.Exercise, false))
		}
	}
	return out
}

// Usable reports what makes a problem unusable that only the rules can tell:
// fixed sessions that break a rule among themselves. The error is a *fault.Error
// of kind Invalid. Precondition: p.Usable() is nil.
func Usable(p *plan.Problem) error {
	j := New(p)
	b := j.Board(p.Fixed)
	for _, f := range b.all() {
		if f.Rule == "order" && f.Excess == verdict.NeverBefore && j.canComeBefore(f) {
			continue
		}
		style := verdict.PlainStyle(p.Zone)
		return &fault.Error{Kind: fault.Invalid, Field: fixedPointer(p, f),
			Message: fmt.Sprintf("fixed sessions break a rule: %s %s: %s; required: %s", f.Rule, f.Who.ID, f.Found.In(style), f.Required.In(style))}
	}
	return nil
}

// canComeBefore reports whether what an order finding misses is a need that the
// planner may still place.
func (j *Judge) canComeBefore(f finding) bool {
	t := j.p.Trainees[j.traineeOf[f.Who.ID]]
	return slices.ContainsFunc(f.Also, func(r verdict.Ref) bool {
		return r.Kind == verdict.Exercise && slices.Contains(t.Needs, r.ID)
	})
}

// fixedPointer points at the first fixed session that f is about.
func fixedPointer(p *plan.Problem, f finding) string {
	for i := range p.Fixed {
		if f.mentions(func(id string) bool { return id == p.Fixed[i].ID }) {
			return plan.Pointer("fixed", i)
		}
	}
	return "/fixed"
}
