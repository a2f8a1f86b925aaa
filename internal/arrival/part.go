package arrival

import (
	"slices"

	"rungbook/internal/civil"
)

// PartBegan is the first day of the part of a course that runs on a day; days are
// those on which the trainee was taught. A part ends where the yard was open for a
// day and they were not taught on it: closed days between do not split a course
// (common practice, no source). It is 0 in the first part.
func PartBegan(day civil.Day, days []civil.Day, open func(civil.Day) bool) civil.Day {
	earlier := slices.DeleteFunc(slices.Clone(days), func(d civil.Day) bool { return d >= day })
	if len(earlier) == 0 {
		return 0
	}
	part := day
	for d := day - 1; d >= slices.Min(earlier); d-- {
		switch {
		case slices.Contains(earlier, d):
			part = d
		case open(d):
			return part
		}
	}
	return 0
}
