package rig

import (
	"testing"

	"rungbook/internal/id"
	"rungbook/internal/rulebook"
)

// INDG367 (facts I2): detailed inspection within 6 months, within 3 where use is
// arduous; steel masts and towers are named as such.
func TestTextileKitOnATowerIsInspectedAsOftenAsArduousUseAsks(t *testing.T) {
	withoutLine := func(r *Records) {
		r.Books[0].Lines = nil
		for _, l := range book().Lines {
			if l.ID != arduousLine {
				r.Books[0].Lines = append(r.Books[0].Lines, l)
			}
		}
	}
	onTower := func(r *Records) { r.Rigs[0].Value.Kind = TowerPlatform }
	used := func(r *Records) { onTower(r); r.KitAt = map[id.Kit][]id.Station{"lanyards": {"deck"}} }
	const overdue, halfYear = "inspection of lanyards overdue since 2027-04-02 (harness in arduous use)", "inspection of lanyards overdue since 2027-07-02 (harness)"
	for _, c := range []struct {
		name, day, line string
		change          func(*Records)
		want            string
	}{
		{"last day on a tower", "2027-04-01", textileLine, used, ""},
		{"first day after it", "2027-04-02", textileLine, used, overdue},
		{"ready for a rescue on a tower", "2027-04-02", textileLine, func(r *Records) { onTower(r); r.Stations[0].Value.Rescue.Kit = "lanyards" }, overdue},
		{"nowhere used", "2027-07-01", textileLine, onTower, ""},
		{"nowhere used, too late", "2027-07-02", textileLine, onTower, halfYear},
		{"used in a nacelle house", "2027-07-01", textileLine, func(r *Records) { used(r); r.Rigs[0].Value.Kind = NacelleHouse }, ""},
		{"used in a nacelle house, too late", "2027-07-02", textileLine, func(r *Records) { used(r); r.Rigs[0].Value.Kind = NacelleHouse }, halfYear},
		{"arduous use that the rule book does not state", "2027-02-01", textileLine, func(r *Records) { used(r); withoutLine(r) },
			"lanyards: the interval of an inspection is not stated (harness)"},
		{"arduous use that nobody asks for", "2027-07-01", textileLine, withoutLine, ""},
		{"what is no textile keeps its interval", "2027-12-31", "inspection.fall-protection", used, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := tower()
			r.Kits = append(r.Kits, Always(Kit{ID: "lanyards", Count: 6, LastValid: day("2028-12-31"), Inspections: []string{c.line}})...)
			r.Inspections = append(r.Inspections, Inspection{ID: "i3", Subject: "lanyards", Line: c.line, Done: day("2027-01-01"), Passed: true, By: "p"})
			c.change(&r)
			g := NewRegister(r)
			if got := said(g.Kit("lanyards", day(c.day))); got != c.want {
				t.Errorf("%q, want %q", got, c.want)
			}
			for _, span := range g.KitNotUsable("lanyards", day("2027-01-01"), day("2028-01-01")) {
				if in := span.From <= day(c.day) && day(c.day) < span.Until; in && c.want == "" {
					t.Errorf("out of use from %s: %s", span.From, said(span.Causes))
				}
			}
		})
	}
}

func TestNoticeOfAnInspectionCountsToTheDayOfArduousUse(t *testing.T) {
	r := tower()
	r.Rigs[0].Value.Kind = TowerPlatform
	r.Kits[0].Value.Inspections = []string{textileLine}
	r.Inspections = append(r.Inspections, Inspection{ID: "i3", Subject: "kit", Line: textileLine, Done: day("2027-01-01"), Passed: true, By: "p"})
	found := 0
	for _, u := range NewRegister(r).DueOfKit("kit", day("2027-02-01")) {
		if u.Kind != DueInspection {
			continue
		}
		if found++; u.Last != day("2027-04-01") || u.Line != arduousLine {
			t.Errorf("due by %s, %s", u.Last, u.Line)
		}
	}
	if found != 1 {
		t.Errorf("%d inspections are due, want 1", found)
	}
	if l, ok := book().Line(arduousLine); !ok || l.Value != 3 || l.Quantity != rulebook.InspectionMonths {
		t.Errorf("the shipped line is %+v", l)
	}
}
