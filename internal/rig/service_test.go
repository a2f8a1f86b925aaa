package rig

import (
	"slices"
	"strings"
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/rulebook"
	"rungbook/internal/verdict"
)

func day(s string) civil.Day {
	d, err := civil.ParseDay(s)
	if err != nil {
		panic("a test names a day that the calendar lacks: " + err.Error())
	}
	return d
}

func dublin() civil.Zone {
	z, err := civil.LoadZone("Europe/Dublin")
	if err != nil {
		panic("the embedded zones lack Dublin: " + err.Error())
	}
	return z
}

func at(s string) civil.Instant {
	z := dublin()
	d, c, _ := strings.Cut(s, " ")
	clock, err := civil.ParseClock(c)
	if err != nil {
		panic("a test names a time that is none: " + err.Error())
	}
	return z.At(day(d), clock)
}

// book selects the shipped intervals and the site's figures (drill age 6 months).
func book() rulebook.Version {
	v := rulebook.Version{ID: "book1", From: day("2020-01-01"), Profiles: []id.Profile{rulebook.Upkeep, rulebook.Site}}
	for _, p := range v.Profiles {
		v.Lines = append(v.Lines, rulebook.Examples(p)...)
	}
	return v
}

func some(n int) *int { return &n }

const (
	structure = "inspection.structure"       // 12 months
	ladder    = "inspection.ladder"          // 6 months
	weekly    = "inspection.platform-weekly" // 7 days
	harness   = "inspection.rescue-kit"      // 6 months
)

// tower is a yard of one tower with one deck where everything is in order
// through 31 May 2027.
func tower() Records {
	return Records{
		Zone:  dublin(),
		Books: []rulebook.Version{book()},
		Rigs:  Always(Rig{ID: "tower", State: InService, PeopleMax: 12, Inspections: []string{structure}}),
		Stations: Always(Station{ID: "deck", Rig: "tower", Places: 6, Height: true, FirstAiders: some(1),
			Rescue: &Rescue{Rescuers: 2, StandbyMin: 1, Kit: "kit"}, Inspections: []string{ladder}}),
		Kits: Always(Kit{ID: "kit", Count: 1, LastValid: day("2027-12-31")}),
		Inspections: []Inspection{
			{ID: "i1", Subject: "tower", Line: structure, Done: day("2027-01-15"), Passed: true, By: "p"},
			{ID: "i2", Subject: "deck", Line: ladder, Done: day("2026-12-01"), Passed: true, By: "p"},
		},
		RescuePlans: []RescuePlan{{ID: "plan", Version: 1, Stations: []id.Station{"deck"}, Author: "a", ApprovedBy: "b",
			InForce: day("2026-01-01"), ReviewBy: day("2027-06-30"), Target: 8}},
		Drills: []Drill{{ID: "d1", Plan: "plan", Version: 1, Day: day("2026-12-20"), Accepted: true}},

		Evidence: shown("tower", at("2026-01-02 09:00"), day("2031-12-31")),
	}
}

// shown is a whole dossier, accepted at one moment and valid until one day.
func shown(of id.Rig, accepted civil.Instant, until civil.Day) []Evidence {
	var out []Evidence
	for _, point := range Points() {
		out = append(out, Evidence{ID: id.Evidence(point), Rig: of, Point: point, Done: until - 800, Until: until,
			PutIn: EvidenceWord{By: "a", At: accepted - 60}, Accepted: &EvidenceWord{By: "b", At: accepted}})
	}
	return out
}

func said(causes []Cause) string {
	style := verdict.PlainStyle(dublin())
	var out []string
	for _, c := range causes {
		out = append(out, c.Say().In(style))
	}
	return strings.Join(out, "; ")
}

func TestAStationIsOutOfServiceForEachCauseInPlainWords(t *testing.T) {
	deck := func(r *Records) *Station { return &r.Stations[0].Value }
	cases := []struct {
		name   string
		day    string
		change func(*Records)
		want   string
	}{
		{"everything in order", "2027-05-31", func(r *Records) {}, ""},
		// facts C3, I15: 6 months from 1 Dec 2026 are good through 1 Jun 2027
		{"last day of a 6-month inspection", "2027-06-01", func(r *Records) {}, ""},
		{"first day after it", "2027-06-02", func(r *Records) {}, "inspection of deck overdue since 2027-06-02 (ladder)"},
		{"weeks after it the first day stays", "2027-06-20", func(r *Records) {}, "inspection of deck overdue since 2027-06-02 (ladder)"},
		{"the rig's own inspection", "2028-01-15", func(r *Records) {
			r.Inspections[1].Done, r.RescuePlans[0].ReviewBy, r.Drills[0].Day = day("2027-12-01"), day("2029-01-01"), day("2027-12-01")
			r.Kits[0].Value.LastValid = day("2029-01-01")
		}, ""},
		{"the rig's own inspection overdue", "2028-01-16", func(r *Records) {
			r.Inspections[1].Done, r.RescuePlans[0].ReviewBy, r.Drills[0].Day = day("2027-12-01"), day("2029-01-01"), day("2027-12-01")
			r.Kits[0].Value.LastValid = day("2029-01-01")
		}, "inspection of tower overdue since 2028-01-16 (structure)"},
		{"an inspection that was never done", "2027-03-01", func(r *Records) { r.Inspections = r.Inspections[:1] }, "no inspection of deck is recorded (ladder)"},
		{"an inspection not yet done on that day", "2027-01-14", func(r *Records) {}, "no inspection of tower is recorded (structure)"},
		{"a failed one after the last passed", "2027-03-01", func(r *Records) {
			r.Inspections = append(r.Inspections, Inspection{ID: "i3", Subject: "deck", Line: ladder, Done: day("2027-02-10")})
		}, "inspection of deck failed on 2027-02-10 (ladder)"},
		{"the day before it failed", "2027-02-09", func(r *Records) {
			r.Inspections = append(r.Inspections, Inspection{ID: "i3", Subject: "deck", Line: ladder, Done: day("2027-02-10")})
		}, ""},
		{"passed after it failed", "2027-03-01", func(r *Records) {
			r.Inspections = append(r.Inspections, Inspection{ID: "i3", Subject: "deck", Line: ladder, Done: day("2027-02-10")},
				Inspection{ID: "i4", Subject: "deck", Line: ladder, Done: day("2027-02-11"), Passed: true})
		}, ""},
		{"failed and passed on one day, times not recorded", "2027-03-01", func(r *Records) {
			r.Inspections = append(r.Inspections, Inspection{ID: "i3", Subject: "deck", Line: ladder, Done: day("2027-02-10")},
				Inspection{ID: "i4", Subject: "deck", Line: ladder, Done: day("2027-02-10"), Passed: true})
		}, "inspection of deck failed on 2027-02-10 (ladder)"},
		{"failed at nine, mended, passed at three", "2027-03-01", func(r *Records) {
			r.Inspections = append(r.Inspections, Inspection{ID: "i3", Subject: "deck", Line: ladder, Done: day("2027-02-10"), At: at("2027-02-10 09:00")},
				Inspection{ID: "i4", Subject: "deck", Line: ladder, Done: day("2027-02-10"), At: at("2027-02-10 15:00"), Passed: true})
		}, ""},
		{"passed at nine, failed at three", "2027-03-01", func(r *Records) {
			r.Inspections = append(r.Inspections, Inspection{ID: "i3", Subject: "deck", Line: ladder, Done: day("2027-02-10"), At: at("2027-02-10 15:00")},
				Inspection{ID: "i4", Subject: "deck", Line: ladder, Done: day("2027-02-10"), At: at("2027-02-10 09:00"), Passed: true})
		}, "inspection of deck failed on 2027-02-10 (ladder)"},
		{"an inspection corrected later to failed", "2027-03-01", func(r *Records) {
			wrong := r.Inspections[1]
			wrong.Passed = false
			r.Inspections = append(r.Inspections, wrong)
		}, "inspection of deck failed on 2026-12-01 (ladder)"},
		{"an inspection the rule book has no interval for", "2027-03-01", func(r *Records) { deck(r).Inspections = []string{"inspection.bolts"} },
			"deck: the interval of an inspection is not stated (bolts)"},
		{"a validity line is no inspection", "2027-03-01", func(r *Records) { deck(r).Inspections = []string{"validity.rescue"} },
			"deck: the interval of an inspection is not stated (rescue)"},
		{"a rig in conversion", "2027-03-01", func(r *Records) { r.Rigs[0].Value.State = InConversion }, "tower is in conversion"},
		{"a restricted rig", "2027-03-01", func(r *Records) { r.Rigs[0].Value.State = Restricted }, ""},
		{"a rig without a state", "2027-03-01", func(r *Records) { r.Rigs[0].Value.State = "" }, "tower: the state is not stated"},
		{"a rig withdrawn today", "2027-03-01", func(r *Records) {
			gone := r.Rigs[0].Value
			gone.State = Withdrawn
			r.Rigs = []Standing[Rig]{{From: 0, Until: day("2027-03-01"), Value: r.Rigs[0].Value}, {From: day("2027-03-01"), Value: gone}}
		}, "tower is withdrawn since 2027-03-01"},
		{"a rig withdrawn tomorrow", "2027-02-28", func(r *Records) {
			gone := r.Rigs[0].Value
			gone.State = Withdrawn
			r.Rigs = []Standing[Rig]{{From: 0, Until: day("2027-03-01"), Value: r.Rigs[0].Value}, {From: day("2027-03-01"), Value: gone}}
		}, ""},
		{"a rig without a head-count limit", "2027-03-01", func(r *Records) { r.Rigs[0].Value.PeopleMax = 0 }, "tower: how many people it bears is not stated"},
		{"a rig that is not recorded", "2027-03-01", func(r *Records) { r.Rigs = nil }, "tower: what it is is not stated"},
		{"a station that is not recorded", "2027-03-01", func(r *Records) { r.Stations = nil }, "deck: what it is is not stated"},
		{"a station without places", "2027-03-01", func(r *Records) { deck(r).Places = 0 }, "deck: how many trainees have a place is not stated"},
		{"first-aiders not stated", "2027-03-01", func(r *Records) { deck(r).FirstAiders = nil }, "deck: how many first-aiders it needs is not stated"},
		{"the day before it retires", "2027-02-28", func(r *Records) { deck(r).Retired = day("2027-03-01") }, ""},
		{"the day it retires", "2027-03-01", func(r *Records) { deck(r).Retired = day("2027-03-01") }, "deck is retired since 2027-03-01"},
		{"height without rescue", "2027-03-01", func(r *Records) { deck(r).Rescue = nil }, "deck: the rescue cover is not stated"},
		{"height without a rescue kit", "2027-03-01", func(r *Records) { deck(r).Rescue.Kit = "" }, "deck: the rescue kit is not stated"},
		{"no rule book on that day", "2019-12-31", func(r *Records) {}, "deck: the rule book for this day is not stated"},
		{"kit on its last day", "2027-05-31", func(r *Records) { r.Kits[0].Value.LastValid = day("2027-05-31") }, ""},
		{"kit the day after", "2027-05-31", func(r *Records) { r.Kits[0].Value.LastValid = day("2027-05-30") }, "kit is out of date since 2027-05-31"},
		{"kit without a last day", "2027-05-31", func(r *Records) { r.Kits[0].Value.LastValid = 0 }, "kit: the last valid day is not stated"},
		{"kit of none", "2027-05-31", func(r *Records) { r.Kits[0].Value.Count = 0 }, "kit: how many there are is not stated"},
		{"kit not recorded", "2027-05-31", func(r *Records) { r.Kits = nil }, "kit: what it is is not stated"},
		{"kit in date but not inspected: the earliest clock wins", "2027-05-31", func(r *Records) { r.Kits[0].Value.Inspections = []string{harness} },
			"no inspection of kit is recorded (rescue kit)"},
		{"no rescue plan", "2027-03-01", func(r *Records) { r.RescuePlans = nil }, "no rescue plan is in force for deck"},
		{"a plan for another station", "2027-03-01", func(r *Records) { r.RescuePlans[0].Stations = []id.Station{"roof"} }, "no rescue plan is in force for deck"},
		{"a plan its author approved", "2027-03-01", func(r *Records) { r.RescuePlans[0].ApprovedBy = "a" }, "no rescue plan is in force for deck"},
		{"a plan nobody approved", "2027-03-01", func(r *Records) { r.RescuePlans[0].ApprovedBy = "" }, "no rescue plan is in force for deck"},
		{"a plan on its day of review", "2027-03-01", func(r *Records) { r.RescuePlans[0].ReviewBy = day("2027-03-01") }, ""},
		{"a plan the day after", "2027-03-02", func(r *Records) { r.RescuePlans[0].ReviewBy = day("2027-03-01") }, "review of rescue plan plan for deck overdue since 2027-03-02"},
		{"a plan without a day of review", "2027-03-02", func(r *Records) { r.RescuePlans[0].ReviewBy = 0 }, "deck: the day of review is not stated"},
		{"a plan withdrawn today", "2027-03-02", func(r *Records) { r.RescuePlans[0].Withdrawn = day("2027-03-02") }, "rescue plan plan for deck is withdrawn since 2027-03-02"},
		{"a plan withdrawn tomorrow", "2027-03-01", func(r *Records) { r.RescuePlans[0].Withdrawn = day("2027-03-02") }, ""},
		{"a plan that begins tomorrow", "2027-03-01", func(r *Records) { r.RescuePlans[0].InForce = day("2027-03-02") }, "no rescue plan is in force for deck"},
		// facts R21: last drill 25 May 2026, limit 6 months, blocked on 26 Nov 2026 (interval: common practice)
		{"drill on its last day", "2026-11-25", func(r *Records) {
			r.Drills[0].Day, r.Inspections[0].Done, r.Inspections[1].Done = day("2026-05-25"), day("2026-06-01"), day("2026-06-01")
		}, ""},
		{"drill the day after", "2026-11-26", func(r *Records) {
			r.Drills[0].Day, r.Inspections[0].Done, r.Inspections[1].Done = day("2026-05-25"), day("2026-06-01"), day("2026-06-01")
		}, "drill of rescue plan plan for deck overdue since 2026-11-26"},
		{"no drill", "2027-03-01", func(r *Records) { r.Drills = nil }, "no accepted drill of rescue plan plan for deck is recorded"},
		{"a drill not accepted", "2027-03-01", func(r *Records) { r.Drills[0].Accepted = false }, "drill of rescue plan plan for deck was not accepted on 2026-12-20"},
		{"a drill after that day", "2026-12-19", func(r *Records) { r.Inspections[0].Done = day("2026-12-01") }, "no accepted drill of rescue plan plan for deck is recorded"},
		{"several causes at once", "2027-03-01", func(r *Records) { r.Rigs[0].Value.State, r.RescuePlans = Withdrawn, nil },
			"tower is withdrawn; no rescue plan is in force for deck"},
		{"a floor station needs neither plan nor kit", "2027-03-01", func(r *Records) {
			deck(r).Height, deck(r).Rescue, r.RescuePlans, r.Kits, r.Drills = false, nil, nil, nil, nil
		}, ""},
		{"a floor station that asks for rescuers needs a plan", "2027-03-01", func(r *Records) {
			deck(r).Height, r.RescuePlans = false, nil
		}, "no rescue plan is in force for deck"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			r := tower()
			c.change(&r)
			ok, causes := NewRegister(r).InService("deck", day(c.day))
			if got := said(causes); got != c.want || ok != (c.want == "") {
				t.Errorf("on %s: got %q (%t), want %q", c.day, got, ok, c.want)
			}
		})
	}
}

// Published boundaries of inspection intervals, each as the last good day.
func TestInspectionsAreGoodThroughTheirPublishedDay(t *testing.T) {
	cases := []struct{ name, line, done, last string }{
		{"EN 365:2004, 12 months (facts I1)", "inspection.fall-protection", "2026-01-15", "2027-01-15"},
		{"HSE INDG367, 3 months for arduous use (facts I2)", "inspection.harness-arduous", "2026-11-30", "2027-02-28"},
		{"LOLER reg 9(3)(a)(i), 6 months (facts I6)", "inspection.lifting-persons", "2026-01-15", "2026-07-15"},
		{"LOLER reg 9(3)(a)(ii), 12 months (facts I7)", "inspection.lifting", "2026-01-15", "2027-01-15"},
		{"Driven Machinery Regulations 2015 reg 18, 3 months, from memory (facts I9)", "inspection.lifting-tackle-za", "2026-09-01", "2026-12-01"},
		{"BS 7883:2005 fall arrest, 12 months (facts I12)", "inspection.fall-arrest-anchor", "2025-12-01", "2026-12-01"},
		{"BS 7883:2005 rope access, 6 months (facts I13)", "inspection.rope-anchor", "2025-12-01", "2026-06-01"},
		{"ladder, 6 months, common practice (facts I15)", "inspection.ladder", "2026-08-31", "2027-02-28"},
		{"the same into a leap year (facts C3)", "inspection.ladder", "2027-08-31", "2028-02-29"},
		{"29 CFR 1910.137 gloves, 6 months (facts I21)", "inspection.insulating-gloves", "2025-12-01", "2026-06-01"},
		{"BS 5306-3, 12 months (facts I24)", "inspection.fire-extinguisher", "2025-11-30", "2026-11-30"},
		// facts I10: Mon 2 Nov 08:00 is good to Mon 9 Nov 08:00; by whole days, through Sun 8 Nov
		{"WAHR reg 12(4), within the previous 7 days (facts I10)", "inspection.platform-weekly", "2026-11-02", "2026-11-08"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			r := tower()
			r.Rigs[0].Value.Inspections = []string{c.line}
			r.Inspections = []Inspection{{ID: "i", Subject: "tower", Line: c.line, Done: day(c.done), Passed: true}}
			g := NewRegister(r)
			if causes := g.Rig("tower", day(c.last)); len(causes) != 0 {
				t.Errorf("on %s: got %q, want in service", c.last, said(causes))
			}
			causes := g.Rig("tower", day(c.last)+1)
			if len(causes) != 1 || causes[0].Kind != InspectionOverdue || causes[0].Since != day(c.last)+1 {
				t.Errorf("the day after %s: got %q, want overdue since then", c.last, said(causes))
			}
		})
	}
}

func TestTheEarliestOfSeveralClocksWins(t *testing.T) {
	r := tower()
	r.Rigs[0].Value.Inspections = []string{structure, weekly}
	r.Inspections = append(r.Inspections, Inspection{ID: "w", Subject: "tower", Line: weekly, Done: day("2027-03-01"), Passed: true})
	g := NewRegister(r)
	if got := said(g.Rig("tower", day("2027-03-07"))); got != "" {
		t.Errorf("got %q, want in service", got)
	}
	if got, want := said(g.Rig("tower", day("2027-03-08"))), "inspection of tower overdue since 2027-03-08 (working platform, weekly)"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestAnIntervalFollowsTheRuleBookOfTheDay(t *testing.T) {
	r := tower()
	next := book()
	next.ID, next.From = "book2", day("2027-04-01")
	for i, l := range next.Lines {
		if l.ID == ladder {
			next.Lines[i].Value = 3
		}
	}
	r.Books = append(r.Books, next)
	g := NewRegister(r)
	if got := said(g.Station("deck", day("2027-03-31"))); got != "" {
		t.Errorf("under the first version: got %q, want in service", got)
	}
	if got, want := said(g.Station("deck", day("2027-04-01"))), "inspection of deck overdue since 2027-03-02 (ladder)"; got != want {
		t.Errorf("under the second: got %q, want %q", got, want)
	}
}

func TestAHoldIsJudgedOverAllItsDaysAndShutPeriods(t *testing.T) {
	r := tower()
	r.Shuts = []Shut{
		{ID: "s1", Station: "deck", Start: at("2027-03-01 12:00"), End: at("2027-03-01 14:00"), Reason: ShutFault},
		{ID: "s2", Station: "deck", Start: at("2027-03-05 00:00"), Reason: ShutAnchorTest},
		{ID: "s2", Station: "deck", Start: at("2027-03-05 00:00"), End: at("2027-03-06 00:00"), Reason: ShutAnchorTest},
		{ID: "s3", Station: "deck", Start: at("2027-04-01 08:00"), Reason: ShutIncident},
		{ID: "s4", Station: "roof", Start: at("2027-03-01 08:00"), Reason: ShutOther},
	}
	r.RescuePlans[0].ReviewBy = day("2027-03-10")
	g := NewRegister(r)
	cases := []struct{ name, from, to, want string }{
		{"ends as it is shut", "2027-03-01 10:00", "2027-03-01 12:00", ""},
		{"a minute into it", "2027-03-01 10:00", "2027-03-01 12:01", "deck is shut 2027-03-01T12:00:00+00:00 to 2027-03-01T14:00:00+00:00 (fault)"},
		{"begins as it opens", "2027-03-01 14:00", "2027-03-01 16:00", ""},
		{"a minute before it opens", "2027-03-01 13:59", "2027-03-01 16:00", "deck is shut 2027-03-01T12:00:00+00:00 to 2027-03-01T14:00:00+00:00 (fault)"},
		{"after somebody opened it", "2027-03-06 08:00", "2027-03-06 10:00", ""},
		{"until somebody opens it", "2027-04-01 09:00", "2027-04-01 10:00",
			"deck is shut since 2027-04-01T08:00:00+01:00 (incident); review of rescue plan plan for deck overdue since 2027-03-11"},
		{"ends at midnight of the last good day", "2027-03-10 22:00", "2027-03-11 00:00", ""},
		{"crosses that midnight (facts C4)", "2027-03-10 22:00", "2027-03-11 00:01", "review of rescue plan plan for deck overdue since 2027-03-11"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if got := said(g.StationAt("deck", civil.Period{Start: at(c.from), End: at(c.to)})); got != c.want {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
	closed := g.Closed("deck", day("2027-03-01"), day("2027-04-02"))
	want := []civil.Period{
		{Start: at("2027-03-01 12:00"), End: at("2027-03-01 14:00")},
		{Start: at("2027-03-05 00:00"), End: at("2027-03-06 00:00")},
		{Start: at("2027-03-11 00:00"), End: at("2027-04-02 00:00")},
		{Start: at("2027-04-01 08:00"), End: at("2027-04-02 00:00")},
	}
	var got []civil.Period
	for _, c := range closed {
		got = append(got, c.Period)
	}
	if !slices.Equal(got, want) {
		t.Errorf("closed: got %v, want %v", got, want)
	}
}

func TestCoverIsTheLargerOfStationAndRuleBook(t *testing.T) {
	st := tower().Stations[0].Value
	st.Rescue.Rescuers = 1
	if c, ok := CoverOf(st, true, book()); !ok || c != (Cover{Rescuers: 2, FirstAiders: 1}) {
		t.Errorf("got %+v (%t), want the rule book's 2 rescuers", c, ok)
	}
	st.Rescue.Rescuers = 3
	if c, _ := CoverOf(st, true, book()); c.Rescuers != 3 {
		t.Errorf("got %d rescuers, want the station's 3", c.Rescuers)
	}
	st.Height, st.Rescue = false, nil
	if c, ok := CoverOf(st, true, book()); !ok || c.Rescuers != 0 {
		t.Errorf("a floor station: got %d rescuers (%t), want 0", c.Rescuers, ok)
	}
	*st.FirstAiders = 0
	if c, _ := CoverOf(st, true, book()); c.FirstAiders != 1 {
		t.Errorf("practice: got %d first-aiders, want the rule book's 1 (Requirements for Training V13 cl 9.1.8)", c.FirstAiders)
	}
	if c, _ := CoverOf(st, false, book()); c.FirstAiders != 0 {
		t.Errorf("theory: got %d first-aiders, want the station's 0", c.FirstAiders)
	}
	st.Height = true
	if _, ok := CoverOf(st, true, book()); ok {
		t.Error("a height station without rescue has cover, want not stated")
	}
	st = tower().Stations[0].Value
	st.FirstAiders = nil
	if _, ok := CoverOf(st, true, book()); ok {
		t.Error("a station without first-aiders has cover, want not stated")
	}
}

// TestAStationAsksForARescuePlanWhereAnybodyMustStandReady is asked by the register,
// the rescue brief and the papers alike.
func TestAStationAsksForARescuePlanWhereAnybodyMustStandReady(t *testing.T) {
	for _, c := range []struct {
		name string
		st   Station
		want bool
	}{
		{"on the ground, nothing said", Station{}, false},
		{"on the ground, none asked", Station{Rescue: &Rescue{}}, false},
		{"at height, nothing said", Station{Height: true}, true},
		{"rescuers asked", Station{Rescue: &Rescue{Rescuers: 1}}, true},
		{"standby alone asked", Station{Rescue: &Rescue{StandbyMin: 1}}, true},
	} {
		if got := c.st.AsksForRescue(); got != c.want {
			t.Errorf("%s: %t, want %t", c.name, got, c.want)
		}
	}
}
