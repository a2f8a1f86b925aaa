package arrival_test

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/arrival"
	"rungbook/internal/civil"
)

// Sundays are closed, and the 12th; 1 March 2027 is a Monday.
func partOpen(d civil.Day) bool { return d.Weekday() != 7 && d != march(12) }

func march(d int) civil.Day {
	first, _ := civil.ParseDay("2027-03-01")
	return first + civil.Day(d-1)
}

func TestAPartEndsWhereTheYardWasOpenAndNobodyTaught(t *testing.T) {
	for _, c := range []struct {
		name string
		day  int
		days []int
		want int // 0 = the first part
	}{
		{"never taught before", 1, nil, 0},
		{"taught today alone", 1, []int{1}, 0},
		{"the day after the first", 2, []int{1}, 0},
		{"a day between", 3, []int{1}, 3},
		{"the day after a break", 4, []int{1, 3}, 3},
		{"a closed day between", 8, []int{6}, 0},
		{"a closed day and an open one", 8, []int{5}, 8},
		{"a closed day that is no Sunday", 13, []int{11}, 0},
		{"two breaks", 11, []int{1, 3, 5, 10}, 10},
		{"what comes later does not count", 3, []int{4, 5}, 0},
	} {
		var days []civil.Day
		for _, d := range c.days {
			days = append(days, march(d))
		}
		want := civil.Day(0)
		if c.want != 0 {
			want = march(c.want)
		}
		if got := arrival.PartBegan(march(c.day), days, partOpen); got != want {
			t.Errorf("%s: %s, want %s", c.name, got, want)
		}
	}
}

// The twin looks at every open day since the first on which they were taught.
func TestAPartBeginsAfterTheLastOpenDayWithoutTeaching(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		day := march(1 + rapid.IntRange(0, 27).Draw(t, "day"))
		var days []civil.Day
		for d := march(1); d <= march(31); d++ {
			if rapid.Bool().Draw(t, "taught") {
				days = append(days, d)
			}
		}
		got := arrival.PartBegan(day, days, partOpen)
		gap, first := civil.Day(0), civil.Day(0)
		for d := march(1); d < day; d++ {
			taught := slices.Contains(days, d)
			if taught && first == 0 {
				first = d
			}
			if first != 0 && !taught && partOpen(d) {
				gap = d
			}
		}
		want := civil.Day(0)
		if gap != 0 {
			for want = gap + 1; want < day && !slices.Contains(days, want); want++ {
			}
		}
		if got != want {
			t.Errorf("on %s after %v: %s, want %s", day, days, got, want)
		}
	})
}
