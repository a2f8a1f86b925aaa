package bound

import (
	"math/rand/v2"
	"slices"
	"testing"

	"rungbook/internal/plan"
	"rungbook/internal/plan/check"
)

// fix makes some sessions that break nothing together fixed.
func (d dice) fix(p *plan.Problem) {
	x := &every{p: p, judge: check.New(p)}
	var fixed []plan.Session
	for i := range p.Exercises {
		list := x.sessions(&p.Exercises[i])
		if len(list) == 0 || d.one(3) {
			continue
		}
		s := list[d.IntN(len(list))]
		s.ID = "f" + s.Exercise
		if next := append(slices.Clone(fixed), s); len(x.judge.Board(next).All().Findings) == 0 {
			fixed = next
		}
	}
	p.Fixed = fixed
}

func TestNoBoundIsAboveTheCheapestPlanWithWhatIsFixed(t *testing.T) {
	tried, tight, risen := 0, 0, 0
	for seed := range uint64(1200) {
		d := dice{rand.New(rand.NewPCG(seed, 11))}
		p := d.problem()
		d.fix(p)
		if len(p.Fixed) == 0 || check.Usable(p) != nil {
			continue
		}
		best, all := cheapest(p)
		if !all {
			continue
		}
		tried++
		bound := Lower(p, nil, 30, nil)
		if bound > best {
			t.Fatalf("seed %d: the bound is %d, but a plan costs %d", seed, bound, best)
		}
		if bound == best {
			tight++
		}
		if _, _, paid := apart(p, nil); paid.cost > 0 {
			risen++
		}
	}
	t.Logf("%d problems tried whole; bound = cheapest in %d; something is sunk in %d", tried, tight, risen)
	if tried < 300 || tight < tried/2 || risen < tried/4 {
		t.Errorf("%d problems tried, %d tight, %d with a sunk part: the test has lost its teeth", tried, tight, risen)
	}
}

func TestAFixedSessionThatIsOldIsNotCountedAsMoved(t *testing.T) {
	for seed := uint64(3); ; seed++ {
		d := dice{rand.New(rand.NewPCG(seed, 11))}
		p := d.problem()
		d.fix(p)
		if len(p.Fixed) == 0 {
			continue
		}
		p.Weights = plan.Weights{Moved: 50}
		if got := Lower(p, p.Fixed, 4, nil); got != 0 {
			t.Errorf("seed %d: what is fixed as it was costs %d, want 0", seed, got)
		}
		return
	}
}
