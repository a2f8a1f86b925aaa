package founding

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/curriculum"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/store"
)

// retirable says of each kind that can be retired what retires one record of it:
// the record with its first day without it, and which records of others hold it.
var retirable = map[string]struct {
	action access.Action
	set    func(ref *store.Reference, of string, today, day civil.Day) (any, bool)
	held   []string // kinds whose records must let go of it first
}{
	"station":   {access.ChangeYard, setStation, nil},
	"exercise":  {access.ChangeYard, setExercise, []string{"programme", "exercise"}},
	"zone":      {access.ChangeYard, setZone, []string{"station", "rig"}},
	"circuit":   {access.ChangeYard, setCircuit, []string{"exercise"}},
	"kit":       {access.ChangeYard, setKit, []string{"station", "exercise"}},
	"outcome":   {access.ChangeYard, setOutcome, []string{"exercise", "programme"}},
	"programme": {access.ChangeYard, setProgramme, nil},
	"employer":  {access.ChangeRecords, setEmployer, nil},
}

func setStation(ref *store.Reference, of string, today, day civil.Day) (any, bool) {
	r, ok := ref.Stations.On(id.Station(of), today)
	r.Retired = day
	return r, ok
}

func setExercise(ref *store.Reference, of string, today, day civil.Day) (any, bool) {
	r, ok := ref.Exercises.On(id.Exercise(of), today)
	r.Retired = day
	return r, ok
}

func setZone(ref *store.Reference, of string, today, day civil.Day) (any, bool) {
	r, ok := ref.Zones.On(id.Zone(of), today)
	r.Retired = day
	return r, ok
}

func setCircuit(ref *store.Reference, of string, today, day civil.Day) (any, bool) {
	r, ok := ref.Circuits.On(id.Circuit(of), today)
	r.Retired = day
	return r, ok
}

func setKit(ref *store.Reference, of string, today, day civil.Day) (any, bool) {
	r, ok := ref.Kits.On(id.Kit(of), today)
	r.Retired = day
	return r, ok
}

func setOutcome(ref *store.Reference, of string, today, day civil.Day) (any, bool) {
	r, ok := ref.Outcomes.On(id.Outcome(of), today)
	r.Retired = day
	return r, ok
}

func setProgramme(ref *store.Reference, of string, today, day civil.Day) (any, bool) {
	r, ok := ref.Programmes.On(id.Programme(of), today)
	r.Retired = day
	return r, ok
}

func setEmployer(ref *store.Reference, of string, today, day civil.Day) (any, bool) {
	r, ok := ref.Employers.On(id.Employer(of), today)
	r.Retired = day
	return r, ok
}

// Retire takes a record out of use: day is the first without it. What rests on it
// keeps it; what still needs it from that day on refuses it.
func (f *Founder) Retire(ctx context.Context, actor access.Actor, kind string, of Of, day civil.Day, key string) error {
	k, ok := retirable[kind]
	if !ok {
		return fault.New(fault.Invalid, "A record of kind %s is not retired.", kind)
	}
	_, err := f.write(ctx, actor, k.action, key, kind, of, day, func(d *desk) error {
		record, ok := k.set(d.ref, d.id, d.Today(), day)
		if !ok {
			return gone(kind)
		}
		if day < d.Today() {
			return fault.Field("retired", "%s is past; what was done till now rests on it. Give today or a later day.", day)
		}
		if kind == "exercise" {
			for _, v := range d.ref.Exercises.Versions(id.Exercise(d.id)) {
				if v.From > d.Today() {
					return fault.Field("retired", "A version of it counts from %s. Retire it on or after that day.", v.From)
				}
			}
		}
		if err := d.letGo(k.held, day); err != nil {
			return err
		}
		_, err := d.Put("retired", 0, record)
		return err
	})
	return err
}

// letGo refuses what a later session or a record in use still needs.
func (d *desk) letGo(held []string, day civil.Day) error {
	v := d.View()
	sessions, err := v.SessionsToCome(d.id, v.Zone().StartOfDay(day))
	if err != nil {
		return err
	}
	if n := len(sessions); n > 0 {
		return fault.Field("retired", "Sessions are booked on it from that day: %d. Move them or stand them down first, or give a later day.", n)
	}
	uses, err := v.Uses(d.id)
	if err != nil {
		return err
	}
	var names []string
	for _, u := range uses {
		if u.ID == "" || !slices.Contains(held, u.Kind) {
			continue
		}
		if name, inUse := d.inUse(u, day); inUse {
			names = append(names, fmt.Sprintf("%s %q", u.Kind, name))
		}
	}
	if len(names) > 0 {
		return fault.Field("retired", "It is still needed by %s. Change that first.", strings.Join(names, ", "))
	}
	return nil
}

// inUse tells the name of a record that speaks of the form's, and whether it does
// so on a day or after it.
func (d *desk) inUse(u store.Use, day civil.Day) (name string, inUse bool) {
	holds := func(text id.Commitment, retired civil.Day) (string, bool) {
		return d.ref.Text(text), retired == 0 || retired > day
	}
	switch u.Kind {
	case "station":
		r, ok := d.ref.Stations.On(id.Station(u.ID), civil.LastDay)
		name, inUse = holds(r.Name, r.Retired)
		return name, inUse && ok
	case "exercise":
		return d.exerciseInUse(id.Exercise(u.ID), day)
	case "programme":
		r, _ := d.ref.Programmes.On(id.Programme(u.ID), civil.LastDay)
		return holds(r.Name, r.Retired)
	case "rig":
		r, _ := d.ref.Rigs.On(id.Rig(u.ID), civil.LastDay)
		return d.ref.Text(r.Name), r.State != rig.Withdrawn
	}
	return u.ID, true
}

// exerciseInUse looks at each version of an exercise that counts on the day or later.
func (d *desk) exerciseInUse(e id.Exercise, day civil.Day) (string, bool) {
	last, _ := d.ref.Exercises.On(e, civil.LastDay)
	name := d.ref.Text(last.Name)
	for _, v := range d.ref.Exercises.Versions(e) {
		if (v.Until == 0 || v.Until > day) && v.Value.On(day) && speaksOf(v.Value, d.id) {
			return name, true
		}
	}
	return name, false
}

func speaksOf(e curriculum.Exercise, of string) bool {
	return slices.Contains(e.Outcomes, id.Outcome(of)) ||
		slices.ContainsFunc(e.After, func(a curriculum.After) bool { return string(a.Exercise) == of }) ||
		slices.ContainsFunc(e.Uses, func(u curriculum.KitUse) bool { return string(u.Kit) == of }) ||
		slices.ContainsFunc(e.Energy, func(n curriculum.EnergyNeed) bool { return string(n.Circuit) == of })
}
