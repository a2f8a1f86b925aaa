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
	"rungbook/internal/people"
	"rungbook/internal/rig"
	"rungbook/internal/store"
)

// retiring is what a kind of record needs so that one can be taken out of use.
type retiring struct {
	action access.Action
	held   []string // kinds whose records must let go of it first
	stands standsFunc
}

// standsFunc finds a record as it stands on a day: its first day without it (0 = in
// use), and the record with another such day.
type standsFunc func(ref *store.Reference, of string, today civil.Day) (retired civil.Day, from func(civil.Day) any, ok bool)

// stands makes a standsFunc of a table and of where its records keep that day.
func stands[K ~string, T any](table func(*store.Reference) store.Table[K, T], retired func(*T) *civil.Day) standsFunc {
	return func(ref *store.Reference, of string, today civil.Day) (civil.Day, func(civil.Day) any, bool) {
		list := table(ref)
		r, ok := list.On(K(of), today)
		return *retired(&r), func(day civil.Day) any { *retired(&r) = day; return r }, ok
	}
}

// retirable lists the kinds that can be retired.
var retirable = map[string]retiring{
	"station": {access.ChangeYard, nil, stands(func(r *store.Reference) store.Table[id.Station, rig.Station] { return r.Stations },
		func(x *rig.Station) *civil.Day { return &x.Retired })},
	"exercise": {access.ChangeYard, []string{"programme", "exercise"}, stands(func(r *store.Reference) store.Table[id.Exercise, curriculum.Exercise] { return r.Exercises },
		func(x *curriculum.Exercise) *civil.Day { return &x.Retired })},
	"zone": {access.ChangeYard, []string{"station", "rig"}, stands(func(r *store.Reference) store.Table[id.Zone, rig.Zone] { return r.Zones },
		func(x *rig.Zone) *civil.Day { return &x.Retired })},
	"circuit": {access.ChangeYard, []string{"exercise"}, stands(func(r *store.Reference) store.Table[id.Circuit, rig.Circuit] { return r.Circuits },
		func(x *rig.Circuit) *civil.Day { return &x.Retired })},
	"kit": {access.ChangeYard, []string{"station", "exercise"}, stands(func(r *store.Reference) store.Table[id.Kit, rig.Kit] { return r.Kits },
		func(x *rig.Kit) *civil.Day { return &x.Retired })},
	"outcome": {access.ChangeYard, []string{"exercise", "programme"}, stands(func(r *store.Reference) store.Table[id.Outcome, curriculum.Outcome] { return r.Outcomes },
		func(x *curriculum.Outcome) *civil.Day { return &x.Retired })},
	"programme": {access.ChangeYard, nil, stands(func(r *store.Reference) store.Table[id.Programme, curriculum.Programme] { return r.Programmes },
		func(x *curriculum.Programme) *civil.Day { return &x.Retired })},
	"employer": {access.ChangeRecords, nil, stands(func(r *store.Reference) store.Table[id.Employer, people.Employer] { return r.Employers },
		func(x *people.Employer) *civil.Day { return &x.Retired })},
}

// Retirable reports whether records of a kind can be retired.
func Retirable(kind string) bool { return retirable[kind].stands != nil }

// RetiredFrom is the first day without a record, 0 while it is in use or is none.
// Precondition: its kind is Retirable.
func RetiredFrom(ref *store.Reference, kind, of string, today civil.Day) civil.Day {
	day, _, _ := retirable[kind].stands(ref, of, today)
	return day
}

// Retire takes a record out of use: day is the first without it. What rests on it
// keeps it; what still needs it from that day on refuses it.
func (f *Founder) Retire(ctx context.Context, actor access.Actor, kind string, of Of, day civil.Day, key string) error {
	k, ok := retirable[kind]
	if !ok {
		return fault.New(fault.Invalid, "A record of kind %s is not retired.", kind)
	}
	_, err := f.write(ctx, actor, k.action, key, kind, of, day, func(d *desk) error {
		_, from, ok := k.stands(d.ref, d.id, d.Today())
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
		_, err := d.Put("retired", 0, from(day))
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
