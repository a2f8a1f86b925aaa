package check_test

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"rungbook/internal/plan"
	"rungbook/internal/plan/check"
	"rungbook/internal/verdict"
)

const probes = "../../../testdata/probes"

// readProbe reads a file that holds a problem and a plan.
func readProbe(t *testing.T, path string) (*plan.Problem, *plan.Plan) {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var f struct {
		Says          string
		Problem, Plan json.RawMessage
	}
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&f); err != nil {
		t.Fatalf("%s: %v", path, err)
	}
	p, err := plan.DecodeProblem(f.Problem)
	if err != nil {
		t.Fatalf("%s: problem: %v", path, err)
	}
	if err := check.Usable(p); err != nil {
		t.Fatalf("%s: problem: %v", path, err)
	}
	pl, err := plan.DecodePlan(f.Plan, p.Zone)
	if err != nil {
		t.Fatalf("%s: plan: %v", path, err)
	}
	if err := p.Knows(pl); err != nil {
		t.Fatalf("%s: plan: %v", path, err)
	}
	return p, pl
}

func lines(p *plan.Problem, r verdict.Report) (out []string) {
	style := verdict.PlainStyle(p.Zone)
	for _, f := range r.Findings {
		out = append(out, f.Rule+"  "+f.Who.ID+"  "+f.Found.In(style)+", "+f.Required.In(style)+"  "+f.At)
	}
	return out
}

func TestEachProbeBreaksExactlyItsRuleAndItsTwinHolds(t *testing.T) {
	for _, r := range check.Rules() {
		t.Run(r.Name, func(t *testing.T) {
			p, pl := readProbe(t, filepath.Join(probes, r.Name, "breaks.json"))
			report := check.Plan(p, pl, check.Options{})
			if len(report.Findings) == 0 {
				t.Error("breaks.json: no violation")
			}
			for i, f := range report.Findings {
				if f.Rule != r.Name {
					t.Errorf("breaks.json: also breaks %q", lines(p, report)[i])
				}
				if f.Level != verdict.Stops || f.Excess < 1 {
					t.Errorf("breaks.json: level %v, excess %d, want a stop beyond its limit", f.Level, f.Excess)
				}
			}
			t.Log(lines(p, report))
			p, pl = readProbe(t, filepath.Join(probes, r.Name, "holds.json"))
			if report := check.Plan(p, pl, check.Options{}); len(report.Findings) > 0 {
				t.Errorf("holds.json: breaks %q", lines(p, report))
			}
		})
	}
}
