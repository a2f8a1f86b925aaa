package civil

import (
	"fmt"
	"time"
)

// Day is a local calendar day, counted from 0001-01-01 = 1. The zero value is
// "no day" and marshals as the empty string.
type Day int32

// unixDay is the Day of 1970-01-01.
const unixDay Day = 719163

// DayOf returns the day of a proleptic Gregorian date. Out-of-range months and
// days are normalised as time.Date does; callers that read outside text use
// ParseDay, which refuses them.
func DayOf(year int, month time.Month, day int) Day {
	return Day(time.Date(year, month, day, 0, 0, 0, 0, time.UTC).Unix()/86400) + unixDay
}

// ParseDay reads an ISO 8601 day "2027-03-01" (years 0001 to 9999). It returns
// an error for a day the calendar lacks, such as 2027-02-29.
func ParseDay(s string) (Day, error) {
	if len(s) != 10 {
		return 0, fmt.Errorf("%q is not a day of the form 2027-03-01", s)
	}
	t, err := time.Parse(time.DateOnly, s)
	if err != nil || t.Year() < 1 {
		return 0, fmt.Errorf("%q is not a day of the calendar of the form 2027-03-01", s)
	}
	return DayOf(t.Date()), nil
}

func (d Day) utc() time.Time { return time.Unix(int64(d-unixDay)*86400, 0).UTC() }

// Date returns year, month and day of the month.
func (d Day) Date() (int, time.Month, int) { return d.utc().Date() }

// String returns "2027-03-01", or "" for no day.
func (d Day) String() string {
	if d == 0 {
		return ""
	}
	y, m, dd := d.Date()
	return fmt.Sprintf("%04d-%02d-%02d", y, m, dd)
}

// MarshalText and UnmarshalText keep a Day as its ISO form; "" is no day.
func (d Day) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText reads what MarshalText wrote.
func (d *Day) UnmarshalText(b []byte) error {
	if len(b) == 0 {
		*d = 0
		return nil
	}
	v, err := ParseDay(string(b))
	*d = v
	return err
}

// Weekday returns 1 for Monday to 7 for Sunday (ISO 8601).
func (d Day) Weekday() int { return int((d+6)%7) + 1 }

// Monday returns the Monday on or before d.
func (d Day) Monday() Day { return d - Day(d.Weekday()-1) }

// ISOWeek returns the ISO 8601 year and week number.
func (d Day) ISOWeek() (year, week int) { return d.utc().ISOWeek() }

// WeekString returns the ISO week as "2027-W09".
func (d Day) WeekString() string {
	y, w := d.ISOWeek()
	return fmt.Sprintf("%04d-W%02d", y, w)
}

// ParseWeek reads "2027-W09" and returns that week's Monday.
func ParseWeek(s string) (Day, error) {
	var y, w int
	if n, err := fmt.Sscanf(s, "%4d-W%2d", &y, &w); n != 2 || err != nil || len(s) != 8 {
		return 0, fmt.Errorf("%q is not a week of the form 2027-W09", s)
	}
	monday := DayOf(y, time.January, 4).Monday() + Day(7*(w-1))
	if monday.WeekString() != s {
		return 0, fmt.Errorf("%q: that year has no such week", s)
	}
	return monday, nil
}

// AddMonths moves by calendar months, keeping the day of the month and clamping
// to that month's last day: 31 Aug + 6 months = 28 Feb, 29 in a leap year. To
// repeat without drift, always count from the first anchor (n, 2n, …).
func (d Day) AddMonths(n int) Day {
	y, m, dd := d.Date()
	last := DayOf(y, m+time.Month(n)+1, 1) - 1
	_, _, lastDay := last.Date()
	if dd > lastDay {
		return last
	}
	return last - Day(lastDay-dd)
}

// MonthEnd returns the last day of d's month.
func (d Day) MonthEnd() Day {
	y, m, _ := d.Date()
	return DayOf(y, m+1, 1) - 1
}

// YearsUntil returns the whole years from d to other, as an age is counted: a
// person born on 29 February has their birthday on 1 March in a common year.
// Precondition: d ≤ other.
func (d Day) YearsUntil(other Day) int {
	y1, m1, d1 := d.Date()
	y2, m2, d2 := other.Date()
	if m2 < m1 || (m2 == m1 && d2 < d1) {
		return y2 - y1 - 1
	}
	return y2 - y1
}

// LastDay stands for "no end": 9999-12-31.
const LastDay Day = 3652059
