package planning

import (
	"rungbook/internal/civil"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
)

// DueAfter returns the last day on which something is in time that a line of the rule
// book gives so many workdays of the yard for, counted from a day by the rule book in
// force on it. ok is false where no line says so, or the yard's hours are not stated:
// then it is due at once.
func DueAfter(y rig.Yard, books []rulebook.Version, q rulebook.Quantity, from civil.Day) (last civil.Day, ok bool) {
	book, inForce := rulebook.InForce(books, from)
	if !inForce {
		return 0, false
	}
	line, ok := book.Strictest(q)
	if !ok {
		return 0, false
	}
	return y.WorkdaysAfter(from, int(line.Value))
}
