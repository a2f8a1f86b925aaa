package demo

import (
	"fmt"
	"strings"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/store"
)

// commandKey is the client key of the demo's nth write, made for a day. The
// same day gives the same keys, so that a filling that was broken off goes on
// where it stopped.
func commandKey(made civil.Day, n int) string { return fmt.Sprintf("%s%s %04d", keyStart, made, n) }

const keyStart = "demo "

// Made tells what of the demo is in a record.
type Made struct {
	Day   civil.Day // the day it was made for
	Whole bool      // false: its filling was broken off; Fill for the same day ends it
}

// MadeIn looks at the record's first entry and at the accounts, which come last.
// It returns false for an empty record and for one that is not the demo's.
func MadeIn(v *store.View) (Made, bool, error) {
	if v.Entries() == 0 {
		return Made{}, false, nil
	}
	first, err := v.Entry(0)
	if err != nil {
		return Made{}, false, err
	}
	rest, ours := strings.CutPrefix(first.Key, keyStart)
	written, _, _ := strings.Cut(rest, " ")
	day, err := civil.ParseDay(written)
	if !ours || err != nil {
		return Made{}, false, nil
	}
	last, err := v.LastRecorded()
	if err != nil {
		return Made{}, false, err
	}
	// The clock may stand before the day on which the accounts begin.
	_, _, err = v.At(v.Head(), Zone().DayOf(last)).AccountByEmail(accounts[len(accounts)-1].email)
	if fault.Of(err) == fault.NotFound {
		return Made{Day: day}, true, nil
	}
	return Made{Day: day, Whole: err == nil}, true, err
}
