package sheets

import (
	"strings"
	"testing"

	"rungbook/internal/civil"
)

func TestADayIsReadInTheHabitsOfOffices(t *testing.T) {
	cases := []struct {
		name  string
		cell  Cell
		how   Habits
		want  string
		error string // part of it
	}{
		{"written for machines", Cell{"2027-03-02", Text}, Habits{}, "2027-03-02", ""},
		{"with midnight", Cell{"2027-03-02 00:00:00", Text}, Habits{}, "2027-03-02", ""},
		{"with a time", Cell{"2027-03-02 08:00", Text}, Habits{}, "", "not a day"},
		{"with points", Cell{"02.03.2027", Text}, Habits{}, "2027-03-02", ""},
		{"with points, short", Cell{"2.3.27", Text}, Habits{}, "2027-03-02", ""},
		{"points are never month first", Cell{"02.03.2027", Text}, Habits{Order: MonthFirst}, "2027-03-02", ""},
		{"can be two days", Cell{"2/3/27", Text}, Habits{}, "", "can be two days"},
		{"can be two days, with dashes", Cell{"2-3-2027", Text}, Habits{}, "", "can be two days"},
		{"day first", Cell{"2/3/27", Text}, Habits{Order: DayFirst}, "2027-03-02", ""},
		{"month first", Cell{"2/3/27", Text}, Habits{Order: MonthFirst}, "2027-02-03", ""},
		{"only one is a day", Cell{"25/3/2027", Text}, Habits{}, "2027-03-25", ""},
		{"only the other is a day", Cell{"3/25/2027", Text}, Habits{}, "2027-03-25", ""},
		{"against what was set", Cell{"3/25/2027", Text}, Habits{Order: DayFirst}, "", "not a day of the calendar"},
		{"31 February", Cell{"31.02.2027", Text}, Habits{}, "", "not a day of the calendar"},
		{"29 February in a common year", Cell{"2027-02-29", Text}, Habits{}, "", "not a day of the calendar"},
		{"29 February in a leap year", Cell{"2028-02-29", Text}, Habits{}, "2028-02-29", ""},
		{"a month's name", Cell{"2 March 2027", Text}, Habits{}, "2027-03-02", ""},
		{"a month's name first", Cell{"March 2nd, 2027", Text}, Habits{}, "2027-03-02", ""},
		{"a German month", Cell{"2. März 2027", Text}, Habits{}, "2027-03-02", ""},
		{"a French month", Cell{"2 juillet 2027", Text}, Habits{}, "2027-07-02", ""},
		{"a short month", Cell{"02-Mar-27", Text}, Habits{}, "2027-03-02", ""},
		{"a weekday", Cell{"Tue 2 Mar 2027", Text}, Habits{}, "2027-03-02", ""},
		{"written together", Cell{"20270302", Text}, Habits{}, "2027-03-02", ""},
		{"a count of days", Cell{"46083", Number}, Habits{}, "", "from which year it counts"},
		{"a count of days since 1900", Cell{"46083", Number}, Habits{Serial: Since1900}, "2026-03-02", ""},
		{"a count of days since 1904", Cell{"44621", Text}, Habits{Serial: Since1904}, "2026-03-02", ""},
		{"a cell shown as a day", Cell{"61", Date}, Habits{}, "1900-03-01", ""},
		{"the day before the one that never was", Cell{"59", Date}, Habits{}, "1900-02-28", ""},
		{"the day that never was", Cell{"60", Date}, Habits{}, "", "never was"},
		{"a day with a time", Cell{"46083.5", Date}, Habits{}, "", "with a time"},
		{"two digits after the latest year", Cell{"1.1.78", Text}, Habits{}, "1978-01-01", ""},
		{"two digits of the latest year", Cell{"1.1.77", Text}, Habits{}, "2077-01-01", ""},
		{"words", Cell{"soon", Text}, Habits{}, "", "not a day"},
		{"a formula", Cell{"46083", Formula}, Habits{}, "", "not a day"},
		{"nothing", Cell{}, Habits{}, "", "no day stands here"},
		{"three digits of a year", Cell{"1.1.202", Text}, Habits{}, "", "not a day"},
	}
	for _, c := range cases {
		got, err := c.how.Day(c.cell, false, 2077)
		if got.String() != c.want || (c.error == "") != (err == nil) || err != nil && !strings.Contains(err.Error(), c.error) {
			t.Errorf("%s: got %s, %v; want %q %q", c.name, got, err, c.want, c.error)
		}
	}
	if got, err := (Habits{}).Day(Cell{"0", Date}, true, 2077); err != nil || got.String() != "1904-01-01" {
		t.Errorf("the first day of 1904: got %s, %v", got, err)
	}
}

func TestTimesHoursAndTicksAreRead(t *testing.T) {
	for text, want := range map[string]civil.Minutes{"08:00": 480, "8.30": 510, "8h05": 485, "1:15 pm": 795, "12:00 am": 0, "8 a.m.": 480, "17:00 Uhr": 1020, "23:59:00": 1439} {
		if got, err := Clock(Cell{text, Text}); err != nil || got != want {
			t.Errorf("%s: got %d, %v; want %d", text, got, err, want)
		}
	}
	for _, text := range []string{"24:00", "8", "8:7", "8:60", "13 pm", "-1:00", "noon"} {
		if got, err := Clock(Cell{text, Text}); err == nil {
			t.Errorf("%s: got %d, want it refused", text, got)
		}
	}
	if got, err := Clock(Cell{"0.3333333333", Date}); err != nil || got != 480 {
		t.Errorf("a third of a day: got %d, %v", got, err)
	}
	hours := []struct {
		cell Cell
		how  Habits
		want civil.Minutes
	}{{Cell{"1,5", Text}, Habits{}, 90}, {Cell{"1.5", Text}, Habits{}, 90}, {Cell{"1.25", Number}, Habits{}, 75}, {Cell{"1,500", Text}, Habits{Decimal: ","}, 90},
		{Cell{"1,500", Text}, Habits{}, 0}, {Cell{"1,500", Text}, Habits{Decimal: "."}, 0}, {Cell{"0", Text}, Habits{}, 0}, {Cell{"24,1", Text}, Habits{}, 0}, {Cell{"x", Text}, Habits{}, 0}}
	for _, h := range hours {
		if got, err := h.how.Hours(h.cell); got != h.want || (err == nil) != (h.want > 0) {
			t.Errorf("%+v %+v: got %d, %v; want %d", h.cell, h.how, got, err, h.want)
		}
	}
	for text, want := range map[string]bool{"Ja": true, "x": true, "NO": false, "0": false, "bestanden": true} {
		if got, err := Yes(Cell{text, Text}); err != nil || got != want {
			t.Errorf("%s: got %t, %v", text, got, err)
		}
	}
	for _, c := range []Cell{{}, {"perhaps", Text}, {"1", Date}} {
		if _, err := Yes(c); err == nil {
			t.Errorf("%+v: want it refused", c)
		}
	}
}
