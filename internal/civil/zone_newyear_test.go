package civil

import (
	"testing"
	"time"
)

// After 2037 zones go on by rule, and the standard library's bounds of a span
// end a day early in leap years: the days around New Year 2041 and 2045 are the
// ones that went wrong.
func TestEveryDayToTheYear2100BeginsOnItself(t *testing.T) {
	for _, name := range []string{"Europe/Dublin", "Europe/Oslo", "America/Havana", "Africa/Cairo", "Asia/Beirut",
		"America/Santiago", "Australia/Melbourne", "Pacific/Chatham", "Africa/Johannesburg", "UTC"} {
		z, err := LoadZone(name)
		if err != nil {
			t.Fatal(err)
		}
		for d := DayOf(1990, time.January, 1); d < DayOf(2100, time.January, 1); d++ {
			if s := z.StartOfDay(d); z.DayOf(s) != d || z.DayOf(s-1) >= d {
				t.Fatalf("%s: %s begins at %s", name, d, z.Format(s))
			}
		}
	}
}

func TestAClockTimeNearNewYear2045IsFound(t *testing.T) {
	z, err := LoadZone("Europe/Dublin")
	if err != nil {
		t.Fatal(err)
	}
	for d := DayOf(2044, time.December, 29); d < DayOf(2045, time.January, 5); d++ {
		for _, clock := range []Minutes{0, 1, 8 * 60, 1439} {
			if at := z.At(d, clock); z.DayOf(at) != d || z.Clock(at) != clock {
				t.Errorf("%s %s: got %s", d, ClockString(clock), z.Format(at))
			}
		}
	}
}
