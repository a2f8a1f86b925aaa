package store

import (
	"testing"

	"rungbook/internal/rig"
)

// The law of a zone can't be changed in a test; moving the yard to a zone with
// another offset changes the clock on its wall in the same way.
func TestASessionWhoseClockChangedSinceIsFound(t *testing.T) {
	b := newBench(t)
	b.yard()
	b.put(booked("ahead", nine.Add(24*60)), booked("over", nine.Add(-24*60)))
	shifted := func(what string, ids ...string) {
		t.Helper()
		b.read(func(v *View) error {
			got, err := v.Shifted()
			want(t, what, called(got), err, ids...)
			return nil
		})
	}
	shifted("same zone")
	b.put(rig.Yard{ID: b.YardID(), Zone: "Europe/Lisbon", Grid: 15})
	shifted("another zone, the same offset")
	b.put(rig.Yard{ID: b.YardID(), Zone: "Europe/Paris", Grid: 15})
	shifted("another offset", "ahead")
}
