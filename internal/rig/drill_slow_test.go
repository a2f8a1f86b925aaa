package rig

import (
	"slices"
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/rulebook"
)

func TestADrillSlowerThanTheRuleBookLetsItStops(t *testing.T) {
	for _, c := range []struct {
		name    string
		minutes civil.Minutes
		limited bool
		want    bool
	}{
		{"the slowest that passes", 20, true, false},
		{"the first that is too slow", 21, true, true},
		{"no line limits it", 500, false, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := tower()
			r.Books = slices.Clone(r.Books)
			r.Books[0].Lines = slices.DeleteFunc(slices.Clone(r.Books[0].Lines), func(l rulebook.Line) bool { return l.Quantity == rulebook.DrillMinutes })
			if c.limited {
				like := r.Books[0].Lines[slices.IndexFunc(r.Books[0].Lines, func(l rulebook.Line) bool { return l.Quantity == rulebook.DrillAge })]
				like.ID, like.Quantity, like.Value = "drill-minutes", rulebook.DrillMinutes, 20
				r.Books[0].Lines = append(r.Books[0].Lines, like)
			}
			for i := range r.Drills {
				r.Drills[i].Minutes = c.minutes
			}
			_, causes := NewRegister(r).InService("deck", r.Drills[len(r.Drills)-1].Day)
			slow := slices.ContainsFunc(causes, func(c Cause) bool { return c.Kind == DrillSlow && c.Line == "drill-minutes" })
			if slow != c.want {
				t.Errorf("too slow: %t, want %t: %v", slow, c.want, causes)
			}
		})
	}
}

func TestADrillSlowerThanItsPlanSaysNamesTheVersionThatSaysIt(t *testing.T) {
	r := tower()
	r.RescuePlans[0].Version, r.RescuePlans[0].Procedure = 3, &Procedure{SafeWithin: 10}
	for minutes, want := range map[civil.Minutes]bool{10: false, 11: true} {
		r.Drills[0].Minutes = minutes
		_, causes := NewRegister(r).InService("deck", r.Drills[0].Day+30)
		if slow := slices.ContainsFunc(causes, func(c Cause) bool { return c.Kind == DrillSlow && c.Line == "" && c.Plan == "plan" && c.Version == 3 }); slow != want {
			t.Errorf("%s: too slow by version 3: %t: %v", minutes, slow, causes)
		}
	}
}
