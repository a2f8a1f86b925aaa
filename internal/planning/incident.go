package planning

import (
	"fmt"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/incident"
	"rungbook/internal/plan"
	"rungbook/internal/rig"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// addIncidents takes out of the slice what open incidents stop: exercises can be
// done nowhere, stations are shut and kits are out of use from the incident on,
// until it is settled. This is the one place where an incident stops a session.
func (s *Slice) addIncidents(v *store.View) error {
	open, err := v.OpenIncidents()
	if err != nil {
		return err
	}
	p := s.Problem
	if len(open) > 0 { // the ground's lists are shared
		p.Stations, p.Kits, p.Exercises = slices.Clone(p.Stations), slices.Clone(p.Kits), slices.Clone(p.Exercises)
	}
	for _, i := range open {
		if stop, ok := i.Stop(); ok {
			s.stopFor(i, stop)
		}
		if kit, out := i.KitOut(); out {
			s.takeOut(i, kit)
		}
	}
	return nil
}

func (s *Slice) stopFor(i incident.Incident, stop incident.Stop) {
	cause := Cause{Say: stopText(i, stop), Brief: stopText(i, stop), Kind: rig.ByIncident}
	switch {
	case stop.All() || stop.Station != "" || stop.Rig != "":
		for n, st := range s.Problem.Stations {
			if stop.All() || st.ID == string(stop.Station) || st.Rig == string(stop.Rig) {
				s.shutFrom(n, i.At, cause)
			}
		}
	default:
		programmes := everyVersion(&s.ref.Programmes)
		for n := range s.Problem.Exercises {
			e := &s.Problem.Exercises[n]
			if slices.ContainsFunc(s.ref.Exercises.Versions(id.Exercise(e.ID)), func(d store.Dated[curriculum.Exercise]) bool {
				return stop.Exercises(d.Value, programmes)
			}) {
				e.Stations = []string{}
				s.causeAt(pointer("exercises", n)+"/stations", cause)
			}
		}
	}
}

// everyVersion returns a record in all its versions: what once belonged to a
// programme stops with it.
func everyVersion[K ~string, T any](t *store.Table[K, T]) (out []T) {
	for _, k := range t.Keys() {
		for _, d := range t.Versions(k) {
			out = append(out, d.Value)
		}
	}
	return out
}

func (s *Slice) shutFrom(station int, from civil.Instant, cause Cause) {
	st, reach := &s.Problem.Stations[station], s.ground.reach
	span := civil.Period{Start: max(from, reach.Start), End: reach.End}
	if span.Start >= span.End {
		return // it happened after the last day of this slice
	}
	s.causeAt(fmt.Sprintf("/stations/%d/shut/%d", station, len(st.Shut)), cause)
	st.Shut = append(slices.Clip(st.Shut), span)
}

// takeOut keeps a kit, and the stations whose rescue kit it is, from use.
func (s *Slice) takeOut(i incident.Incident, kit id.Kit) {
	cause := Cause{Say: verdict.Say(verdict.Ref{Kind: verdict.Kit, ID: string(kit)}, " took a load on ", i.At, " and waits for a competent person"), Kind: rig.ByIncident}
	cause.Brief = verdict.Say("its rescue kit took a load on ", i.At, " and waits for a competent person")
	for n := range s.Problem.Kits {
		k, reach := &s.Problem.Kits[n], s.ground.reach
		if k.ID == string(kit) && i.At < reach.End {
			s.causeAt(kitShut(n, len(k.Shut)), cause)
			k.Shut = append(slices.Clip(k.Shut), plan.KitShut{From: max(i.At, reach.Start), To: reach.End, Count: k.Count})
		}
	}
	for n, st := range s.Problem.Stations {
		if st.Rescue != nil && st.Rescue.Kit == string(kit) {
			s.shutFrom(n, i.At, cause)
		}
	}
}

// stopText says why something stops and what would end it.
func stopText(i incident.Incident, stop incident.Stop) verdict.Text {
	what := "an incident"
	if i.Kind == incident.NearMiss {
		what = "a near miss"
	}
	if i.Class == nil {
		return verdict.Say(what+" of ", i.At, " is not classed yet; a responsible person must class it")
	}
	if stop.All() {
		return verdict.Say("a significant incident of ", i.At, " with a shared cause: the written release is not on file")
	}
	return verdict.Say("a significant incident of ", i.At, ": the written release is not on file")
}
