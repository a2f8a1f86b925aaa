package web

import (
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/verdict"
)

func words(t *testing.T, today string) Words {
	t.Helper()
	zone, err := civil.LoadZone("Europe/Dublin")
	if err != nil {
		t.Fatal(err)
	}
	return Words{Zone: zone, Today: day(t, today)}
}

func day(t *testing.T, s string) civil.Day {
	t.Helper()
	d, err := civil.ParseDay(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func at(t *testing.T, w Words, s string) civil.Instant {
	t.Helper()
	v, err := w.Zone.Parse(s)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func TestDaysShowTheYearOnlyWhenItIsNotThisOne(t *testing.T) {
	w := words(t, "2027-12-31")
	for _, c := range []struct{ name, got, want string }{
		{"this year", w.Day(day(t, "2027-03-02")), "Tue 2 Mar"},
		{"last day of this year", w.Day(day(t, "2027-12-31")), "Fri 31 Dec"},
		{"first day of next year", w.Day(day(t, "2028-01-01")), "Sat 1 Jan 2028"},
		{"no day", w.Day(0), ""},
		{"full day", FullDay(day(t, "2027-03-02")), "Tue 2 Mar 2027"},
		{"no full day", FullDay(0), ""},
		{"span in one month", w.Days(day(t, "2027-02-22"), day(t, "2027-02-27")), "Mon 22 – Sat 27 Feb"},
		{"span over months", w.Days(day(t, "2027-03-29"), day(t, "2027-04-02")), "Mon 29 Mar – Fri 2 Apr"},
		{"span over years", w.Days(day(t, "2027-12-27"), day(t, "2028-01-01")), "Mon 27 Dec – Sat 1 Jan 2028"},
		{"span of one day", w.Days(day(t, "2027-03-02"), day(t, "2027-03-02")), "Tue 2 Mar"},
	} {
		if c.got != c.want {
			t.Errorf("%s: %q, want %q", c.name, c.got, c.want)
		}
	}
}

func TestTimesAreLocalAndSayWhenTheClockRepeats(t *testing.T) {
	w := words(t, "2027-03-02")
	period := func(a, b string) civil.Period { return civil.Period{Start: at(t, w, a), End: at(t, w, b)} }
	for _, c := range []struct{ name, got, want string }{
		{"same day", w.Period(period("2027-03-02T08:00:00+00:00", "2027-03-02T11:30:00+00:00")), "Tue 2 Mar 08:00–11:30"},
		{"to midnight", w.Period(period("2027-03-02T20:00:00+00:00", "2027-03-03T00:00:00+00:00")), "Tue 2 Mar 20:00–24:00"},
		{"past midnight", w.Period(period("2027-03-02T20:00:00+00:00", "2027-03-03T00:01:00+00:00")), "Tue 2 Mar 20:00 – Wed 3 Mar 00:01"},
		{"summer time", w.Moment(at(t, w, "2027-07-01T08:00:00+01:00")), "Thu 1 Jul 08:00"},
		{"first 01:30 of the night the clock goes back", w.Moment(at(t, w, "2027-10-31T01:30:00+01:00")), "Sun 31 Oct 01:30"},
		{"second 01:30 of it", w.Moment(at(t, w, "2027-10-31T01:30:00+00:00")), "Sun 31 Oct 01:30 (second)"},
		{"no instant", w.Moment(0), ""},
	} {
		if c.got != c.want {
			t.Errorf("%s: %q, want %q", c.name, c.got, c.want)
		}
	}
}

func TestDistancesReadAsColleaguesSayThem(t *testing.T) {
	w := words(t, "2027-03-02")
	for _, c := range []struct{ name, got, want string }{
		{"tomorrow is the last day", w.DaysLeft(day(t, "2027-03-03")), "1 day left"},
		{"today is the last day", w.DaysLeft(day(t, "2027-03-02")), "last day today"},
		{"yesterday was the last day", w.DaysLeft(day(t, "2027-03-01")), "lapsed 1 day ago"},
		{"two years left", w.DaysLeft(day(t, "2029-03-02")), "731 days left"},
		{"due tomorrow", w.Due(day(t, "2027-03-03")), "due in 1 day"},
		{"due today", w.Due(day(t, "2027-03-02")), "due today"},
		{"due yesterday", w.Due(day(t, "2027-03-01")), "overdue since Mon 1 Mar"},
	} {
		if c.got != c.want {
			t.Errorf("%s: %q, want %q", c.name, c.got, c.want)
		}
	}
}

func TestNumbersReadRight(t *testing.T) {
	for _, c := range []struct{ name, got, want string }{
		{"none", Count(0, "trainee", "trainees"), "no trainees"},
		{"one", Count(1, "trainee", "trainees"), "1 trainee"},
		{"many", Count(1200, "entry", "entries"), "1\u202f200 entries"},
		{"three digits", Number(999), "999"},
		{"four digits", Number(1000), "1\u202f000"},
		{"seven digits", Number(1234567), "1\u202f234\u202f567"},
		{"negative", Number(-20413), "−20\u202f413"},
		{"whole metres", Metres(180), "18.0"},
		{"part of a metre", Metres(7), "0.7"},
		{"below ground", Metres(-12), "−1.2"},
		{"hours exact", Hours(210), "3.5"},
		{"hours just below half a tenth", Hours(182), "3.0"},
		{"hours at half a tenth", Hours(183), "3.1"},
		{"no names", List(nil), ""},
		{"one name", List([]string{"A"}), "A"},
		{"two names", List([]string{"A", "B"}), "A and B"},
		{"three names", List([]string{"A", "B", "C"}), "A, B and C"},
		{"title", Title("éire"), "Éire"},
		{"empty title", Title(""), ""},
	} {
		if c.got != c.want {
			t.Errorf("%s: %q, want %q", c.name, c.got, c.want)
		}
	}
}

func TestStyleWordsAFindingWithNamesAndLocalTimes(t *testing.T) {
	w := words(t, "2027-03-02")
	text := verdict.Say(verdict.Ref{Kind: verdict.Person, ID: "p1"}, " ends at ", at(t, w, "2027-03-01T20:00:00+00:00"), "; ", civil.Minutes(660), " rest")
	if got, want := text.In(w.Style()), "p1 ends at Mon 1 Mar 20:00; 11 h rest"; got != want {
		t.Errorf("without names: %q, want %q", got, want)
	}
	w.Name = func(verdict.Ref) string { return "Lindqvist" }
	if got, want := text.In(w.Style()), "Lindqvist ends at Mon 1 Mar 20:00; 11 h rest"; got != want {
		t.Errorf("with names: %q, want %q", got, want)
	}
}
