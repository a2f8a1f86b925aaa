package session

import (
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/verdict"
)

func TestAnAcceptanceCoversACautionUntilItGetsWorse(t *testing.T) {
	ana := verdict.Ref{Kind: verdict.Person, ID: "ana"}
	longRun := func(days int) verdict.Finding { return verdict.LongRun(ana, days, civil.Day(100), 5) }
	for _, c := range []struct {
		name          string
		accepted, now verdict.Finding
		want          bool
	}{
		{"the same", longRun(7), longRun(7), true},
		{"a day less", longRun(7), longRun(6), true},
		{"a day more", longRun(7), longRun(8), false},
		{"the mildest, then a day more", longRun(5), longRun(6), false},
		{"the mildest", longRun(5), longRun(5), true},
		{"another person", longRun(7), verdict.LongRun(verdict.Ref{Kind: verdict.Person, ID: "ivo"}, 7, civil.Day(100), 5), false},
	} {
		a := Acceptance{Subject: SubjectOf(c.accepted)}
		if got := a.Covers(c.now); got != c.want {
			t.Errorf("%s: covered %t, want %t", c.name, got, c.want)
		}
	}
}
