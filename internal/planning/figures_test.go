package planning

import (
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
	"rungbook/internal/verdict"
)

// figuresOf counts a session on a deck that asks for two rescuers, one of them
// standby: Ada teaches and rescues, Bo and Cy are standby rescuers, Cy not yet.
func figuresOf(t *testing.T, p plan.Session) Figures {
	t.Helper()
	zone, err := civil.LoadZone("Europe/Dublin")
	if err != nil {
		t.Fatal(err)
	}
	day, err := civil.ParseDay("2027-03-02")
	if err != nil {
		t.Fatal(err)
	}
	good := []plan.Validity{{From: day - 10, Until: day}}
	s := &Slice{Problem: &plan.Problem{
		Zone:      zone,
		Exercises: []plan.Exercise{{ID: "rescue", Ratio: 6, RatioAt: []plan.RatioAt{{Station: "deck", Ratio: 4}}}},
		Stations: []plan.Station{{ID: "deck", Places: 8, StaffMin: 2, FirstAiders: 1, Rescue: &plan.Rescue{Rescuers: 2, StandbyMin: 1, OwnInstructorsCount: true}},
			{ID: "room", Places: 12}},
		People: []plan.Person{
			{ID: "ada", Teaches: []plan.Teaches{{Exercise: "rescue", Validity: good[0]}}, Rescuer: good, FirstAid: good},
			{ID: "bo", Rescuer: good},
			{ID: "cy", Rescuer: []plan.Validity{{From: day + 1, Until: day + 9}}},
			{ID: "dan", Rescuer: good, FirstAid: good},
		},
	}}
	p.Exercise, p.Start = "rescue", zone.At(day, 9*60)
	f, ok := s.Figures(p)
	if !ok {
		t.Fatal("there are no figures for a session of the problem")
	}
	return f
}

func TestFiguresCountThosePresentWhoAreValidOnTheDay(t *testing.T) {
	f := figuresOf(t, plan.Session{Station: "deck", Trainees: []string{"1", "2", "3", "4", "5"}, Instructors: []string{"ada"}, Rescuers: []string{"bo", "cy"}})
	// 5 trainees at 1 to 4 need two instructors; Ada is needed by the ratio, so she
	// is no spare rescuer, and Cy's competence begins tomorrow.
	if f.Ratio != 4 || f.InstructorsAsked != 2 || f.Instructors != 1 {
		t.Errorf("%d instructors of %d at 1 to %d, want 1 of 2 at 1 to 4", f.Instructors, f.InstructorsAsked, f.Ratio)
	}
	if f.Rescuers != 1 || f.RescuersAsked != 2 || f.Standby != 1 || f.StandbyAsked != 1 {
		t.Errorf("%d rescuers of %d, %d standby of %d, want 1 of 2 and 1 of 1", f.Rescuers, f.RescuersAsked, f.Standby, f.StandbyAsked)
	}
	if f.FirstAiders != 1 || f.Staff != 3 || f.StaffAsked != 2 || f.Trainees != 5 || f.Places != 8 {
		t.Errorf("figures %+v", f)
	}
	if _, in := f.RescueCompetent["dan"]; in {
		t.Error("somebody who is not in the session is counted")
	}
}

func TestAStationThatAsksForNoRescueHasNoRescueFigures(t *testing.T) {
	if f := figuresOf(t, plan.Session{Station: "room", Trainees: []string{"1"}, Instructors: []string{"ada"}}); f.Rescue || f.Rescuers != 0 || f.RescuersAsked != 0 {
		t.Errorf("figures %+v", f)
	}
}

func TestFiguresOfAnUnknownStationAreNone(t *testing.T) {
	if _, ok := (&Slice{Problem: &plan.Problem{}}).Figures(plan.Session{Station: "gone"}); ok {
		t.Error("a session that the slice lacks has figures")
	}
}

func TestEveryRuleAskedHasAName(t *testing.T) {
	rules, cautions := Asked()
	if len(rules) == 0 || len(cautions) == 0 {
		t.Fatalf("%d rules and %d cautions", len(rules), len(cautions))
	}
	for _, r := range append(rules, cautions...) {
		if n := verdict.RuleName(r); n[0] < 'A' || n[0] > 'Z' {
			t.Errorf("the rule %q has no name in people's words", r)
		}
	}
}
