package check_test

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"rungbook/internal/plan"
	"rungbook/internal/plan/check"
	"rungbook/internal/verdict"
)

// FuzzPlan judges whatever problem and plan can be read: the judge must answer,
// and print its answer, whatever the numbers in them.
func FuzzPlan(f *testing.F) {
	paths, err := filepath.Glob(probes + "/*/breaks.json")
	if err != nil || len(paths) == 0 {
		f.Fatalf("no probes: %v", err)
	}
	for _, path := range paths {
		data, err := os.ReadFile(path)
		if err != nil {
			f.Fatal(err)
		}
		var probe struct{ Problem, Plan json.RawMessage }
		if err := json.Unmarshal(data, &probe); err != nil {
			f.Fatal(err)
		}
		f.Add([]byte(probe.Problem), []byte(probe.Plan))
	}
	f.Fuzz(func(t *testing.T, problem, made []byte) {
		p, err := plan.DecodeProblem(problem)
		if err != nil || check.Usable(p) != nil {
			return
		}
		pl, err := plan.DecodePlan(made, p.Zone)
		if err != nil || p.Knows(pl) != nil {
			return
		}
		report := check.Plan(p, pl, check.Options{})
		style := verdict.PlainStyle(p.Zone)
		for _, finding := range report.Findings {
			if finding.Rule == "" || finding.Excess < 1 || finding.Found.In(style) == "" || finding.Required.In(style) == "" {
				t.Fatalf("%+v says nothing", finding)
			}
		}
	})
}
