package bound

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"rungbook/internal/plan"
	"rungbook/internal/plan/check"
)

// every tries all plans of a tiny problem; plan/check is the judge of each.
type every struct {
	p      *plan.Problem
	judge  *check.Judge
	alone  [][]plan.Session // by exercise: sessions that break nothing by themselves
	needs  []plan.Unplaced  // in order of exercises, so that what comes before is settled before
	best   plan.Cost
	visits int
}

const mostVisits = 3_000

// cheapest returns the least cost of all valid plans, fixed sessions among them, and false where there are
// too many to try.
func cheapest(p *plan.Problem) (plan.Cost, bool) {
	x := &every{p: p, judge: check.New(p), best: p.Cost(p.Fixed, nil)}
	for i := range p.Exercises {
		x.alone = append(x.alone, x.sessions(&p.Exercises[i]))
		for _, n := range p.Missing(nil) {
			if n.Exercise == p.Exercises[i].ID {
				x.needs = append(x.needs, n)
			}
		}
	}
	x.place(0, p.Fixed, nil)
	return x.best, x.visits < mostVisits
}

// place settles the needs from number k on: out are those left unplaced.
func (x *every) place(k int, sessions []plan.Session, out []plan.Unplaced) {
	if x.visits++; x.visits >= mostVisits {
		return
	}
	cost := x.p.Cost(sessions, nil) - plan.Cost(x.p.Weights.Unplaced*int64(len(x.p.Missing(sessions))-len(out)))
	if cost >= x.best && k < len(x.needs) {
		return
	}
	if k == len(x.needs) {
		x.best = min(x.best, x.p.Cost(sessions, nil))
		return
	}
	n := x.needs[k]
	has := func(s *plan.Session) bool { return s.Exercise == n.Exercise && slices.Contains(s.Trainees, n.Trainee) }
	if slices.ContainsFunc(sessions, func(s plan.Session) bool { return has(&s) }) {
		x.place(k+1, sessions, out)
		return
	}
	for e := range x.alone {
		for i := range x.alone[e] {
			s := x.alone[e][i]
			if !has(&s) || slices.ContainsFunc(out, func(u plan.Unplaced) bool { return u.Exercise == s.Exercise && slices.Contains(s.Trainees, u.Trainee) }) {
				continue
			}
			s.ID = fmt.Sprintf("s%d", len(sessions))
			next := append(slices.Clone(sessions), s)
			if len(x.judge.Board(next).All().Findings) == 0 {
				x.place(k+1, next, out)
			}
		}
	}
	x.place(k+1, sessions, append(slices.Clone(out), n))
}

// sessions lists every session of an exercise that breaks nothing by itself but
// order, which others may mend.
func (x *every) sessions(e *plan.Exercise) (out []plan.Session) {
	var trainees []string
	for i := range x.p.Trainees {
		if slices.Contains(x.p.Trainees[i].Needs, e.ID) {
			trainees = append(trainees, x.p.Trainees[i].ID)
		}
	}
	var people []string
	for i := range x.p.People {
		people = append(people, x.p.People[i].ID)
	}
	f := &facts{p: x.p, grid: x.p.Grid}
	f.layDays()
	for _, group := range subsets(trainees) {
		for _, staff := range subsets(people) {
			for _, instructors := range subsets(staff) {
				rescuers := slices.DeleteFunc(slices.Clone(staff), func(id string) bool { return slices.Contains(instructors, id) })
				for _, station := range e.Stations {
					for _, d := range f.days {
						for _, at := range d.starts {
							s := plan.Session{ID: "s", Exercise: e.ID, Station: station, Start: at.at, End: at.at.Add(e.Minutes),
								Trainees: group, Instructors: instructors, Rescuers: rescuers}
							if x.stands(&s) {
								out = append(out, s)
							}
						}
					}
				}
			}
		}
	}
	return out
}

func (x *every) stands(s *plan.Session) bool {
	for _, f := range x.judge.Board([]plan.Session{*s}).All().Findings {
		if f.Rule != "order" {
			return false
		}
	}
	return true
}

// subsets lists the subsets of a list that are not empty.
func subsets(list []string) (out [][]string) {
	for mask := 1; mask < 1<<len(list); mask++ {
		var part []string
		for i, v := range list {
			if mask>>i&1 == 1 {
				part = append(part, v)
			}
		}
		out = append(out, part)
	}
	return out
}

func TestNoBoundIsAboveTheCheapestOfAllPlans(t *testing.T) {
	got := compare(t, 1400, func(d dice) *plan.Problem { return d.problem() })
	if got.tried < 1000 || got.tight < got.tried/2 || got.placed < got.tried/4 {
		t.Errorf("%+v: the test has lost its teeth", got)
	}
}

func TestNoBoundIsAboveTheCheapestPlanWhereIntakesShare(t *testing.T) {
	got := compare(t, 500, func(d dice) *plan.Problem { return d.shared() })
	if got.tried < 300 || got.shared < 14 || got.placed < got.tried/3 {
		t.Errorf("%+v: the test has lost its teeth", got)
	}
}

func TestNoBoundIsAboveTheCheapestPlanWhereEnergyDecides(t *testing.T) {
	got := compare(t, 400, func(d dice) *plan.Problem { return d.powered() })
	if got.tried < 200 || got.tight < got.tried/2 || got.placed < got.tried/3 {
		t.Errorf("%+v: the test has lost its teeth", got)
	}
}

// seen counts tiny problems: tried whole; with a plan that places something; bound
// = cheapest; the bound that of lasts alone.
type seen struct{ tried, placed, tight, shared int }

// compare holds the bounds of drawn problems against the cheapest of all plans.
func compare(t *testing.T, problems uint64, draw func(dice) *plan.Problem) (got seen) {
	var gap, sum float64
	for seed := range problems {
		p := draw(dice{rand.New(rand.NewPCG(seed, 7))})
		if p.Usable() != nil {
			t.Fatalf("seed %d draws an unusable problem: %v", seed, p.Usable())
		}
		best, all := cheapest(p)
		if !all {
			continue
		}
		c := New(p, nil)
		for range 40 {
			c.Step()
		}
		bound := c.Best()
		if bound > best {
			t.Fatalf("seed %d: the bound is %d, but a plan costs %d", seed, bound, best)
		}
		got.tried++
		if bound == best {
			got.tight++
		}
		if best < p.Cost(nil, nil) {
			got.placed++
		}
		if c.restsOnSharing() {
			got.shared++
		}
		if best > 0 {
			gap, sum = gap+float64(best-bound)/float64(best), sum+1
		}
	}
	t.Logf("%d problems tried whole, %d with plans that place something, %d whose bound rests on intakes that share; bound = cheapest in %d; mean gap %.1f %%",
		got.tried, got.placed, got.shared, got.tight, 100*gap/sum)
	return got
}

// restsOnSharing reports whether the cases of last days prove more than all else.
func (c *Climber) restsOnSharing() bool {
	if c.lasts == nil {
		return false
	}
	out, w := c.leastOut(), c.p.Weights.Unplaced
	others := max((w-c.capped)*out+ceilDiv(c.whole.best, scale), (w-c.ownFee)*out+ceilDiv(c.ownSum, scale), w*out)
	return (w-c.ownFee)*out+ceilDiv(c.lasts.best(), scale) > others
}
