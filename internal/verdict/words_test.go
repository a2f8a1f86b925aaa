package verdict_test

import (
	"slices"
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/verdict"
)

// The words are read by people under pressure: this table is where they are
// looked at. Each line is what the check command prints after rule and who.
func TestFindingsReadAsAColleagueWouldSayThem(t *testing.T) {
	zone, err := civil.LoadZone("Europe/Dublin")
	if err != nil {
		t.Fatal(err)
	}
	d := civil.DayOf(2027, 3, 1)
	at := func(hour, minute int) civil.Instant { return zone.At(d, civil.Minutes(60*hour+minute)) }
	nine := civil.Period{Start: at(9, 0), End: at(10, 30)}
	ada := verdict.Ref{Kind: verdict.Person, ID: "ada"}
	const start, end = "2027-03-01T09:00:00+00:00", "2027-03-01T10:30:00+00:00"
	for _, c := range []struct {
		f    verdict.Finding
		want string
	}{
		{verdict.Grid("s1", at(9, 0), 30, ""), "grid s1 starts at " + start + ", a start on the 30 min grid of the local clock"},
		{verdict.Length("s1", "climb", 60, 90, ""), "grid s1 lasts 1 h, 1 h 30 (climb)"},
		{verdict.ClosedDay("s1", d, ""), "open-hours s1 is on 2027-03-01, a closed day, a day that is open"},
		{verdict.NoDaylight("s1", "deck", d, ""), "daylight s1 no daylight is stated for 2027-03-01, stated daylight for deck"},
		{verdict.OutsideDaylight("s1", "deck", nine, civil.Period{Start: at(7, 0), End: at(10, 0)}, ""),
			"daylight s1 runs " + start + " to " + end + ", within daylight, 2027-03-01T07:00:00+00:00 to 2027-03-01T10:00:00+00:00 (deck)"},
		{verdict.StationFit("s1", "climb", "room", ""), "station-fit s1 is on room, a station where climb can be done"},
		{verdict.StationClash("s2", "s1", "deck", 30, 60, ""), "station-clash s2 is 30 min too near to s1 on deck, one hold at a time and 1 h between"},
		{verdict.ZoneClash("s2", "s1", "drop", "deck", "face", 15, ""), "zone-clash s2 on deck overlaps s1 on face by 15 min, one at a time in zone drop"},
		{verdict.EnergyClash("s2", "s1", "pump", "dead", "live", 30, 45, ""), "energy-clash s2 needs pump dead, s1 needs it live: 30 min too near, 45 min between the holds"},
		{verdict.RigHeadcount("s1", "tower", 15, 14, at(9, 0), ""), "rig-headcount s1 15 people on tower at " + start + ", at most 14"},
		{verdict.GroupTooSmall("s1", "climb", 1, 2, ""), "group-size s1 1 trainee, at least 2 (climb)"},
		{verdict.Alone("s1", "in1", 1, verdict.Ref{Kind: verdict.Trainee, ID: "t9"}, ""), "alone s1 1 trainee of another intake, t9, only trainees of intake in1"},
		{verdict.Ratio("s1", 1, 7, 2, 6, ""), "ratio s1 1 instructor for 7 trainees, at least 2 (1 to 6)"},
		{verdict.Qualified("s1", "ada", "climb", d, 0, 0, ""), "qualified s1 instructor ada has nothing to teach climb, qualified on 2027-03-01"},
		{verdict.Qualified("s1", "ada", "climb", d, d-30, d-1, ""),
			"qualified s1 instructor ada is valid to teach climb only from 2027-01-30 to 2027-02-28, qualified on 2027-03-01"},
		{verdict.Entitled("s1", "t1", "fit-for-height", d, 0, 0, ""), "entitled s1 trainee t1 has nothing for fit-for-height, valid on 2027-03-01"},
		{verdict.StaffMin("s1", "deck", 1, 2, ""), "staff-min s1 1 instructor or standby rescuer, at least 2 on deck"},
		{verdict.FirstAid("s1", "deck", 0, 1, d, ""), "first-aid s1 0 first aiders among the staff on 2027-03-01, at least 1 on deck"},
		{verdict.RescuerInvalid("s1", "ada", d, 0, 0, ""), "rescue-cover s1 standby rescuer ada has no rescue competence, a valid rescuer on 2027-03-01"},
		{verdict.RescueCover("s1", "deck", 1, 0, 1, 2, ""),
			"rescue-cover s1 1 standby rescuer and 0 instructors who count as rescuers, at least 2 rescuers on deck, 1 of them standby"},
		{verdict.KitShort("s1", "winch", 2, 1, at(9, 0), ""), "kit s1 2 of winch taken at " + start + ", at most 1 there"},
		{verdict.Available(ada, "s1", nine, ""), "available ada is in s1 " + start + " to " + end + ", inside one of their available periods"},
		{verdict.DoubleBooked(ada, "s1", nine, verdict.Say(verdict.Ref{Kind: verdict.Session, ID: "s2"}), 30, ""),
			"double-booked ada is in s1 " + start + " to " + end + " and in s2: 30 min overlap, one thing at a time"},
		{verdict.NotNeeded("t1", "s1", true, ""), "needed-once t1 is in s1, which they have done, only what is needed"},
		{verdict.MoreThanOnce("t1", "s2", "s1", "climb", ""), "needed-once t1 does climb in s1 and again in s2, once"},
		{verdict.OrderMissing("t1", "s1", "knots", ""), "order t1 is in s1 without knots, knots first"},
		{verdict.CourseSpan("t1", "height", d, d+28, 29, 28, ""), "course-span t1 height runs from 2027-03-01 to 2027-03-29: 29 days, at most 28 days"},
		{verdict.Deadline("t1", "s1", at(10, 30), d-1, 90, ""), "deadline t1 s1 ends at " + end + ", by the end of 2027-02-28"},
		{verdict.DailyRest(ada, "EU adult", at(9, 0), at(19, 30), d, 660, ""),
			"daily-rest ada ends at " + start + "; next starts at 2027-03-01T19:30:00+00:00: 10 h 30 rest, 11 h (policy EU adult)"},
		{verdict.WeeklyRest(ada, "site", d, 7, 0, 1, 2070, 2100, 30, ""),
			"weekly-rest ada in the 7 days from 2027-03-01 the longest rest is 34 h 30, one of 35 h (policy site)"},
		{verdict.WeeklyRest(ada, "site", d, 14, 1, 2, 1500, 1440, 30, ""),
			"weekly-rest ada in the 14 days from 2027-03-01 1 of the rests is long enough; the longest is 25 h, 2 of 24 h (policy site)"},
		{verdict.WeeklyRest(ada, "site", d, 14, 1, 2, verdict.Endless, 1440, 1440, ""),
			"weekly-rest ada in the 14 days from 2027-03-01 1 of the rests is long enough; the longest has no end, 2 of 24 h (policy site)"},
		{verdict.Entitled("s1", "t1", "fit\nclear  s2\x1b", d, 0, 0, ""), `entitled s1 trainee t1 has nothing for "fit\nclear  s2\x1b", valid on 2027-03-01`},
		{verdict.DayRun(ada, "site", d, d+6, 7, 6, ""), "day-run ada 7 days in a row from 2027-03-01 to 2027-03-07, at most 6 (policy site)"},
		{verdict.DaySpan(ada, "site", d, at(8, 0), at(18, 15), 600, ""),
			"day-span ada from 2027-03-01T08:00:00+00:00 to 2027-03-01T18:15:00+00:00: 10 h 15, at most 10 h (policy site)"},
		{verdict.WeekMinutes(ada, "site", d, 2430, 2400, ""), "week-minutes ada 40 h 30 in the week of 2027-03-01, at most 40 h (policy site)"},
		{verdict.Break(ada, "s1", "site", civil.Period{Start: at(8, 0), End: at(14, 1)}, 360, 20, ""),
			"break ada 6 h 01 without a break of 20 min, 2027-03-01T08:00:00+00:00 to 2027-03-01T14:01:00+00:00, at most 6 h (policy site)"},
		{verdict.FixedChanged("s1", "station", ""), "fixed s1 differs in station, the fixed session, unchanged"},
		{verdict.UnplacedStated("t1", "climb", false), "stated t1 leaves climb of t1 out and does not list it, exactly the needs left out, each once"},
	} {
		style := verdict.PlainStyle(zone)
		got := c.f.Rule + " " + c.f.Who.ID + " " + c.f.Found.In(style) + ", " + c.f.Required.In(style)
		if got != c.want {
			t.Errorf("got  %q\nwant %q", got, c.want)
		}
		if c.f.Level != verdict.Stops || c.f.Excess < 1 {
			t.Errorf("%s: level %v, excess %d, want a stop beyond its limit", c.f.Rule, c.f.Level, c.f.Excess)
		}
	}
}

// A finding of one day must not hide one of another, nor one policy another.
func TestSubjectsTellDaysAndPoliciesApart(t *testing.T) {
	ada := verdict.Ref{Kind: verdict.Person, ID: "ada"}
	d := civil.DayOf(2027, 3, 1)
	seen := make(map[string]bool)
	for _, f := range []verdict.Finding{
		verdict.DayMinutes(ada, "site", d, 500, 480, ""), verdict.DayMinutes(ada, "site", d+1, 500, 480, ""), verdict.DayMinutes(ada, "law", d, 500, 480, ""),
		verdict.HeightMinutes(ada, "site", d, 500, 480, ""),
		verdict.InTwice(ada, "s1", ""), verdict.DoubleBooked(ada, "s1", civil.Period{}, nil, 1, ""),
	} {
		if seen[f.Subject()] {
			t.Errorf("%q is the subject of two findings", f.Subject())
		}
		seen[f.Subject()] = true
	}
}

func TestAFindingNamesAllThatItsSentenceSpeaksOf(t *testing.T) {
	f := verdict.StationClash("s1", "s2", "deck", 30, 15, "")
	want := []verdict.Ref{{Kind: verdict.Session, ID: "s1"}, {Kind: verdict.Session, ID: "s2"}, {Kind: verdict.Station, ID: "deck"}}
	if got := f.Refs(); !slices.Equal(got, want) {
		t.Errorf("the clash names %v, want %v", got, want)
	}
}
