package rig

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/rulebook"
)

// aYard draws histories dense enough for clocks to run out, fail and be renewed
// inside a horizon of half a year.
func aYard(t *rapid.T) Records {
	start := day("2027-01-01")
	near := func(name string) civil.Day { return start + civil.Day(rapid.IntRange(-200, 200).Draw(t, name)) }
	r := tower()
	second := book()
	second.ID, second.From = "book2", near("second book")
	for i := range second.Lines {
		if second.Lines[i].ID == ladder || second.Lines[i].Quantity == rulebook.DrillAge {
			second.Lines[i].Value = 2
		}
	}
	r.Books = append(r.Books, second)
	r.Inspections, r.RescuePlans, r.Drills = nil, nil, nil
	for n := range rapid.IntRange(0, 12).Draw(t, "inspections") {
		pick := rapid.SampledFrom([]clockKey{{"tower", structure}, {"deck", ladder}, {"deck", weekly}, {"kit", harness}, {"kit", textileLine}}).Draw(t, "of")
		r.Inspections = append(r.Inspections, Inspection{ID: id.Inspection(rune('a' + n)), Subject: pick.subject, Line: pick.line,
			Done: near("done"), Passed: rapid.IntRange(0, 4).Draw(t, "passed") > 0})
	}
	r.Stations[0].Value.Inspections = []string{ladder, weekly}
	r.Kits[0].Value.Inspections = []string{harness, textileLine}
	if rapid.Bool().Draw(t, "on a tower") {
		r.Rigs[0].Value.Kind = TowerPlatform
	}
	r.Kits[0].Value.LastValid = near("kit")
	for n := range rapid.IntRange(0, 4).Draw(t, "plans") {
		p := RescuePlan{ID: rapid.SampledFrom([]id.RescuePlan{"plan", "other"}).Draw(t, "plan"), Version: n + 1, Author: "a",
			ApprovedBy: rapid.SampledFrom([]id.Person{"a", "b", "b"}).Draw(t, "by"), InForce: near("in force"), ReviewBy: near("review"), Stations: []id.Station{"deck"}}
		if rapid.IntRange(0, 3).Draw(t, "withdrawn") == 0 {
			p.Withdrawn = near("withdrawn on")
		}
		if rapid.IntRange(0, 5).Draw(t, "elsewhere") == 0 {
			p.Stations = []id.Station{"roof"}
		}
		r.RescuePlans = append(r.RescuePlans, p)
	}
	for n := range rapid.IntRange(0, 4).Draw(t, "drills") {
		r.Drills = append(r.Drills, Drill{ID: id.Drill(rune('a' + n)), Plan: "plan", Day: near("drill"), Accepted: rapid.IntRange(0, 3).Draw(t, "accepted") > 0})
	}
	changed := r.Rigs[0].Value
	changed.State = rapid.SampledFrom(States()).Draw(t, "state")
	turn := near("turn")
	r.Rigs = []Standing[Rig]{{Until: turn, Value: r.Rigs[0].Value}, {From: turn, Value: changed}}
	return r
}

func TestSpansOverAHorizonAgreeWithEachSingleDay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := NewRegister(aYard(t))
		from, until := day("2027-01-01"), day("2027-06-15")
		spans := g.NotUsable("deck", from, until)
		plans := g.RescuePlans("deck", from, until)
		for i := range spans {
			if spans[i].From >= spans[i].Until || (i > 0 && spans[i-1].Until > spans[i].From) {
				t.Fatalf("spans out of order: %v", spans)
			}
		}
		for d := from; d < until; d++ {
			var got []Cause
			for _, s := range spans {
				if s.From <= d && d < s.Until {
					got = s.Causes
				}
			}
			if want := g.Station("deck", d); !slices.Equal(got, want) {
				t.Fatalf("on %s: spans say %q, the day says %q", d, said(got), said(want))
			}
			plan, ok := g.RescueInForce("deck", d)
			i := slices.IndexFunc(plans, func(p PlanSpan) bool { return p.From <= d && d < p.Until })
			if ok != (i >= 0) || (ok && (plans[i].Plan.ID != plan.ID || plans[i].Plan.Version != plan.Version)) {
				t.Fatalf("on %s: spans and day name different rescue plans", d)
			}
		}
	})
}

func BenchmarkNotUsable(b *testing.B) {
	r := tower()
	for n := range 60 { // a monthly inspection over five years
		r.Inspections = append(r.Inspections, Inspection{ID: id.Inspection(rune(0x100 + n)), Subject: "deck", Line: ladder, Done: day("2022-01-01").AddMonths(n), Passed: true})
	}
	g := NewRegister(r)
	for b.Loop() {
		g.NotUsable("deck", day("2027-01-01"), day("2027-02-01"))
	}
}
