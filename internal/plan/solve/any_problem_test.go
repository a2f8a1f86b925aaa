package solve

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"rungbook/internal/plan"
	"rungbook/internal/plan/check"
)

// FuzzAnyProblem plans and explains whatever problem can be read: whatever the
// numbers in it, the search ends, what it places is valid, and no need that is placed
// was said to have no place.
func FuzzAnyProblem(f *testing.F) {
	paths, err := filepath.Glob("../../../testdata/probes/*/breaks.json")
	if err != nil || len(paths) == 0 {
		f.Fatalf("no probes: %v", err)
	}
	for _, path := range paths {
		data, err := os.ReadFile(path)
		if err != nil {
			f.Fatal(err)
		}
		var probe struct{ Problem json.RawMessage }
		if err := json.Unmarshal(data, &probe); err != nil {
			f.Fatal(err)
		}
		f.Add([]byte(probe.Problem))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := plan.DecodeProblem(data)
		if err != nil || check.Usable(p) != nil || p.Days > 60 || len(p.Trainees) > 50 || len(p.Exercises) > 20 {
			return
		}
		made := Plan(p, Options{Seed: 1, Effort: 1, Tuning: quick()})
		if made.Owed > 0 {
			return // no valid plan was found, and none is written
		}
		pl := plan.Plan{Sessions: made.Sessions, Unplaced: made.Unplaced, Cost: &made.Cost}
		if report := check.Plan(p, &pl, check.Options{}); len(report.Findings) > 0 {
			t.Fatalf("the plan breaks %v", report.Findings[0])
		}
		for _, c := range Contradictions(p) {
			if !slices.ContainsFunc(made.Unplaced, func(u plan.Unplaced) bool {
				return u.Trainee == c.Trainee && u.Exercise == c.Exercise && u.Reason == c.Words
			}) {
				t.Fatalf("%+v is placed, or has another reason: %v", c, made.Unplaced)
			}
		}
		for i, u := range made.Unplaced {
			if i == 2 {
				break
			}
			if e, ok := Explain(p, made.Sessions, u.Trainee, u.Exercise); !ok || e.Standing != nil {
				t.Fatalf("%v is not explained", u)
			}
		}
	})
}
