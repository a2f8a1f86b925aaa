package rig

import (
	"testing"
	"time"

	"rungbook/internal/civil"
)

func TestWorkdaysSkipClosedDaysAndDaysWithoutHours(t *testing.T) {
	monday := civil.DayOf(2027, time.March, 1)
	hours := []Window{{Weekdays: []int{1, 2, 3, 4, 5}, From: 480, To: 1020}}
	for _, c := range []struct {
		name   string
		yard   Yard
		from   civil.Day
		n      int
		want   civil.Day
		stands bool
	}{
		{"the next day", Yard{Open: hours}, monday, 1, monday + 1, true},
		{"the day itself is not counted", Yard{Open: hours}, monday, 10, monday + 14, true},
		{"from a Friday over the weekend", Yard{Open: hours}, monday + 4, 1, monday + 7, true},
		{"from a Saturday", Yard{Open: hours}, monday + 5, 1, monday + 7, true},
		{"a closed day moves it by one", Yard{Open: hours, ClosedDays: []ClosedDay{{Day: monday + 3}}}, monday, 10, monday + 15, true},
		{"a closed Sunday moves nothing", Yard{Open: hours, ClosedDays: []ClosedDay{{Day: monday + 6}}}, monday, 10, monday + 14, true},
		{"the last day itself closed", Yard{Open: hours, ClosedDays: []ClosedDay{{Day: monday + 14}}}, monday, 10, monday + 15, true},
		{"the day after the last closed", Yard{Open: hours, ClosedDays: []ClosedDay{{Day: monday + 15}}}, monday, 10, monday + 14, true},
		{"open on Saturdays too", Yard{Open: append([]Window{{Weekdays: []int{6}, From: 480, To: 720}}, hours...)}, monday, 6, monday + 7, true},
		{"no hours are stated", Yard{}, monday, 1, 0, false},
		{"no days are asked", Yard{Open: hours}, monday, 0, 0, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got, ok := c.yard.WorkdaysAfter(c.from, c.n); got != c.want || ok != c.stands {
				t.Errorf("%s, %v; want %s, %v", got, ok, c.want, c.stands)
			}
		})
	}
}
