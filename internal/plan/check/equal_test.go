package check

import (
	"maps"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"rungbook/internal/plan"
	"rungbook/internal/verdict"
)

// told brings findings into the twin's form.
func told(list []finding) verdicts {
	v := make(verdicts)
	for _, f := range list {
		var also []string
		for _, r := range f.Also {
			also = append(also, r.ID)
		}
		v.add(f.Excess, f.Rule, f.Who.ID, also...)
	}
	return v
}

func TestRulesJudgeAsTheirSlowTwinDoes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		list := drawSessions(t, p, 7, "s")
		got, want := told(New(p).Board(list).all()), judgeSlowly(p, list)
		if diff := cmp.Diff(want, got); diff != "" {
			t.Fatalf("rules (+) against the twin (-):\n%s", diff)
		}
	})
}

// TestTheGeneratorsReachEveryRule keeps the comparison above honest: if a rule
// were never broken there, it would be compared with nothing.
func TestTheGeneratorsReachEveryRule(t *testing.T) {
	seen := make(map[string]int)
	broken := rapid.Custom(func(t *rapid.T) []finding {
		p := drawProblem(t)
		return New(p).Board(drawSessions(t, p, 7, "s")).all()
	})
	for seed := range 300 {
		for _, f := range broken.Example(seed) {
			seen[f.Rule]++
		}
	}
	for _, r := range Rules() {
		if r.Subject != OfPlan && seen[r.Name] == 0 {
			t.Errorf("%s was never broken in %v", r.Name, seen)
		}
	}
}

// TestReportKeepsAFindingOfEveryThing guards the shortening of reports: what
// tells of one thing may be told once, but a broken rule never falls silent.
func TestReportKeepsAFindingOfEveryThing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		b := New(p).Board(drawSessions(t, p, 7, "s"))
		all, things := b.all(), make(map[oneThing]bool)
		alone := 0
		for _, f := range all {
			if f.one == (oneThing{}) {
				alone++
			} else {
				things[f.one] = true
			}
		}
		if got, want := len(b.All().Findings), alone+len(things); got != want {
			t.Fatalf("the report has %d findings, want %d", got, want)
		}
	})
}

func TestChangeChargesWhatAllFindsWithTheChangeAndNotWithout(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		j, list := New(p), drawSessions(t, p, 6, "s")
		var remove []string
		put := drawSessions(t, p, 2, "new")
		kept := make([]plan.Session, 0, len(list))
		for _, s := range list {
			switch rapid.IntRange(0, 4).Draw(t, "what becomes of "+s.ID) {
			case 0:
				remove = append(remove, s.ID)
			case 1: // moved, or its people changed
				moved := drawSession(t, p, s.ID)
				if rapid.Bool().Draw(t, "people only") {
					moved.Exercise, moved.Station, moved.Start, moved.End = s.Exercise, s.Station, s.Start, s.End
				}
				put = append(put, moved)
			default:
				kept = append(kept, s)
			}
		}
		b := j.Board(list)
		before := told(b.all())
		c := b.change(remove, put)
		got := told(c.charged(c.judge(c.fresh, true), c.judge(c.gone, false)))
		want := make(verdicts)
		for _, f := range j.Board(append(kept, put...)).all() {
			for k, excess := range told([]finding{f}) {
				if excess > before[k] || f.mentions(func(id string) bool { return afresh(f.Rule, id, list, put) }) {
					want[k] = max(want[k], excess)
				}
			}
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Fatalf("Change (+) against All with less All without (-):\n%s", diff)
		}
		if !maps.Equal(before, told(b.all())) {
			t.Fatal("Change altered the board")
		}
		if len(want) == 0 != (b.Change(remove, put).Level() == verdict.Clear) {
			t.Fatal("Change is clear where something is charged, or the other way round")
		}
	})
}

// afresh says by plain words when a moved session answers for what it broke before.
func afresh(rule, id string, list, put []plan.Session) bool {
	for _, now := range put {
		for _, old := range list {
			if now.ID != id || old.ID != id {
				continue
			}
			moved := now.Start != old.Start || max(now.Start, now.End) != max(old.Start, old.End) || now.Station != old.Station || now.Exercise != old.Exercise
			fuller := len(now.Trainees)+len(now.Others) > len(old.Trainees)+len(old.Others) ||
				len(now.Instructors)+len(now.Rescuers) > len(old.Instructors)+len(old.Rescuers)
			switch rule {
			case "group-size", "alone", "ratio", "staff-min", "course-span", "daily-rest", "weekly-rest", "day-run", "day-minutes",
				"day-span", "week-minutes", "height-minutes":
				return false
			case "rig-headcount":
				return moved || fuller
			default:
				return moved
			}
		}
	}
	return false
}
