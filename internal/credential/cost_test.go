package credential

import (
	"testing"

	"rungbook/internal/id"
	"rungbook/internal/rulebook"
)

func TestWhatAFailureCostsIsKnownOnlyWhereALineSaysSo(t *testing.T) {
	book := func(lines ...rulebook.Line) []rulebook.Version {
		for i := range lines {
			lines[i].Profile = "training"
		}
		return []rulebook.Version{{From: 100, Profiles: []id.Profile{"training"}, Lines: lines}}
	}
	months := rulebook.Line{ID: "validity.height", Quantity: rulebook.ValidityMonths, Value: 24}
	costs := func(f rulebook.Failing) rulebook.Line {
		return rulebook.Line{ID: "validity.height.failure", Quantity: rulebook.FailureCosts, Value: int64(f)}
	}
	for _, c := range []struct {
		name  string
		books []rulebook.Version
		want  Cost
	}{
		{"the outcome, said so", book(months, costs(rulebook.CostsOutcome)), Cost{rulebook.CostsOutcome, "validity.height.failure"}},
		{"the whole programme", book(months, costs(rulebook.CostsProgramme)), Cost{rulebook.CostsProgramme, "validity.height.failure"}},
		{"an older certificate", book(months, costs(rulebook.CostsCertificate)), Cost{rulebook.CostsCertificate, "validity.height.failure"}},
		{"no line", book(months), Cost{}},
		{"no terms", book(costs(rulebook.CostsProgramme)), Cost{}},
		{"no rule book", nil, Cost{}},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := CostOf(c.books, "validity.height", 100); got != c.want {
				t.Errorf("got %+v, want %+v", got, c.want)
			}
		})
	}
	if got := CostOf(book(months, costs(rulebook.CostsOutcome)), "validity.height", 99); got != (Cost{}) {
		t.Errorf("the day before the rule book: %+v", got)
	}
}
