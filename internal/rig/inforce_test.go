package rig

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/rulebook"
	"rungbook/internal/verdict"
)

func version(plan id.RescuePlan, n int, inForce, review string) RescuePlan {
	return RescuePlan{ID: plan, Version: n, Stations: []id.Station{"deck"}, Author: "a", ApprovedBy: "b", InForce: day(inForce), ReviewBy: day(review)}
}

func TestTheRescuePlanInForceIsTheLatestApprovedVersion(t *testing.T) {
	one := version("plan", 1, "2026-01-01", "2027-12-31")
	two := version("plan", 2, "2026-06-01", "2026-12-31")
	cases := []struct {
		name   string
		plans  []RescuePlan
		change func(*RescuePlan) // of version 2
		day    string
		want   int // version, 0 = none
	}{
		{"before the first", nil, nil, "2025-12-31", 0},
		{"the first's first day", nil, nil, "2026-01-01", 1},
		{"the day before the second", nil, nil, "2026-05-31", 1},
		{"the second's first day", nil, nil, "2026-06-01", 2},
		{"the second's day of review", nil, nil, "2026-12-31", 2},
		{"the second lapsed: the first does not come back", nil, nil, "2027-01-01", 0},
		{"the second was withdrawn: the first does not come back", nil, func(p *RescuePlan) { p.Withdrawn = day("2026-07-01") }, "2026-07-01", 0},
		{"the day before it was withdrawn", nil, func(p *RescuePlan) { p.Withdrawn = day("2026-07-01") }, "2026-06-30", 2},
		{"the second leaves the station out: nothing covers it", nil, func(p *RescuePlan) { p.Stations = []id.Station{"roof"} }, "2026-06-01", 0},
		{"the second approved by its author does not count", nil, func(p *RescuePlan) { p.ApprovedBy = "a" }, "2026-06-01", 1},
		{"the second not approved does not count", nil, func(p *RescuePlan) { p.ApprovedBy = "" }, "2026-06-01", 1},
		{"another plan covers it after the second lapsed", []RescuePlan{version("other", 7, "2026-02-01", "2027-12-31")}, nil, "2027-01-01", 7},
		{"of two plans the one begun last", []RescuePlan{version("other", 7, "2026-02-01", "2027-12-31")}, nil, "2026-07-01", 2},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			second := two
			if c.change != nil {
				c.change(&second)
			}
			r := tower()
			r.RescuePlans = append([]RescuePlan{second, one}, c.plans...)
			got, ok := NewRegister(r).RescueInForce("deck", day(c.day))
			if got.Version != c.want || ok != (c.want != 0) {
				t.Errorf("on %s: got version %d (%t), want %d", c.day, got.Version, ok, c.want)
			}
		})
	}
}

func TestALaterRecordOfOneVersionCounts(t *testing.T) {
	one := version("plan", 1, "2026-01-01", "2027-12-31")
	withdrawn := one
	withdrawn.Withdrawn = day("2026-02-01")
	r := tower()
	r.RescuePlans = []RescuePlan{one, withdrawn}
	if _, ok := NewRegister(r).RescueInForce("deck", day("2026-02-01")); ok {
		t.Error("a version withdrawn later is still in force")
	}
}

func TestClocksThatRunOutSoonAreListedEarliestFirst(t *testing.T) {
	r := tower()
	r.Kits[0].Value.LastValid = day("2027-05-20")
	r.RescuePlans[0].ReviewBy = day("2027-05-10")
	g := NewRegister(r)
	// ladder 1 Jun 2027, structure 15 Jan 2028, drill 20 Jun 2027
	want := []struct {
		kind        DueKind
		last        string
		text, brief string
	}{
		{DueReview, "2027-05-10", "review of rescue plan plan for deck is due by 2027-05-10", "review of the rescue plan due by 2027-05-10"},
		{DueKit, "2027-05-20", "kit is valid through 2027-05-20", "valid through 2027-05-20"},
		{DueInspection, "2027-06-01", "inspection of deck is due by 2027-06-01 (ladder)", "inspection due by 2027-06-01 (ladder)"},
		{DueDrill, "2027-06-20", "drill of rescue plan plan for deck is due by 2027-06-20", "rescue drill due by 2027-06-20"},
		{DueInspection, "2028-01-15", "inspection of tower is due by 2028-01-15 (structure)", "inspection due by 2028-01-15 (structure)"},
	}
	got := g.Due("deck", day("2027-05-01"))
	if len(got) != len(want) {
		t.Fatalf("got %v, want %d clocks", got, len(want))
	}
	for i, w := range want {
		if got[i].Kind != w.kind || got[i].Last != day(w.last) || got[i].Say().In(verdict.PlainStyle(dublin())) != w.text {
			t.Errorf("got %+v, %q; want %s, %q", got[i], got[i].Say().In(verdict.PlainStyle(dublin())), w.kind, w.text)
		}
		if brief := got[i].Brief().In(verdict.PlainStyle(dublin())); brief != w.brief {
			t.Errorf("in brief %q, want %q", brief, w.brief)
		}
	}
	// The site's notice is 14 days (common practice).
	for d, soon := range map[string]bool{"2027-04-25": false, "2027-04-26": true, "2027-05-10": true} {
		if got[0].Soon(day(d)) != soon {
			t.Errorf("on %s: soon is %t, want %t", d, !soon, soon)
		}
	}
	// A review is listed 30 days ahead (common practice), another clock within its notice.
	for d, listed := range map[string]bool{"2027-04-09": false, "2027-04-10": true} {
		if got[0].Listed(day(d)) != listed {
			t.Errorf("on %s: the review is listed: %t, want %t", d, !listed, listed)
		}
	}
	if got[1].Listed(got[1].Last-civil.Day(got[1].Notice)-1) || !got[1].Listed(got[1].Last-civil.Day(got[1].Notice)) {
		t.Error("kit is not listed from its notice on")
	}
	later := g.Due("deck", day("2027-05-11"))
	if slices.ContainsFunc(later, func(u Due) bool { return u.Kind == DueReview }) {
		t.Error("a review that has run out is still listed as due")
	}
	if got := g.Due("roof", day("2027-05-01")); got != nil {
		t.Errorf("an unknown station: got %v", got)
	}
	if (Due{Last: day("2027-05-10")}).Soon(day("2027-05-10")) {
		t.Error("without a notice in the rule book nothing is soon")
	}
}

func fields(err error) fault.Fields {
	var form *fault.Form
	if errors.As(err, &form) {
		return form.Fields
	}
	return nil
}

func TestARescuePlanIsCheckedBeforeItIsApproved(t *testing.T) {
	today := day("2027-03-01")
	good := RescuePlan{ID: "plan", Version: 2, Text: "x", Stations: []id.Station{"deck"}, Author: "a", ApprovedBy: "b", InForce: today, ReviewBy: today, Target: 10}
	before := []RescuePlan{{ID: "plan", Version: 1}, {ID: "other", Version: 5}}
	cases := []struct {
		name   string
		change func(*RescuePlan)
		field  string
	}{
		{"a whole one", func(p *RescuePlan) {}, ""},
		{"a version left out", func(p *RescuePlan) { p.Version = 3 }, "version"},
		{"a version there is", func(p *RescuePlan) { p.Version = 1 }, "version"},
		{"no text", func(p *RescuePlan) { p.Text = "" }, "text"},
		{"no station", func(p *RescuePlan) { p.Stations = nil }, "stations"},
		{"no author", func(p *RescuePlan) { p.Author = "" }, "author"},
		{"approved by nobody", func(p *RescuePlan) { p.ApprovedBy = "" }, "approved_by"},
		{"approved by its author", func(p *RescuePlan) { p.ApprovedBy = "a" }, "approved_by"},
		{"begins yesterday", func(p *RescuePlan) { p.InForce = today - 1 }, "in_force"},
		{"reviewed before it begins", func(p *RescuePlan) { p.InForce = today + 1 }, "review_by"},
		{"no day of review", func(p *RescuePlan) { p.ReviewBy = 0 }, "review_by"},
		{"no time to reach a casualty", func(p *RescuePlan) { p.Target = 0 }, "target_minutes"},
		// 10 minutes: common practice (facts R8)
		{"a minute too slow", func(p *RescuePlan) { p.Target = 11 }, "target_minutes"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			p := good
			c.change(&p)
			err := CheckRescuePlan(p, before, book(), today)
			if (err == nil) != (c.field == "") || (err != nil && fields(err)[c.field] == "") {
				t.Errorf("got %v, want a message at %q", fields(err), c.field)
			}
		})
	}
	if err := CheckRescuePlan(RescuePlan{ID: "new", Version: 1, Text: "x", Stations: good.Stations, Author: "a", ApprovedBy: "b", InForce: today, ReviewBy: today, Target: 90}, before, rulebook.Version{}, today); err != nil {
		t.Errorf("a first version, no target in the rule book: got %v, want it accepted", fields(err))
	}
}

func TestInspectionsAndShutPeriodsAreCheckedBeforeTheyAreRecorded(t *testing.T) {
	today := day("2027-03-01")
	inspection := Inspection{ID: "i", Subject: "deck", Line: ladder, Done: today, By: "p"}
	shut := Shut{ID: "s", Station: "deck", Start: 10, End: 11, Reason: ShutWeather}
	cases := []struct {
		name  string
		err   error
		field string
	}{
		{"an inspection of today", CheckInspection(inspection, book(), today), ""},
		{"of tomorrow", CheckInspection(inspection, book(), today-1), "done"},
		{"of no day", CheckInspection(Inspection{Subject: "deck", Line: ladder, By: "p"}, book(), today), "done"},
		{"by nobody", CheckInspection(Inspection{Subject: "deck", Line: ladder, Done: today}, book(), today), "by"},
		{"of nothing", CheckInspection(Inspection{Line: ladder, Done: today, By: "p"}, book(), today), "subject"},
		{"of no line", CheckInspection(Inspection{Subject: "deck", Line: "inspection.moon", Done: today, By: "p"}, book(), today), "line"},
		{"of a line that is a limit", CheckInspection(Inspection{Subject: "deck", Line: "site.daily-rest", Done: today, By: "p"}, book(), today), "line"},
		{"a shut period", CheckShut(shut), ""},
		{"until somebody opens", CheckShut(Shut{Station: "deck", Start: 10, Reason: ShutOther}), ""},
		{"of no length", CheckShut(Shut{Station: "deck", Start: 10, End: 10, Reason: ShutOther}), "end"},
		{"without a start", CheckShut(Shut{Station: "deck", Reason: ShutOther}), "start"},
		{"of no station", CheckShut(Shut{Start: 10, Reason: ShutOther}), "station"},
		{"for no reason", CheckShut(Shut{Station: "deck", Start: 10, Reason: "mood"}), "reason"},
	}
	for _, c := range cases {
		if (c.err == nil) != (c.field == "") || (c.err != nil && fields(c.err)[c.field] == "") {
			t.Errorf("%s: got %v, want a message at %q", c.name, fields(c.err), c.field)
		}
	}
}

func TestAKitIsClosedFromTheDayAfterItsLast(t *testing.T) {
	r := tower()
	r.Kits[0].Value.LastValid = day("2027-03-10")
	spans := NewRegister(r).KitNotUsable("kit", day("2027-03-01"), day("2027-03-20"))
	if len(spans) != 1 || spans[0].From != day("2027-03-11") || spans[0].Until != day("2027-03-20") || spans[0].Causes[0].Kind != KitOutOfDate {
		t.Errorf("got %v, want 11 to 19 March", spans)
	}
	closed := NewRegister(r).Periods(spans)
	if want := (civil.Period{Start: at("2027-03-11 00:00"), End: at("2027-03-20 00:00")}); closed[0].Period != want {
		t.Errorf("got %v, want %v", closed[0].Period, want)
	}
}

func TestADrillThatWasNotAcceptedStopsUntilOneIs(t *testing.T) {
	drill := func(n id.Drill, on string, at civil.Instant, accepted bool) Drill {
		return Drill{ID: n, Plan: "plan", Version: 1, Day: day(on), At: at, Minutes: 9, Accepted: accepted}
	}
	good := drill("good", "2027-02-01", 0, true)
	cases := []struct {
		name   string
		drills []Drill
		day    string
		since  string // "" = nothing is wrong
	}{
		{"only good", []Drill{good}, "2027-03-01", ""},
		{"refused before the good one", []Drill{drill("bad", "2027-01-31", 0, false), good}, "2027-03-01", ""},
		{"refused after it, the day before", []Drill{good, drill("bad", "2027-03-02", 0, false)}, "2027-03-01", ""},
		{"refused after it, on its day", []Drill{good, drill("bad", "2027-03-02", 0, false)}, "2027-03-02", "2027-03-02"},
		{"refused twice: since the first", []Drill{good, drill("bad", "2027-03-02", 0, false), drill("worse", "2027-03-04", 0, false)}, "2027-03-09", "2027-03-02"},
		{"refused, then accepted on another day", []Drill{good, drill("bad", "2027-03-02", 0, false), drill("again", "2027-03-05", 0, true)}, "2027-03-05", ""},
		{"the day before it was accepted again", []Drill{good, drill("bad", "2027-03-02", 0, false), drill("again", "2027-03-05", 0, true)}, "2027-03-04", "2027-03-02"},
		{"both on one day, accepted later", []Drill{drill("bad", "2027-03-02", 100, false), drill("again", "2027-03-02", 200, true)}, "2027-03-02", ""},
		{"both on one day, refused later", []Drill{drill("bad", "2027-03-02", 200, false), drill("again", "2027-03-02", 100, true)}, "2027-03-02", "2027-03-02"},
		{"both on one day, in an order that nobody knows", []Drill{drill("bad", "2027-03-02", 0, false), drill("again", "2027-03-02", 200, true)}, "2027-03-02", "2027-03-02"},
		{"of another plan", []Drill{good, {ID: "bad", Plan: "other", Day: day("2027-03-02")}}, "2027-03-02", ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			r := tower()
			r.Drills = c.drills
			g := NewRegister(r)
			var got []Cause
			for _, x := range g.Station("deck", day(c.day)) {
				if x.Kind == DrillFailed {
					got = append(got, x)
				}
			}
			if c.since == "" && len(got) > 0 || c.since != "" && (len(got) != 1 || got[0].Since != day(c.since)) {
				t.Errorf("on %s: %v, want since %q", c.day, got, c.since)
			}
			if c.since != "" && !strings.Contains(got[0].Say().In(verdict.PlainStyle(dublin())), "was not accepted on "+c.since) {
				t.Errorf("it reads %q", got[0].Say().In(verdict.PlainStyle(dublin())))
			}
		})
	}
}
