package plan_test

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"rungbook/internal/fault"
	"rungbook/internal/plan"
)

func seed(f *testing.F) {
	for _, pattern := range []string{"testdata/*.json", "../../testdata/probes/weekly-rest/*.json"} {
		paths, err := filepath.Glob(pattern)
		if err != nil {
			f.Fatal(err)
		}
		for _, path := range paths {
			data, err := os.ReadFile(path)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(data)
		}
	}
	f.Add([]byte(`{"format":"rungbook.problem.v1","zone":"UTC","from":"0001-01-01","days":3650000,"open":[],"weights":{"unplaced":1000000000}}`))
	f.Add([]byte(`{"format":"rungbook.plan.v1","cost":0,"bound":9223372036854775807}`))
}

// wellReported fails unless err is a fault that says where it is.
func wellReported(t *testing.T, err error) {
	var fe *fault.Error
	if !errors.As(err, &fe) || fe.Kind != fault.Invalid || fe.Message == "" {
		t.Fatalf("%v is no invalid fault with a sentence", err)
	}
}

func FuzzDecodeProblem(f *testing.F) {
	seed(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := plan.DecodeProblem(data)
		if err != nil {
			wellReported(t, err)
			return
		}
		out, err := plan.EncodeProblem(p)
		if err != nil {
			t.Fatal(err)
		}
		again, err := plan.DecodeProblem(out)
		if err != nil {
			t.Fatalf("a problem that was read can't be read again: %v\n%s", err, out)
		}
		if diff := cmp.Diff(p, again, sameZone, cmpopts.EquateEmpty()); diff != "" {
			t.Fatal(diff)
		}
	})
}

func FuzzDecodePlan(f *testing.F) {
	seed(f)
	zone := dublin(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		pl, err := plan.DecodePlan(data, zone)
		if err != nil {
			wellReported(t, err)
			return
		}
		out, err := plan.EncodePlan(pl, zone)
		if err != nil {
			t.Fatal(err)
		}
		again, err := plan.DecodePlan(out, zone)
		if err != nil {
			t.Fatalf("a plan that was read can't be read again: %v\n%s", err, out)
		}
		pl.Sort()
		if diff := cmp.Diff(pl, again, cmpopts.EquateEmpty()); diff != "" {
			t.Fatal(diff)
		}
	})
}
