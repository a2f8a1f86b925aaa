package founding

import (
	"cmp"
	"slices"

	"rungbook/internal/curriculum"
	"rungbook/internal/id"
)

// asBefore returns a list in the order it had, where it holds the same things: a
// form's boxes stand in an order of their own, and an order alone is no change.
func asBefore[T comparable](is, was []T) []T {
	if len(is) != len(was) {
		return is
	}
	for _, x := range is {
		if !slices.Contains(was, x) {
			return is
		}
	}
	return was
}

// exerciseAsBefore keeps the order of all lists of an exercise but its outcomes'
// and pauses', which is meant.
func exerciseAsBefore(is, was curriculum.Exercise) curriculum.Exercise {
	is.Stations = asBefore(is.Stations, was.Stations)
	is.RatioAt = asBefore(is.RatioAt, was.RatioAt)
	is.After = asBefore(is.After, was.After)
	is.Requires = asBefore(is.Requires, was.Requires)
	is.Uses = asBefore(is.Uses, was.Uses)
	is.Energy = asBefore(is.Energy, was.Energy)
	return is
}

// unitsAsBefore keeps the units that stay in the order they had, before new ones,
// and their outcomes in theirs.
func unitsAsBefore(is, was []curriculum.Unit) []curriculum.Unit {
	at := func(name id.Commitment) int {
		i := slices.IndexFunc(was, func(u curriculum.Unit) bool { return u.Name == name })
		if i < 0 {
			return len(was)
		}
		return i
	}
	slices.SortStableFunc(is, func(a, b curriculum.Unit) int { return cmp.Compare(at(a.Name), at(b.Name)) })
	for i, u := range is {
		if before := at(u.Name); before < len(was) {
			is[i].Outcomes = asBefore(u.Outcomes, was[before].Outcomes)
		}
	}
	return is
}
