package founding

import (
	"context"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/rig"
)

// Rig is a rig as a form gives it: its record without id, name and state.
type Rig struct {
	Record   rig.Rig
	Name     string
	Stations []Station // of a new one; a row without a name is left out
}

// Rig records or changes a rig. A new one is in conversion: a responsible person
// puts it in service.
func (f *Founder) Rig(ctx context.Context, actor access.Actor, of Of, r Rig, key string) (string, error) {
	return f.write(ctx, actor, access.ChangeYard, key, "rig", of, r, func(d *desk) error {
		was, ok := d.ref.Rigs.On(id.Rig(d.id), d.Today())
		if !ok && !d.fresh() {
			return gone("rig")
		}
		if err := taken(d.ref, d.ref.Rigs.All(d.Today()), r.Name, func(x rig.Rig) (string, id.Commitment) { return string(x.ID), x.Name }, d.id); err != nil {
			return err
		}
		next := r.Record
		next.ID, next.Name = id.Rig(d.id), d.text("name", r.Name, was.Name)
		next.Inspections = asBefore(next.Inspections, was.Inspections)
		next.State, next.Order = was.State, was.Order
		if d.fresh() {
			next.State, next.Order = rig.InConversion, d.ref.Rigs.Len()+1
		}
		bad := fault.Fields{}
		addTo(bad, next.Check())
		if len(bad) == 0 {
			next.Drawing = next.Drawing.Compact()
			if err := d.put(next); err != nil {
				return err
			}
		}
		if d.fresh() {
			if err := d.stationsOf(next.ID, r.Stations, bad); err != nil {
				return err
			}
		}
		return bad.Err()
	})
}

// stationsOf records the stations of a new rig. Messages name the fields of a row.
func (d *desk) stationsOf(of id.Rig, rows []Station, bad fault.Fields) error {
	for i, s := range rows {
		if s.Name == "" {
			continue
		}
		own := &desk{Tx: d.Tx, ref: d.ref, kind: "station", id: d.ID()}
		for _, other := range rows[:i] {
			if sameName(other.Name, s.Name) {
				bad.Add(rowField("name", i), "%q stands in an earlier row. Give a name that tells the two apart.", s.Name)
			}
		}
		s.Record.Rig = of
		err := own.station(s, i)
		if fault.Of(err) != fault.Invalid && err != nil {
			return err
		}
		mine := fault.Fields{}
		addTo(mine, err)
		for field, message := range mine {
			bad.Add(rowField(field, i), "%s", message)
		}
	}
	return nil
}

// Station is a station as a form gives it: its record without id and name.
type Station struct {
	Record rig.Station
	Name   string
}

// Station records or changes a station.
func (f *Founder) Station(ctx context.Context, actor access.Actor, of Of, s Station, key string) (string, error) {
	return f.write(ctx, actor, access.ChangeYard, key, "station", of, s, func(d *desk) error {
		return d.station(s, 0)
	})
}

// station writes one station; before is how many the same form made already.
func (d *desk) station(s Station, before int) error {
	was, ok := d.ref.Stations.On(id.Station(d.id), d.Today())
	if !ok && !d.fresh() {
		return gone("station")
	}
	var beside []rig.Station
	for _, x := range d.ref.Stations.All(d.Today()) {
		if x.Rig == s.Record.Rig {
			beside = append(beside, x)
		}
	}
	if err := taken(d.ref, beside, s.Name, func(x rig.Station) (string, id.Commitment) { return string(x.ID), x.Name }, d.id); err != nil {
		return err
	}
	next := s.Record
	next.ID, next.Name = id.Station(d.id), d.text("name", s.Name, was.Name)
	next.Zones, next.Inspections = asBefore(next.Zones, was.Zones), asBefore(next.Inspections, was.Inspections)
	next.Order, next.Retired = was.Order, was.Retired
	if d.fresh() {
		next.Order = d.ref.Stations.Len() + 1 + before
	}
	if err := next.Check(); err != nil {
		return err
	}
	return d.put(next)
}
