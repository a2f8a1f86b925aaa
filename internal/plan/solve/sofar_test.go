package solve

import (
	"reflect"
	"testing"

	"rungbook/internal/plan"
)

// TestThePlanSoFarIsThatOfARunOfAsManyRounds asks on the way, of a fresh plan and
// of a repair, and compares with runs that end there; nor may asking change what
// comes after.
func TestThePlanSoFarIsThatOfARunOfAsManyRounds(t *testing.T) {
	p := readProblem(t, "rich-small")
	base := Plan(p, Options{Seed: 3, Effort: 4}).Sessions
	for name, old := range map[string][]plan.Session{"fresh": nil, "repair": base[1:]} {
		const rounds = 5
		var onTheWay []Result
		o := Options{Seed: 3, Effort: rounds, Old: old, Prove: proven, Tell: func(p Progress) { onTheWay = append(onTheWay, p.SoFar()) }}
		last := Plan(p, o)
		if want := Plan(p, Options{Seed: 3, Effort: rounds, Old: old, Prove: proven}); !reflect.DeepEqual(last, want) {
			t.Errorf("%s: asking for the plan so far changed the plan", name)
		}
		for i, got := range onTheWay {
			if want := Plan(p, Options{Seed: 3, Effort: int64(i + 1), Old: old, Prove: proven}); !reflect.DeepEqual(got, want) {
				t.Errorf("%s: after round %d the plan so far costs %d with %d sessions, that of a run of as many rounds %d with %d, or they differ elsewhere",
					name, i+1, got.Cost, len(got.Sessions), want.Cost, len(want.Sessions))
			}
		}
	}
}
