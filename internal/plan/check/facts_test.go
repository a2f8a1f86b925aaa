package check_test

import (
	"slices"
	"strings"
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
	"rungbook/internal/plan/check"
	"rungbook/internal/verdict"
)

// The boundaries below are published ones: the last value that passes and the
// first that fails. The source names document and clause; "seen" means that the
// figure was read in the text of the law or on its publisher's page, "quoted"
// that a page quoting it was read, "memory" that it was not read this time.

// span is a time on the local clock of the zone under test: "2027-03-01 08:00".
type span struct{ from, to string }

func period(t *testing.T, z civil.Zone, s span) civil.Period {
	t.Helper()
	at := func(text string) civil.Instant {
		d, err := civil.ParseDay(text[:10])
		if err != nil {
			t.Fatal(err)
		}
		clock, err := civil.ParseClock(text[11:])
		if err != nil {
			t.Fatal(err)
		}
		return z.At(d, clock)
	}
	return civil.Period{Start: at(s.from), End: at(s.to)}
}

// brokenBy returns the rest rules that one person's week breaks, each with the
// policies by which it does. The last span is a session, the others are duties.
func brokenBy(t *testing.T, zone string, policies []plan.RestPolicy, pauses []plan.Pause, spans ...span) []string {
	t.Helper()
	z, err := civil.LoadZone(zone)
	if err != nil {
		t.Fatal(err)
	}
	last := period(t, z, spans[len(spans)-1])
	ada := plan.Person{ID: "ada", Rest: []string{}}
	for _, p := range policies {
		ada.Rest = append(ada.Rest, p.Name)
	}
	for _, s := range spans[:len(spans)-1] {
		ada.Duties = append(ada.Duties, period(t, z, s))
	}
	from := period(t, z, spans[0]).Start
	p := &plan.Problem{Zone: z, From: z.DayOf(from).Monday(), Days: 60, RestPolicies: policies,
		Open:      []plan.Window{{Weekdays: []int{1, 2, 3, 4, 5, 6, 7}, From: 0, To: 24 * 60}},
		Rigs:      []plan.Rig{{ID: "tower"}},
		Stations:  []plan.Station{{ID: "deck", Rig: "tower", Places: 12}},
		Exercises: []plan.Exercise{{ID: "climb", Minutes: last.Length(), Stations: []string{"deck"}, Ratio: 12, Pauses: pauses}},
		People:    []plan.Person{ada},
	}
	ada.Teaches = []plan.Teaches{{Exercise: "climb", Validity: plan.Validity{From: p.From, Until: p.From + 90}}}
	p.People[0] = ada
	if err := p.Usable(); err != nil {
		t.Fatal(err)
	}
	s := plan.Session{ID: "s1", Exercise: "climb", Station: "deck", Start: last.Start, End: last.End, Instructors: []string{"ada"}}
	var broken []string
	for _, f := range check.New(p).Board([]plan.Session{s}).All().Findings {
		i := slices.IndexFunc(f.Also, func(r verdict.Ref) bool { return r.Kind == verdict.Policy })
		if i < 0 {
			broken = append(broken, f.Rule)
			continue
		}
		broken = append(broken, f.Rule+" by "+f.Also[i].ID)
	}
	return broken
}

// days returns the same span of the clock on consecutive days.
func days(from string, n int, start, end string) (out []span) {
	d, err := civil.ParseDay(from)
	if err != nil {
		panic(err)
	}
	for i := range n {
		day := (d + civil.Day(i)).String()
		out = append(out, span{day + " " + start, day + " " + end})
	}
	return out
}

func policy(name string, set func(*plan.RestPolicy)) plan.RestPolicy {
	p := plan.RestPolicy{Name: name}
	set(&p)
	return p
}

var (
	daily = func(h civil.Minutes) plan.RestPolicy {
		return policy("daily", func(p *plan.RestPolicy) { p.DailyRest = h * 60 })
	}
	weekly = func(h civil.Minutes, days, count int) plan.RestPolicy {
		return policy("weekly", func(p *plan.RestPolicy) { p.WeeklyRest, p.WeeklyRestDays, p.WeeklyRestCount = h*60, days, count })
	}
	stretch = func(most, pause civil.Minutes) plan.RestPolicy {
		return policy("break", func(p *plan.RestPolicy) { p.Stretch, p.Break = most, pause })
	}
)

func TestPublishedRestLimitsAtTheirBoundaries(t *testing.T) {
	nextMonday := span{"2027-03-08 08:00", "2027-03-08 09:00"} // or the rest would run on for ever
	evening := span{"2027-03-02 12:00", "2027-03-02 20:00"}
	for _, c := range []struct {
		name, source string
		policy       plan.RestPolicy
		pauses       []plan.Pause
		holds, fails []span
		broken       string
	}{
		{"11 h from 20:00 end at 07:00", "Directive 2003/88/EC art 3 (quoted); WTR 1998 reg 10(1) (seen)", daily(11), nil,
			[]span{evening, {"2027-03-03 07:00", "2027-03-03 08:00"}}, []span{evening, {"2027-03-03 06:59", "2027-03-03 08:00"}}, "daily-rest"},
		{"12 h from 20:00 end at 08:00", "WTR 1998 reg 10(2), under 18 (seen); BCEA 75 of 1997 s15(1)(a) (seen)", daily(12), nil,
			[]span{evening, {"2027-03-03 08:00", "2027-03-03 09:00"}}, []span{evening, {"2027-03-03 07:59", "2027-03-03 09:00"}}, "daily-rest"},
		{"work elsewhere until 22:00 counts where it is declared", "Directive 2003/88/EC art 3; Communication 2023/C 109/01 ch. III.A.2 (heading seen)", daily(11), nil,
			[]span{{"2027-03-02 14:00", "2027-03-02 22:00"}, {"2027-03-03 09:00", "2027-03-03 10:00"}},
			[]span{{"2027-03-02 14:00", "2027-03-02 22:00"}, {"2027-03-03 07:00", "2027-03-03 10:00"}}, "daily-rest"},
		{"6 h 00 need no break, 6 h 01 do", "Directive 2003/88/EC art 4 (quoted); WTR 1998 reg 12, 20 min (quoted)", stretch(360, 20), nil,
			[]span{{"2027-03-02 08:00", "2027-03-02 14:00"}}, []span{{"2027-03-02 08:00", "2027-03-02 14:01"}}, "break"},
		{"two breaks of 10 min are not one of 20", "WTR 1998 reg 12 (quoted)", stretch(360, 20), []plan.Pause{{After: 120, Minutes: 10}, {After: 240, Minutes: 10}},
			[]span{{"2027-03-02 08:00", "2027-03-02 14:00"}}, []span{{"2027-03-02 08:00", "2027-03-02 14:20"}}, "break"},
		{"under 18: 4 h 30 need no break, 4 h 31 do", "WTR 1998 reg 12(4) (seen)", stretch(270, 30), nil,
			[]span{{"2027-03-02 08:00", "2027-03-02 12:30"}}, []span{{"2027-03-02 08:00", "2027-03-02 12:31"}}, "break"},
		{"5 h need no meal interval, 5 h 01 do", "BCEA 75 of 1997 s14 (quoted)", stretch(300, 60), nil,
			[]span{{"2027-03-02 07:00", "2027-03-02 12:00"}}, []span{{"2027-03-02 07:00", "2027-03-02 12:01"}}, "break"},
		{"35 h from Saturday 18:00 end on Monday at 05:00", "Directive 2003/88/EC art 5; CJEU C-477/21 of 2 Mar 2023, answers 1-3 (seen)", weekly(35, 7, 1), nil,
			append(days("2027-03-01", 6, "08:00", "18:00"), span{"2027-03-08 05:00", "2027-03-08 06:00"}),
			append(days("2027-03-01", 6, "08:00", "18:00"), span{"2027-03-08 04:59", "2027-03-08 06:00"}), "weekly-rest"},
		{"36 h from Saturday 18:00 end on Monday at 06:00", "BCEA 75 of 1997 s15(1)(b) (seen)", weekly(36, 7, 1), nil,
			append(days("2027-03-01", 6, "08:00", "18:00"), span{"2027-03-08 06:00", "2027-03-08 07:00"}),
			append(days("2027-03-01", 6, "08:00", "18:00"), span{"2027-03-08 05:59", "2027-03-08 07:00"}), "weekly-rest"},
		{"48 h from Friday 17:00 end on Sunday at 17:00", "WTR 1998 reg 11(3), under 18 (seen)", weekly(48, 7, 1), nil,
			append(days("2027-03-01", 5, "09:00", "17:00"), nextMonday, span{"2027-03-07 17:00", "2027-03-07 18:00"}),
			append(days("2027-03-01", 5, "09:00", "17:00"), nextMonday, span{"2027-03-07 16:59", "2027-03-07 18:00"}), "weekly-rest"},
		{"six days of 8 h and 23 h off are an hour short of 24", "ILO C14 art 2, C106 art 6 (seen)", weekly(24, 7, 1), nil,
			append(days("2027-03-01", 6, "08:00", "16:00"), nextMonday, span{"2027-03-07 16:00", "2027-03-07 23:00"}),
			append(days("2027-03-01", 6, "08:00", "16:00"), nextMonday, span{"2027-03-07 15:00", "2027-03-07 23:00"}), "weekly-rest"},
		{"40 h in a week under 18", "WTR 1998 reg 5A (quoted)", policy("week", func(p *plan.RestPolicy) { p.WeekMinutes = 40 * 60 }), nil,
			days("2027-03-01", 5, "08:00", "16:00"), append(days("2027-03-01", 5, "08:00", "16:00"), span{"2027-03-06 08:00", "2027-03-06 08:30"}), "week-minutes"},
		{"45 h and 10 h of overtime in a week", "BCEA 75 of 1997 s9(1)(a) (seen), s10 (quoted)", policy("week", func(p *plan.RestPolicy) { p.WeekMinutes = 55 * 60 }), nil,
			days("2027-03-01", 5, "08:00", "19:00"), append(days("2027-03-01", 4, "08:00", "19:00"), span{"2027-03-05 08:00", "2027-03-05 19:01"}), "week-minutes"},
		{"8 h in a day under 18, the break not counted", "Directive 94/33/EC art 8 (memory)", policy("day", func(p *plan.RestPolicy) { p.DayMinutes = 8 * 60 }),
			[]plan.Pause{{After: 240, Minutes: 30}}, []span{{"2027-03-02 08:00", "2027-03-02 16:30"}}, []span{{"2027-03-02 08:00", "2027-03-02 17:00"}}, "day-minutes"},
		{"a training day of 10 h in all", "training standard of the wind industry, Requirements V15 §9.3.4 (seen)", policy("span", func(p *plan.RestPolicy) { p.DaySpan = 10 * 60 }), nil,
			[]span{{"2027-03-02 08:00", "2027-03-02 09:00"}, {"2027-03-02 17:00", "2027-03-02 18:00"}},
			[]span{{"2027-03-02 08:00", "2027-03-02 09:00"}, {"2027-03-02 17:00", "2027-03-02 18:15"}}, "day-span"},
		{"8 h of contact, not 8 h 05, in a day of 10 h", "training standard of the wind industry, Requirements V15 §9.3.5 (seen)",
			policy("contact", func(p *plan.RestPolicy) { p.DayMinutes, p.DaySpan = 8*60, 10*60 }), nil,
			[]span{{"2027-03-02 08:00", "2027-03-02 12:00"}, {"2027-03-02 13:00", "2027-03-02 17:00"}},
			[]span{{"2027-03-02 08:00", "2027-03-02 12:00"}, {"2027-03-02 13:00", "2027-03-02 17:05"}}, "day-minutes"},
		{"8 h of demanding or dangerous work", "HSE, Human factors: shift design, after HSG256 (seen)", policy("day", func(p *plan.RestPolicy) { p.DayMinutes = 8 * 60 }), nil,
			[]span{{"2027-03-02 07:00", "2027-03-02 15:00"}}, []span{{"2027-03-02 07:00", "2027-03-02 15:30"}}, "day-minutes"},
		{"seven days in a row, not eight", "HSE, Human factors: shift design, after HSG256 (seen)", policy("run", func(p *plan.RestPolicy) { p.RunDays = 7 }), nil,
			days("2027-03-01", 7, "08:00", "16:00"), days("2027-03-01", 8, "08:00", "16:00"), "day-run"},
	} {
		t.Run(c.name, func(t *testing.T) {
			policies := []plan.RestPolicy{c.policy}
			if got := brokenBy(t, "Europe/Dublin", policies, c.pauses, c.holds...); len(got) > 0 {
				t.Errorf("%s: the last value that passes breaks %q", c.source, got)
			}
			want := []string{c.broken + " by " + c.policy.Name}
			if got := brokenBy(t, "Europe/Dublin", policies, c.pauses, c.fails...); !slices.Equal(got, want) {
				t.Errorf("%s: the first value that fails breaks %q, want %q", c.source, got, want)
			}
		})
	}
}

// Clocks go forward on 28 March and back on 31 October 2027 in both zones
// (IANA time zone data); a length is elapsed time, whatever the clock shows.
func TestRestAcrossClockChangesIsElapsedTime(t *testing.T) {
	for _, zone := range []string{"Europe/London", "Europe/Dublin"} {
		for _, c := range []struct {
			name         string
			policy       plan.RestPolicy
			holds, fails []span
			broken       string
		}{
			{"in spring 11 h from 20:00 end at 08:00", daily(11),
				[]span{{"2027-03-27 12:00", "2027-03-27 20:00"}, {"2027-03-28 08:00", "2027-03-28 09:00"}},
				[]span{{"2027-03-27 12:00", "2027-03-27 20:00"}, {"2027-03-28 07:59", "2027-03-28 09:00"}}, "daily-rest"},
			{"in autumn 11 h from 20:00 end at 06:00", daily(11),
				[]span{{"2027-10-30 12:00", "2027-10-30 20:00"}, {"2027-10-31 06:00", "2027-10-31 09:00"}},
				[]span{{"2027-10-30 12:00", "2027-10-30 20:00"}, {"2027-10-31 05:59", "2027-10-31 09:00"}}, "daily-rest"},
			{"in spring 35 h from Saturday 18:00 end on Monday at 06:00", weekly(35, 7, 1),
				append(days("2027-03-22", 6, "08:00", "18:00"), span{"2027-03-29 06:00", "2027-03-29 07:00"}),
				append(days("2027-03-22", 6, "08:00", "18:00"), span{"2027-03-29 05:59", "2027-03-29 07:00"}), "weekly-rest"},
			{"in autumn 35 h from Saturday 18:00 end on Monday at 04:00", weekly(35, 7, 1),
				append(days("2027-10-25", 6, "08:00", "18:00"), span{"2027-11-01 04:00", "2027-11-01 07:00"}),
				append(days("2027-10-25", 6, "08:00", "18:00"), span{"2027-11-01 03:59", "2027-11-01 07:00"}), "weekly-rest"},
			{"the night of spring has an hour less to count", policy("day", func(p *plan.RestPolicy) { p.DayMinutes = 4 * 60 }),
				[]span{{"2027-03-28 00:30", "2027-03-28 05:30"}}, []span{{"2027-03-28 00:30", "2027-03-28 05:31"}}, "day-minutes"},
			{"the night of autumn has an hour more to count", policy("day", func(p *plan.RestPolicy) { p.DayMinutes = 4 * 60 }),
				[]span{{"2027-10-31 00:30", "2027-10-31 03:30"}}, []span{{"2027-10-31 00:30", "2027-10-31 03:31"}}, "day-minutes"},
		} {
			t.Run(zone+" "+c.name, func(t *testing.T) {
				policies := []plan.RestPolicy{c.policy}
				if got := brokenBy(t, zone, policies, nil, c.holds...); len(got) > 0 {
					t.Errorf("the last value that passes breaks %q", got)
				}
				if got, want := brokenBy(t, zone, policies, nil, c.fails...), []string{c.broken + " by " + c.policy.Name}; !slices.Equal(got, want) {
					t.Errorf("the first value that fails breaks %q, want %q", got, want)
				}
			})
		}
	}
}

func TestWeeklyRestInFixedBlocks(t *testing.T) {
	day := func(n int) []span { return days("2027-03-01", n, "08:00", "16:00")[n-1:] }
	from := func(first, last int) []span { return days("2027-03-01", last, "08:00", "16:00")[first-1:] }
	// The session comes last in each list, on a day left out of the duties; a
	// duty on the 15th ends the rest of the fortnight.
	twelve := slices.Concat(from(2, 12), from(15, 15), day(13))
	noRestInWeek1 := slices.Concat(day(1), from(3, 12), from(15, 15), day(2))
	oneDayOff := slices.Concat(from(1, 5), from(7, 13), from(15, 15), day(14))
	twoDaysOff := slices.Concat(from(1, 5), from(7, 12), from(15, 15), day(14))
	for _, c := range []struct {
		name, source string
		policy       plan.RestPolicy
		spans        []span
		fails        bool
	}{
		{"twelve days in a row between a free Monday and a free Sunday", "CJEU C-306/16, opinion of 21 Jun 2017 (seen), judgment (memory)", weekly(35, 7, 1), twelve, false},
		{"a week without rest, then a weekend, by weeks", "WTR 1998 reg 11(1) (seen)", weekly(24, 7, 1), noRestInWeek1, true},
		{"a week without rest, then a weekend of 48 h, by fortnights", "WTR 1998 reg 11(2)(b) (seen)", weekly(48, 14, 1), noRestInWeek1, false},
		{"24 + 11 h once in 14 days", "Directive 2003/88/EC arts 5, 16(a) (memory)", weekly(35, 14, 1), noRestInWeek1, false},
		{"one rest of 24 h in 14 days where two are asked", "WTR 1998 reg 11(2)(a) (seen)", weekly(24, 14, 2), oneDayOff, true},
		{"two rests of 24 h in 14 days", "WTR 1998 reg 11(2)(a) (seen)", weekly(24, 14, 2), twoDaysOff, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := brokenBy(t, "Europe/London", []plan.RestPolicy{c.policy}, nil, c.spans...)
			if fails := len(got) > 0; fails != c.fails || fails && got[0] != "weekly-rest by weekly" {
				t.Errorf("%s: breaks %q, want a broken weekly-rest: %v", c.source, got, c.fails)
			}
		})
	}
}

func TestEachPolicyJudgesByItselfAndIsNamed(t *testing.T) {
	law, site := daily(11), daily(12)
	law.Name, site.Name = "EU adult", "site"
	spans := []span{{"2027-03-02 12:00", "2027-03-02 20:00"}, {"2027-03-03 07:30", "2027-03-03 09:00"}}
	if got := brokenBy(t, "Europe/Dublin", []plan.RestPolicy{law, site}, nil, spans...); !slices.Equal(got, []string{"daily-rest by site"}) {
		t.Errorf("11 h 30 of rest break %q, want the site's 12 h only", got)
	}
	spans[1].from = "2027-03-03 06:30"
	got := brokenBy(t, "Europe/Dublin", []plan.RestPolicy{law, site}, nil, spans...)
	if !slices.Equal(got, []string{"daily-rest by EU adult", "daily-rest by site"}) {
		t.Errorf("10 h 30 of rest break %q, want both", got)
	}
}

func TestWhatOnlyDutiesCauseIsNotThePlans(t *testing.T) {
	// Two duties 10 h apart, and a session on a third day.
	spans := []span{{"2027-03-02 12:00", "2027-03-02 21:00"}, {"2027-03-03 07:00", "2027-03-03 08:00"}, {"2027-03-05 09:00", "2027-03-05 10:00"}}
	if got := brokenBy(t, "Europe/Dublin", []plan.RestPolicy{daily(11)}, nil, spans...); len(got) > 0 {
		t.Errorf("duties alone break %q", got)
	}
}

func TestPublishedRatiosAtTheirBoundaries(t *testing.T) {
	for _, c := range []struct {
		name, source            string
		trainees, ratio, needed int
	}{
		{"theory", "training standard of the wind industry, Basic Safety Training V20 Table 13.3.1 (seen)", 12, 12, 1},
		{"theory, one more", "the same", 13, 12, 2},
		{"practical in a centre", "the same", 6, 6, 1},
		{"practical in a centre, one more", "the same", 7, 6, 2},
		{"practical on site", "the same", 4, 4, 1},
		{"practical on site, one more", "the same", 5, 4, 2},
		{"advanced rescue, twelve at once", "training standard of the wind industry, Advanced Rescue V6 Tables 9.3.1, 11.3.1 (seen)", 12, 4, 3},
		{"nobody yet", "one instructor always (specification)", 0, 6, 1},
	} {
		if got := check.InstructorsNeeded(c.trainees, c.ratio); got != c.needed {
			t.Errorf("%s (%s): %d trainees at 1 to %d need %d instructors, want %d", c.name, c.source, c.trainees, c.ratio, got, c.needed)
		}
		p := check.Presence{Trainees: c.trainees, Instructors: c.needed}
		if p.Ratio(c.ratio) != 0 {
			t.Errorf("%s: %d instructors are not enough", c.name, c.needed)
		}
		if p.Instructors--; p.Ratio(c.ratio) != 1 {
			t.Errorf("%s: %d instructors are enough", c.name, c.needed-1)
		}
	}
}

func TestRescueCoverCountsNobodyTwice(t *testing.T) {
	two := plan.Rescue{Rescuers: 2, OwnInstructorsCount: true}
	standby := plan.Rescue{Rescuers: 2, StandbyMin: 1, OwnInstructorsCount: true}
	outside := plan.Rescue{Rescuers: 2, StandbyMin: 2}
	for _, c := range []struct {
		name    string
		rescue  plan.Rescue
		present check.Presence
		standby int
		short   int
	}{
		// Danish WEA Guideline 2.4.3-1 (Nov 2016): always two on site who can rescue from height (seen).
		{"two instructors who can rescue", two, check.Presence{Trainees: 6, Instructors: 2, Rescuers: 2}, 0, 0},
		{"one instructor who can rescue", two, check.Presence{Trainees: 6, Instructors: 1, Rescuers: 1}, 0, 1},
		{"standby asked: the one on the rope does not count", standby, check.Presence{Trainees: 6, Instructors: 1, Rescuers: 1, Standby: 1}, 0, 1},
		{"standby asked: one beyond the ratio counts", standby, check.Presence{Trainees: 6, Instructors: 2, Rescuers: 2, Standby: 1}, 0, 0},
		{"standby asked: a second group takes the spare one", standby, check.Presence{Trainees: 7, Instructors: 2, Rescuers: 2, Standby: 1}, 0, 1},
		{"standby asked: the spare one is no rescuer", standby, check.Presence{Trainees: 6, Instructors: 2, Rescuers: 0, Standby: 1}, 0, 1},
		{"no standby", standby, check.Presence{Trainees: 6, Instructors: 4, Rescuers: 4}, 1, 0},
		{"own instructors never count", outside, check.Presence{Trainees: 6, Instructors: 4, Rescuers: 4, Standby: 1}, 1, 1},
		{"two standby", outside, check.Presence{Trainees: 6, Instructors: 1, Standby: 2}, 0, 0},
	} {
		if s, all := c.present.RescueCover(c.rescue, 6); s != c.standby || all != c.short {
			t.Errorf("%s: short of %d standby and %d in all, want %d and %d", c.name, s, all, c.standby, c.short)
		}
	}
}

func TestValidityIsByLocalDayToItsEnd(t *testing.T) {
	until := func(s string) []plan.Teaches {
		d, err := civil.ParseDay(s)
		if err != nil {
			t.Fatal(err)
		}
		return []plan.Teaches{{Exercise: "climb", Validity: plan.Validity{From: 1, Until: d}}}
	}
	for _, c := range []struct {
		until, day string
		valid      bool
	}{
		{"2027-06-30", "2027-06-30", true}, {"2027-06-30", "2027-07-01", false},
		{"2028-02-29", "2028-02-29", true}, {"2028-02-29", "2028-03-01", false}, // a leap day is a last valid day like any other
		{"2027-02-28", "2027-03-01", false},
	} {
		d, err := civil.ParseDay(c.day)
		if err != nil {
			t.Fatal(err)
		}
		if got := check.Qualified(until(c.until), "climb", d); got != c.valid {
			t.Errorf("valid until %s, on %s: %v, want %v", c.until, c.day, got, c.valid)
		}
	}
}

// A course split over days ends within 28 days, both counted: training standard
// of the wind industry, Requirements V13 §9.1.10 (seen).
func TestACourseOf28DaysEndsOnTheLast(t *testing.T) {
	for _, c := range []struct {
		start string
		holds bool
	}{{"2027-03-28T09:00:00+01:00", true}, {"2027-03-29T09:00:00+01:00", false}} {
		data := `{"format":"rungbook.problem.v1","zone":"Europe/Dublin","from":"2027-03-01","days":40,
			"open":[{"weekdays":[1,2,3,4,5,6,7],"from":"08:00","to":"18:00"}],"weights":{"unplaced":1},
			"rigs":[{"id":"tower"}],"stations":[{"id":"deck","rig":"tower","places":6}],
			"exercises":[{"id":"climb","minutes":60,"stations":["deck"],"ratio":6},{"id":"knots","minutes":60,"stations":["deck"],"ratio":6}],
			"courses":[{"id":"height","exercises":["climb","knots"],"days":28}],
			"people":[{"id":"ada","rest":[],"teaches":[{"exercise":"climb","from":"2027-01-01","until":"2027-12-31"}]}],
			"trainees":[{"id":"t1","intake":"in1","rest":[],"needs":["climb"],"done":[{"exercise":"knots","at":"2027-03-01T17:00:00+00:00"}]}]}`
		p, err := plan.DecodeProblem([]byte(data))
		if err != nil {
			t.Fatal(err)
		}
		start, err := p.Zone.Parse(c.start)
		if err != nil {
			t.Fatal(err)
		}
		s := plan.Session{ID: "s1", Exercise: "climb", Station: "deck", Start: start, End: start.Add(60), Trainees: []string{"t1"}, Instructors: []string{"ada"}}
		got := lines(p, check.New(p).Board([]plan.Session{s}).All())
		if len(got) == 0 != c.holds || !c.holds && !strings.HasPrefix(got[0], "course-span  t1") {
			t.Errorf("the last exercise on %s: %q, want it to hold: %v", c.start, got, c.holds)
		}
	}
}
