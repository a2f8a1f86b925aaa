package founding

import (
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/rig"
)

// Yard is the yard as a form gives it. Record.ClosedDays is left out: Closed has
// the days with their reasons in plain words.
type Yard struct {
	Record rig.Yard
	Name   string
	Closed []Closed
}

// Closed is a day without sessions and why.
type Closed struct {
	Day    civil.Day
	Reason string
}

// Yard records the yard, or changes it. There is one.
func (f *Founder) Yard(ctx context.Context, actor access.Actor, of Of, y Yard, key string) (string, error) {
	return f.write(ctx, actor, access.ChangeYard, key, "yard", of, y, func(d *desk) error {
		was, stands := d.ref.YardOn(d.Today())
		if d.fresh() && stands {
			return fault.New(fault.Conflict, "A yard is recorded already. Open it and change it.")
		}
		r := y.Record
		r.ID, r.Name = id.Yard(d.id), d.text("name", y.Name, was.Name)
		slices.SortFunc(y.Closed, func(a, b Closed) int { return int(a.Day - b.Day) })
		r.ClosedDays = nil
		for i, c := range y.Closed {
			if i > 0 && c.Day == y.Closed[i-1].Day {
				return fault.Field("closed", "%s stands twice among the closed days.", c.Day)
			}
			var before id.Commitment
			if at := slices.IndexFunc(was.ClosedDays, func(x rig.ClosedDay) bool { return x.Day == c.Day }); at >= 0 {
				before = was.ClosedDays[at].Reason
			}
			r.ClosedDays = append(r.ClosedDays, rig.ClosedDay{Day: c.Day, Reason: d.text("closed day", c.Reason, before)})
		}
		if err := r.Check(); err != nil {
			return err
		}
		return d.put(r)
	})
}

// Zone is shared ground as a form gives it.
type Zone struct{ Name string }

// Zone records or renames ground that stations share.
func (f *Founder) Zone(ctx context.Context, actor access.Actor, of Of, z Zone, key string) (string, error) {
	return f.write(ctx, actor, access.ChangeYard, key, "zone", of, z, func(d *desk) error {
		r, ok := d.ref.Zones.On(id.Zone(d.id), d.Today())
		if !ok && !d.fresh() {
			return gone("zone")
		}
		if err := taken(d.ref, d.ref.Zones.All(d.Today()), z.Name, func(x rig.Zone) (string, id.Commitment) { return string(x.ID), x.Name }, d.id); err != nil {
			return err
		}
		r.ID, r.Name = id.Zone(d.id), d.text("name", z.Name, r.Name)
		if err := r.Check(); err != nil {
			return err
		}
		return d.put(r)
	})
}

// Circuit is an energy supply as a form gives it.
type Circuit struct {
	Name       string
	Changeover civil.Minutes
}

// Circuit records or changes an energy supply.
func (f *Founder) Circuit(ctx context.Context, actor access.Actor, of Of, c Circuit, key string) (string, error) {
	return f.write(ctx, actor, access.ChangeYard, key, "circuit", of, c, func(d *desk) error {
		r, ok := d.ref.Circuits.On(id.Circuit(d.id), d.Today())
		if !ok && !d.fresh() {
			return gone("circuit")
		}
		if err := taken(d.ref, d.ref.Circuits.All(d.Today()), c.Name, func(x rig.Circuit) (string, id.Commitment) { return string(x.ID), x.Name }, d.id); err != nil {
			return err
		}
		r.ID, r.Name, r.Changeover = id.Circuit(d.id), d.text("name", c.Name, r.Name), c.Changeover
		if err := r.Check(); err != nil {
			return err
		}
		return d.put(r)
	})
}

// Kit is equipment as a form gives it: its record without id and name.
type Kit struct {
	Record rig.Kit
	Name   string
}

// Kit records or changes a kit.
func (f *Founder) Kit(ctx context.Context, actor access.Actor, of Of, k Kit, key string) (string, error) {
	return f.write(ctx, actor, access.ChangeYard, key, "kit", of, k, func(d *desk) error {
		was, ok := d.ref.Kits.On(id.Kit(d.id), d.Today())
		if !ok && !d.fresh() {
			return gone("kit")
		}
		if err := taken(d.ref, d.ref.Kits.All(d.Today()), k.Name, func(x rig.Kit) (string, id.Commitment) { return string(x.ID), x.Name }, d.id); err != nil {
			return err
		}
		r := k.Record
		r.Retired, r.Inspections = was.Retired, asBefore(r.Inspections, was.Inspections)
		r.ID, r.Name = id.Kit(d.id), d.text("name", k.Name, was.Name)
		if err := r.Check(); err != nil {
			return err
		}
		return d.put(r)
	})
}
