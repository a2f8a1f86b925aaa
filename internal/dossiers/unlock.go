package dossiers

import (
	"cmp"
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/store"
)

// Unlock is what one exercise on one station of a rig comes to in service.
type Unlock struct {
	Station  rig.Station
	Exercise curriculum.Exercise
	// Only are its outcomes that nothing else in service delivers today.
	Only []id.Outcome
	// Places is how many trainees can take it there in a week of the yard's hours,
	// if nothing else is held on the station. Staff, rest and light bring it down.
	Places int
}

// Shut is a rig that is not in service, with what it would give there.
type Shut struct {
	Dossier
	Unlocks []Unlock
}

// NotInService lists the rigs that are not in service by their dossier or their
// recorded state and would give something there, with what that is.
func (d *Desk) NotInService(ctx context.Context, actor access.Actor) (out []Shut, err error) {
	if _, err := access.Require(actor, access.SeeStation); err != nil {
		return nil, err
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		all, err := d.standing(v)
		if err != nil {
			return err
		}
		for _, one := range all.Dossiers {
			if one.InService() {
				continue
			}
			gives, err := d.unlocks(v, one.Rig.ID)
			if err != nil {
				return err
			}
			if len(gives) > 0 {
				out = append(out, Shut{one, gives})
			}
		}
		return nil
	})
	return out, err
}

// InService reports whether both the dossier and the recorded state let the rig be in
// service. A state that nobody recorded does not.
func (d Dossier) InService() bool {
	return d.Says == rig.InService && (d.Rig.State == rig.InService || d.Rig.State == rig.Restricted)
}

// unlocks lists what a rig's stations would give.
func (d *Desk) unlocks(v *store.View, of id.Rig) ([]Unlock, error) {
	today := v.Today()
	slice, err := d.builder.Yard(v, today, today)
	if err != nil {
		return nil, err
	}
	ref, register := slice.Reference(), slice.Register()
	yard, _ := ref.YardOn(today)
	exercises := ref.Exercises.All(today)
	elsewhere := map[id.Outcome]bool{}
	for _, e := range exercises {
		for _, s := range e.Stations {
			st, ok := ref.Stations.On(s, today)
			if !ok || st.Rig == of || !e.On(today) {
				continue
			}
			if ok, _ := register.InService(s, today); ok {
				for _, o := range e.Outcomes {
					elsewhere[o] = true
				}
			}
		}
	}
	var out []Unlock
	for _, st := range ref.Stations.All(today) {
		if st.Rig != of || st.Retired != 0 && st.Retired <= today {
			continue
		}
		for _, e := range exercises {
			if !e.On(today) || !slices.Contains(e.Stations, st.ID) {
				continue
			}
			one := Unlock{Station: st, Exercise: e, Places: placesAWeek(yard.Open, st, e)}
			for _, o := range e.Outcomes {
				if !elsewhere[o] {
					one.Only = append(one.Only, o)
				}
			}
			out = append(out, one)
		}
	}
	slices.SortStableFunc(out, func(a, b Unlock) int {
		return cmp.Or(cmp.Compare(a.Station.Order, b.Station.Order), cmp.Compare(a.Exercise.Order, b.Exercise.Order))
	})
	return out, nil
}

// placesAWeek fits holds of an exercise, set-up and strike included and the station's
// turnaround between them, into each opening window, and fills each with a group.
func placesAWeek(open []rig.Window, st rig.Station, e curriculum.Exercise) int {
	hold := e.Setup + e.Minutes + e.Strike
	if hold <= 0 {
		return 0
	}
	places := st.Places
	if e.GroupMax > 0 {
		places = min(places, e.GroupMax)
	}
	sessions := 0
	for _, w := range open {
		fits := (w.To - w.From + st.Turnaround) / max(hold+st.Turnaround, civil.Minutes(1))
		sessions += int(fits) * len(w.Weekdays)
	}
	return sessions * places
}
