package solve

import (
	"testing"

	"rungbook/internal/plan"
)

// builtWalk returns a search of a problem whose first plan is complete.
func builtWalk(t *testing.T, p *plan.Problem, old []plan.Session) (*run, *walk) {
	t.Helper()
	r := newRun(p, &Options{Seed: 5, Old: old})
	w := r.walks[0]
	for len(w.building) > 0 {
		w.walkStep(&r.tuning)
	}
	return r, w
}

func TestEachRuinUnseatsNeedsAndLeavesAValidPlan(t *testing.T) {
	p := readProblem(t, "rich-small")
	for i, how := range ruins {
		t.Run(how.name, func(t *testing.T) {
			r, w := builtWalk(t, p, nil)
			unseated := 0
			for range 10 {
				w.step++
				w.s.log = w.s.log[:0]
				how.do(w.rebuilder, w.pickSession(), 12)
				unseated += len(w.pending)
				if !w.rebuild() {
					t.Errorf("ruin %d left something without what must come before it", i)
				}
				w.agrees(t, r)
			}
			if unseated < 10 {
				t.Errorf("ten ruins unseated %d needs, want one each at least", unseated)
			}
		})
	}
}

func TestARuinTouchesNoFixedSession(t *testing.T) {
	p := readProblem(t, "rich-small")
	p.Fixed = Plan(p, Options{Seed: 1, Effort: 3}).Sessions
	r := newRun(p, &Options{Seed: 2})
	w := r.walks[0]
	for range 200 {
		w.walkStep(&r.tuning)
	}
	there := make(map[string]bool)
	r.best.copyOf(&w.best)
	for _, s := range r.result().Sessions {
		there[s.ID] = true
	}
	for _, f := range p.Fixed {
		if !there[f.ID] {
			t.Errorf("fixed session %s is gone", f.ID)
		}
	}
}

func TestASettingUsuallyLiesInItsRange(t *testing.T) {
	for _, s := range settings {
		if s.usual < s.low || s.usual > s.top {
			t.Errorf("%s is usually %d, its range is %d to %d", s.name, s.usual, s.low, s.top)
		}
	}
}

func TestSearchesOnALongHorizonPutTheirWorkTogetherIntoOneValidPlan(t *testing.T) {
	p := yard(t, 30)
	p.Weights = plan.Weights{Unplaced: 100_000, StaffMinute: 1, TraineeDay: 120, IntakeDay: 60, Moved: 200}
	// Without the policy of two rests in a fortnight the searches lie closer together.
	p.RestPolicies = p.RestPolicies[:1]
	for i := range p.People {
		p.People[i].Rest = p.People[i].Rest[:1]
	}
	for i := range p.Trainees {
		p.Trainees[i].Rest = []string{p.RestPolicies[0].Name}
	}
	p.RestPolicies[0].RunDays = 0
	r := newRun(p, &Options{Seed: 1})
	r.tuning.Steps, r.tuning.Meet = 8, 1
	meetings := 0
	for range 30 {
		r.round()
		if !r.joined {
			continue
		}
		if meetings++; r.ownerOf(r.walks[1].region.days.from) != 1 {
			t.Errorf("a day of the second search's region is not its own: %v", r.walks[1].region.days)
		}
		w := r.walks[0]
		w.agrees(t, r)
	}
	if meetings < 10 {
		t.Fatalf("the searches met %d times, so this shows nothing", meetings)
	}
}
