package founding

import (
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/store"
)

// Asked is an inspection that a rig, station or kit asks for, by its rule-book line.
type Asked struct{ Subject, Line string }

// AskedOn lists every inspection that rigs, stations and kits ask for on a day,
// rigs first.
func AskedOn(ref *store.Reference, day civil.Day) []Asked {
	var out []Asked
	add := func(subject string, lines []string) {
		for _, l := range lines {
			out = append(out, Asked{subject, l})
		}
	}
	for _, r := range ref.Rigs.All(day) {
		add(string(r.ID), r.Inspections)
	}
	for _, s := range ref.Stations.All(day) {
		if s.Retired == 0 || s.Retired > day {
			add(string(s.ID), s.Inspections)
		}
	}
	for _, k := range ref.Kits.All(day) {
		if k.Retired != 0 && k.Retired <= day {
			continue
		}
		add(string(k.ID), k.Inspections)
	}
	return out
}

// Inspected is one inspection that passed, on a day.
type Inspected struct {
	Asked
	Done civil.Day
}

// Inspect records inspections that passed, many at once, as a yard that is set up
// brings them; the entries say that they were taken over, by whoever vouches for
// them. A failed one is recorded at its rig or station. Fields are named
// "done_N" by the place of the row.
func (f *Founder) Inspect(ctx context.Context, actor access.Actor, list []Inspected, key string) error {
	_, err := f.write(ctx, actor, access.RecordInspection, key, "inspection", Of{}, list, func(d *desk) error {
		asked := AskedOn(d.ref, d.Today())
		bad := fault.Fields{}
		n := 0
		for i, in := range list {
			if in.Done == 0 {
				continue
			}
			n++
			field := rowField("done", i)
			if !slices.Contains(asked, in.Asked) {
				bad.Add(field, "This inspection is not asked for any more. Load the page again.")
			}
			if in.Done > d.Today() {
				bad.Add(field, "%s is still to come. Give the day on which it was done.", in.Done)
			}
			if len(bad) > 0 {
				continue
			}
			_, err := d.Put("taken-over", in.Done, rig.Inspection{ID: id.Inspection(d.ID()), Subject: in.Subject, Line: in.Line, Done: in.Done, Passed: true, By: actor.Person})
			if err != nil {
				return err
			}
		}
		if n == 0 && len(bad) == 0 {
			bad.Add(rowField("done", 0), "No day is given. Give the day of at least one inspection.")
		}
		return bad.Err()
	})
	return err
}
