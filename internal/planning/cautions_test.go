package planning_test

import (
	"slices"
	"strings"
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
	"rungbook/internal/planning"
	"rungbook/internal/rig"
	"rungbook/internal/session"
	"rungbook/internal/verdict"
)

// cautions are those of a proposal, with rule and sentence.
func (b *bench) cautions(p plan.Session) (out []verdict.Finding, said []string) {
	b.Helper()
	s := b.slice(p)
	report := s.Change(nil, []plan.Session{p})
	style := verdict.PlainStyle(dublin)
	style.Ref = s.Name
	for _, f := range report.At(verdict.Cautions) {
		out, said = append(out, f), append(said, f.Rule+": "+f.Found.In(style))
	}
	return out, said
}

func TestWhatRunsOutSoonIsCautionedForItsField(t *testing.T) {
	// The notice is 14 days (site rule): due by the day that lies 14 days after the
	// session is near, 15 days is not.
	for _, c := range []struct {
		name  string
		spoil func(*records, civil.Day)
		want  string
	}{
		{"a rescue plan's review", func(r *records, last civil.Day) { r.plan.ReviewBy = last }, "rescue-plan-review-due: review of rescue plan plan for the deck is due by "},
		{"a kit", func(r *records, last civil.Day) { r.kit.LastValid = last }, "kit-due: "},
		{"an inspection", func(r *records, last civil.Day) { r.ladder.Done = last.AddMonths(-6) }, "inspection-due: inspection of the deck is due by "},
	} {
		for _, after := range []civil.Day{14, 15} {
			r := sound()
			r.more = knowsTheory(today - 20)
			c.spoil(r, wednesday+after)
			found, said := open(t, r).cautions(climb(at(wednesday, 10, 0)))
			near := slices.ContainsFunc(said, func(s string) bool { return strings.HasPrefix(s, c.want) })
			if near != (after == 14) {
				t.Errorf("%s %d days after: %q, want a caution: %t", c.name, after, said, after == 14)
			}
			for _, f := range found {
				if f.Field == "" || f.Level != verdict.Cautions {
					t.Errorf("%s: a caution of no field: %+v", c.name, f)
				}
			}
		}
	}
}

func TestTwoInspectionsOfOneStationAreTwoCautions(t *testing.T) {
	r := sound()
	r.deck.Inspections = []string{"inspection.ladder", "inspection.rope-anchor"}
	r.ladder.Done = (wednesday + 5).AddMonths(-6)
	r.more = append(knowsTheory(today-20), rig.Inspection{ID: "anchors", Subject: "deck", Line: "inspection.rope-anchor", Done: (wednesday + 6).AddMonths(-6), Passed: true, By: "ivo"})
	found, said := open(t, r).cautions(climb(at(wednesday, 10, 0)))
	found = slices.DeleteFunc(found, func(f verdict.Finding) bool { return f.Rule != "inspection-due" })
	if len(found) != 2 || found[0].Subject() == found[1].Subject() {
		t.Errorf("%q: want two cautions that are accepted one by one", said)
	}
}

func TestALongRunOfDaysIsCautionedBeforeItStops(t *testing.T) {
	for _, days := range []civil.Day{3, 4} { // with the proposed day 4 and 5; the notice is 5, the limit 6 (site rule)
		r := sound()
		r.more = everyDay(today, today+days, 12)
		p := planning.AsPlan(run("new", "theory", at(today+days, 12, 0), session.Booked, tilde, "brona"))
		found, said := open(t, r).cautions(p)
		i := slices.IndexFunc(found, func(f verdict.Finding) bool { return f.Rule == "long-run" })
		if (i >= 0) != (days == 4) {
			t.Errorf("%d days and one more: %q, want long-run: %t", days, said, days == 4)
		}
		if i >= 0 && (found[i].Field != verdict.Planning || found[i].Who.ID != "brona") {
			t.Errorf("%+v, want Brona's, in the field of planning", found[i])
		}
	}
}

func TestTheOnlyFirstAiderWhoIsTheOnlyRescuerIsCautioned(t *testing.T) {
	r := sound()
	r.deck.Rescue = &rig.Rescue{Rescuers: 1, OwnInstructorsCount: true, Kit: "rescue-kit"}
	r.book = set(r.book, "site.rescuers", 1)
	r.more = knowsTheory(today - 20)
	b := open(t, r)
	p := climb(at(wednesday, 10, 0))
	p.Instructors, p.Rescuers = []string{"brona"}, []string{}
	if _, said := b.cautions(p); !slices.ContainsFunc(said, func(s string) bool { return strings.HasPrefix(s, "first-aider-rescues") }) {
		t.Errorf("alone: %q, want first-aider-rescues", said)
	}
	p.Rescuers = []string{"ivo"}
	if _, said := b.cautions(p); slices.ContainsFunc(said, func(s string) bool { return strings.HasPrefix(s, "first-aider-rescues") }) {
		t.Errorf("with another: %q", said)
	}
}
