package solve

import (
	"math/bits"
	"slices"
	"testing"

	"rungbook/internal/plan"
	"rungbook/internal/plan/check"
)

func keptProblem(t *testing.T, name string) *plan.Problem {
	if name == "medium" {
		return packedProblem(t, name)
	}
	return readProblem(t, name)
}

// outlinesOf returns the outlines of a problem, each once.
func outlinesOf(t *testing.T, name string) (*task, []*outline) {
	t.Helper()
	p := keptProblem(t, name)
	tk := newTask(p, Compile(p))
	var out []*outline
	for _, o := range tk.outlineOf {
		if o != nil && !slices.Contains(out, o) {
			out = append(out, o)
		}
	}
	if len(out) == 0 {
		t.Fatalf("%s has no outline", name)
	}
	return tk, out
}

// fewestBy is outline.fewest again, slow and obvious: it tries every set of needs
// as the next day.
func fewestBy(c *Compiled, o *outline, met uint32, known map[uint32]int) int {
	if met == o.goal {
		return 0
	}
	if d, ok := known[met]; ok {
		return d
	}
	best := never
	for add := o.goal &^ met; add != 0; add = (add - 1) & (o.goal &^ met) {
		inOrder := true
		for i := range o.needs {
			inOrder = inOrder && (add>>i&1 == 0 || o.before[i]&^(met|add) == 0)
		}
		if inOrder && o.fits(c, add) {
			best = min(best, 1+fewestBy(c, o, met|add, known))
		}
	}
	known[met] = best
	return best
}

func TestAnOutlineTakesAsFewDaysAsTryingAllSaysAndKeepsTheOrder(t *testing.T) {
	tried := 0
	for _, name := range []string{"small", "rich-small", "medium"} {
		tk, all := outlinesOf(t, name)
		chance := newChance(1, 2)
		for _, o := range all {
			if len(o.needs) > 10 {
				continue
			}
			want := fewestBy(tk.c, o, 0, map[uint32]int{})
			for range 20 {
				tried++
				days := o.draw(tk.c, 0, o.goal, chance)
				if len(days) != want {
					t.Fatalf("%s: %d days, want %d", name, len(days), want)
				}
				met := uint32(0)
				for _, day := range days {
					add := uint32(0)
					for _, e := range day {
						i := slices.Index(o.needs, e)
						add |= 1 << i
					}
					for m := add; m != 0; m &= m - 1 {
						if i := bits.TrailingZeros32(m); o.before[i]&^(met|add) != 0 || met>>i&1 == 1 {
							t.Fatalf("%s: %v: need %d comes too soon or twice", name, days, i)
						}
					}
					if !o.fits(tk.c, add) {
						t.Fatalf("%s: day %v holds too much", name, day)
					}
					met |= add
				}
				if met != o.goal {
					t.Fatalf("%s: %v meets %b, want %b", name, days, met, o.goal)
				}
			}
		}
	}
	if tried < 60 {
		t.Errorf("%d outlines drawn: the test has lost its teeth", tried)
	}
}

func TestAPartOfAnOutlineMeetsTheRestAndNoMore(t *testing.T) {
	tk, all := outlinesOf(t, "medium")
	chance := newChance(3, 4)
	for _, o := range all {
		days := o.draw(tk.c, 0, o.goal, chance)
		met := uint32(0)
		for _, e := range days[0] {
			met |= 1 << slices.Index(o.needs, e)
		}
		rest := o.draw(tk.c, met, o.goal&^met, chance)
		if len(rest) != len(days)-1 {
			t.Errorf("%d days after the first of %d, want one less", len(rest), len(days))
		}
		for _, day := range rest {
			for _, e := range day {
				if slices.Contains(days[0], e) {
					t.Errorf("exercise %d is met twice", e)
				}
			}
		}
	}
}

// An intake whose trainees can do all they need in three days, if each is full to
// the minute.
func TestAnIntakeOfFullDaysIsSeatedOnAsFewAsItsNeedsCanBeMetIn(t *testing.T) {
	p := keptProblem(t, "medium")
	p.Trainees = slices.DeleteFunc(p.Trainees, func(tr plan.Trainee) bool { return tr.Intake != "in007" })
	r := Plan(p, Options{Seed: 1, Effort: 12})
	days := map[string]map[int64]bool{}
	for _, s := range r.Sessions {
		for _, tr := range s.Trainees {
			if days[tr] == nil {
				days[tr] = map[int64]bool{}
			}
			days[tr][int64(p.Zone.DayOf(s.Start))] = true
		}
	}
	sum := 0
	for _, d := range days {
		sum += len(d)
	}
	if len(r.Unplaced) > 0 || len(days) != 10 || sum != 30 {
		t.Errorf("%d trainees on %d days in all, %d needs unplaced; want 10 on 3 each, none", len(days), sum, len(r.Unplaced))
	}
}

func TestWhatIsDrawnAfterTheFirstPlanOnlyMakesItCheaper(t *testing.T) {
	for _, name := range []string{"small", "rich-small", "medium"} {
		p := keptProblem(t, name)
		judge := check.New(p)
		r := newRun(p, &Options{Seed: 1})
		saved := int64(0)
		for _, w := range r.walks {
			if len(w.drawing) != len(w.building) {
				t.Fatalf("%s: %d batches to draw, want each of %d", name, len(w.drawing), len(w.building))
			}
			for len(w.building) > 0 {
				w.build()
			}
			first := w.s.guide()
			for len(w.drawing) > 0 {
				before := w.s.guide()
				w.redraw()
				if after := w.s.guide(); after > before || after != w.current {
					t.Fatalf("%s: a plan of %d became one of %d, said to be %d", name, before, after, w.current)
				}
			}
			saved += first - w.s.guide()
			w.best.sort()
			r.best.copyOf(&w.best)
			if found := judge.Board(r.result().Sessions).All().Findings; len(found) > 0 {
				t.Fatalf("%s: what was drawn is not valid: %v", name, found)
			}
		}
		if saved < int64(len(r.walks))*p.Weights.TraineeDay {
			t.Errorf("%s: all draws save only %d", name, saved)
		}
	}
}

func TestARepairAndALongHorizonDrawNothingAnew(t *testing.T) {
	small := readProblem(t, "small")
	for name, r := range map[string]*run{
		"repair":       newRun(small, &Options{Old: Plan(small, Options{Effort: 1}).Sessions}),
		"long horizon": newRun(packedProblem(t, "half-year"), &Options{}),
	} {
		for _, w := range r.walks {
			if len(w.drawing) > 0 {
				t.Errorf("%s: search %d draws %d batches", name, w.number, len(w.drawing))
			}
		}
	}
}
