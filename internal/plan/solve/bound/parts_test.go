package bound

import (
	"math/rand/v2"
	"testing"

	"rungbook/internal/plan"
)

// cheapestBy is the least cost of all plans by other weights, if leaving a need out
// is dearer than all else.
func cheapestBy(p *plan.Problem, w plan.Weights) (plan.Cost, bool) {
	q := *p
	w.Unplaced = 1_000_000
	q.Weights = w
	best, all := cheapest(&q)
	return best, all && best < 1_000_000
}

func TestNoPartIsAboveWhatAPlanThatPlacesAllHas(t *testing.T) {
	tried, tight := 0, 0
	for seed := range uint64(200) {
		p := dice{rand.New(rand.NewPCG(seed, 13))}.shared()
		p.Weights.TraineeDay = max(1, p.Weights.TraineeDay)
		c := New(p, nil)
		for range 30 {
			c.Step()
		}
		got := c.Parts()
		staff, all := cheapestBy(p, plan.Weights{StaffMinute: 1})
		if !all {
			continue
		}
		days, _ := cheapestBy(p, plan.Weights{TraineeDay: 1})
		last, _ := cheapestBy(p, plan.Weights{IntakeDay: 1})
		tried++
		if got.Unplaced > 0 || plan.Cost(got.StaffMinutes) > staff || plan.Cost(got.TraineeDays) > days || plan.Cost(got.IntakeDays) > last {
			t.Fatalf("seed %d: %+v, but there are plans of all needs with %d staff minutes, %d trainee days, %d days to the last", seed, got, staff, days, last)
		}
		if plan.Cost(got.StaffMinutes) == staff && plan.Cost(got.TraineeDays) == days && plan.Cost(got.IntakeDays) == last {
			tight++
		}
	}
	t.Logf("%d problems of which all can be placed; every part as it must be in %d", tried, tight)
	if tried < 25 || tight < tried/3 {
		t.Errorf("%d tried, %d tight: the test has lost its teeth", tried, tight)
	}
}
