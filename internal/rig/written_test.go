package rig

import (
	"errors"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/rulebook"
)

func goodProcedure() Procedure {
	return Procedure{Steps: []id.Commitment{"one", "two"}, SafeWithin: 15, Roles: []PlanRole{{Name: "leader", Does: "leads", Competent: true, Count: 1}, {Name: "helper", Does: "helps", Count: 2}}}
}

func TestAProcedureSaysAllThatIsReadInARescue(t *testing.T) {
	today := day("2026-06-01")
	for _, c := range []struct {
		name   string
		change func(*Procedure)
		want   string // the field that is refused, "" for none
	}{
		{"a whole one", func(*Procedure) {}, ""},
		{"no step", func(p *Procedure) { p.Steps = nil }, "steps"},
		{"the most steps", func(p *Procedure) { p.Steps = make([]id.Commitment, MostSteps) }, ""},
		{"a step too many", func(p *Procedure) { p.Steps = make([]id.Commitment, MostSteps+1) }, "steps"},
		{"no role", func(p *Procedure) { p.Roles = nil }, "roles"},
		{"a role too many", func(p *Procedure) { p.Roles = slices.Repeat(p.Roles[:1], MostRoles+1) }, "roles"},
		{"no role for the rescue-competent", func(p *Procedure) { p.Roles = p.Roles[1:] }, "roles"},
		{"a role without a name", func(p *Procedure) { p.Roles[0].Name = "" }, "roles"},
		{"a role that does nothing", func(p *Procedure) { p.Roles[0].Does = "" }, "roles"},
		{"a role nobody takes", func(p *Procedure) { p.Roles[1].Count = 0 }, "roles"},
		{"the most of one role", func(p *Procedure) { p.Roles[1].Count = MostOfOneRole }, ""},
		{"one more", func(p *Procedure) { p.Roles[1].Count = MostOfOneRole + 1 }, "roles"},
		{"no time to a safe place", func(p *Procedure) { p.SafeWithin = 0 }, "safe_minutes"},
		{"safe when the casualty is reached", func(p *Procedure) { p.SafeWithin = 10 }, ""},
		{"safe before that", func(p *Procedure) { p.SafeWithin = 9 }, "safe_minutes"},
		{"the slowest that the rule book lets it", func(p *Procedure) { p.SafeWithin = 20 }, ""},
		{"a minute more", func(p *Procedure) { p.SafeWithin = 21 }, "safe_minutes"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := goodProcedure()
			c.change(&p)
			b := book()
			like := b.Lines[slices.IndexFunc(b.Lines, func(l rulebook.Line) bool { return l.Quantity == rulebook.RescueTarget })]
			like.ID, like.Quantity, like.Value = "drill-minutes", rulebook.DrillMinutes, 20
			b.Lines = append(slices.Clone(b.Lines), like)
			plan := RescuePlan{ID: "new", Version: 1, Text: "x", Stations: []id.Station{"deck"}, Author: "a", ApprovedBy: "b", InForce: today, ReviewBy: today, Target: 10, Procedure: &p}
			err := CheckRescuePlan(plan, nil, b, today)
			var form *fault.Form
			errors.As(err, &form)
			switch {
			case c.want == "" && err != nil:
				t.Errorf("refused: %v", form.Fields)
			case c.want != "" && (form == nil || form.Fields[c.want] == ""):
				t.Errorf("%s is not refused: %v", c.want, err)
			}
		})
	}
}

func TestADrillSlowerThanThePlanInForceSaysStops(t *testing.T) {
	for _, c := range []struct {
		name    string
		minutes civil.Minutes
		none    bool
		want    bool
	}{
		{"the slowest that passes", 15, false, false},
		{"the first that is too slow", 16, false, true},
		{"no steps recorded: it says nothing of it", 500, true, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := tower()
			r.RescuePlans, r.Drills, r.Books = slices.Clone(r.RescuePlans), slices.Clone(r.Drills), slices.Clone(r.Books)
			for i := range r.Books {
				r.Books[i].Lines = slices.DeleteFunc(slices.Clone(r.Books[i].Lines), func(l rulebook.Line) bool { return l.Quantity == rulebook.DrillMinutes })
			}
			p := goodProcedure()
			if !c.none {
				for i := range r.RescuePlans {
					r.RescuePlans[i].Procedure = &p
				}
			}
			for i := range r.Drills {
				r.Drills[i].Minutes = c.minutes
			}
			_, causes := NewRegister(r).InService("deck", r.Drills[len(r.Drills)-1].Day)
			if slow := slices.ContainsFunc(causes, func(c Cause) bool { return c.Kind == DrillSlow && c.Line == "" }); slow != c.want {
				t.Errorf("too slow: %t, want %t: %v", slow, c.want, causes)
			}
		})
	}
}

// Whatever people try in whatever order, nothing is approved that its author approved
// or that nobody sent, and only what waits is decided.
func TestNobodyApprovesWhatTheyWrote(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := WrittenPlan{ID: "w", Plan: "plan", After: 1, Author: "a", State: PlanWritten, InForce: 10, Procedure: goodProcedure()}
		who := rapid.SampledFrom([]id.Person{"a", "b", "c", ""})
		for range rapid.IntRange(1, 12).Draw(t, "moves") {
			by, was := who.Draw(t, "by"), w
			var err error
			var made RescuePlan
			move := rapid.SampledFrom([]string{"send", "drop", "return", "approve"}).Draw(t, "move")
			switch move {
			case "send":
				w, err = w.Send(by)
			case "drop":
				w, err = w.Drop(by)
			case "return":
				w, err = w.Return(by, rapid.SampledFrom([]id.Commitment{"", "why"}).Draw(t, "reason"))
			case "approve":
				w, made, err = w.Approve(by, "plan", rapid.IntRange(1, 2).Draw(t, "last"), civil.Day(rapid.IntRange(9, 11).Draw(t, "today")))
			}
			if err != nil {
				if w.State != was.State || made.ID != "" {
					t.Fatalf("refused, and yet changed: %s to %s", was.State, w.State)
				}
				continue
			}
			if own(move) != (by == "a") || by == "" {
				t.Fatalf("%q did %s", by, move)
			}
			if !own(move) && was.State != PlanSent {
				t.Fatalf("%s though it was %s", move, was.State)
			}
			if move == "approve" && (!made.Approved() || made.Version != 2 || made.InForce < 10 || made.Procedure == nil) {
				t.Fatalf("approved as %+v", made)
			}
			if was.State == PlanApproved || was.State == PlanDropped {
				t.Fatalf("%s after it was %s", move, was.State)
			}
		}
	})
}

func own(move string) bool { return move == "send" || move == "drop" }
