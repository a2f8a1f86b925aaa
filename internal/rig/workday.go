package rig

import (
	"slices"

	"rungbook/internal/civil"
)

// Workday reports whether the yard works on a day: one of its weekdays, and none of
// its closed days, among which public holidays stand.
func (y Yard) Workday(d civil.Day) bool {
	if slices.ContainsFunc(y.ClosedDays, func(c ClosedDay) bool { return c.Day == d }) {
		return false
	}
	return slices.ContainsFunc(y.Open, func(w Window) bool { return slices.Contains(w.Weekdays, d.Weekday()) })
}

// longestWait bounds the search for workdays: four years.
const longestWait = 1461

// WorkdaysAfter returns the n-th workday after a day, the day itself not counted. ok
// is false where the yard's hours don't reach so far.
func (y Yard) WorkdaysAfter(d civil.Day, n int) (last civil.Day, ok bool) {
	for last = d + 1; last <= d+longestWait && n > 0; last++ {
		if y.Workday(last) {
			if n--; n == 0 {
				return last, true
			}
		}
	}
	return 0, false
}
