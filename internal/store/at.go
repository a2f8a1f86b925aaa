package store

import (
	"math"
	"strconv"

	"rungbook/internal/civil"
)

// A derived row stands from its since_entry until its until_entry, and counts
// from its from_day until its until_day. This file holds the only comparisons
// of the four; ?1 is the view's entry and ?2 its day in every query.

// open is until_entry of a row that still stands.
const open = math.MaxInt64

// openDay is until_day of a row without a last day: above every day as text.
const openDay = "open"

var openText = strconv.FormatInt(open, 10)

// known limits rows of a table to those that stood at the view's entry, for any
// day. At the head an equality says the same and lets the index of
// what stands serve.
func (v *View) known(alias string) string {
	if v.head {
		return alias + ".until_entry = " + openText
	}
	return alias + ".since_entry <= ?1 AND " + alias + ".until_entry > ?1"
}

// at limits rows to those that stood at the view's entry and counted on its day.
func (v *View) at(alias string) string {
	return v.known(alias) + " AND " + alias + ".from_day <= ?2 AND " + alias + ".until_day > ?2"
}

// dayText returns a first day without the record as kept in until columns.
func dayText(d civil.Day) string {
	if d == 0 {
		return openDay
	}
	return d.String()
}

// textDay reads what dayText wrote.
func textDay(s string) (civil.Day, error) {
	if s == openDay {
		return 0, nil
	}
	return civil.ParseDay(s)
}
