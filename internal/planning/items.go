package planning

import (
	"fmt"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/plan"
	"rungbook/internal/rig"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

func kitShut(kit, shut int) string { return fmt.Sprintf("/kits/%d/shut/%d", kit, shut) }

// kitOut says why pieces of a kit may not be used, and how many are left.
func kitOut(k id.Kit, count int, out rig.KitOut) Cause {
	say := sayAll(out.Causes, rig.Cause.Say)
	if out.Usable > 0 {
		say = append(verdict.Say(verdict.Ref{Kind: verdict.Kit, ID: string(k)}, fmt.Sprintf(": %d of %d may be used: ", out.Usable, count)), say...)
	}
	return Cause{Say: say, Kind: out.Causes[0].Kind, Of: subjects(out.Causes)}
}

// subjects returns what causes are about.
func subjects(causes []rig.Cause) []verdict.Ref {
	out := make([]verdict.Ref, len(causes))
	for i, c := range causes {
		out[i] = c.Subject
	}
	return out
}

// KitChecks returns the inspections that a kit itself needs.
func (s *Slice) KitChecks(k rig.Kit) []Check {
	g := s.ground.register
	return s.checks(string(k.ID), k.Inspections, g.DueOfKit(k.ID, s.day), g.Kit(k.ID, s.day))
}

// ItemChecks returns the inspections that an item itself needs.
func (s *Slice) ItemChecks(i rig.Item) []Check {
	g := s.ground.register
	return s.checks(string(i.ID), i.Inspections, g.DueOfItem(i.ID, s.day), g.Item(i.ID, s.day))
}

// KitIncident returns why an open incident keeps a kit from use, nil for none.
func (s *Slice) KitIncident(k id.Kit) verdict.Text {
	for i, x := range s.Problem.Kits {
		if x.ID != string(k) {
			continue
		}
		for n := range x.Shut {
			if c := s.own[kitShut(i, n)]; c.Kind == rig.ByIncident {
				return c.Say
			}
		}
	}
	return nil
}

// Thing finds the rig, station, kit or item that an id names on a day.
func Thing(ref *store.Reference, of string, d civil.Day) (verdict.Ref, bool) {
	if _, ok := ref.Rigs.On(id.Rig(of), d); ok {
		return verdict.Ref{Kind: verdict.Rig, ID: of}, true
	}
	if _, ok := ref.Stations.On(id.Station(of), d); ok {
		return verdict.Ref{Kind: verdict.Station, ID: of}, true
	}
	if _, ok := ref.Kits.On(id.Kit(of), d); ok {
		return verdict.Ref{Kind: verdict.Kit, ID: of}, true
	}
	_, ok := ref.Items.On(id.Item(of), d)
	return verdict.Ref{Kind: verdict.Item, ID: of}, ok
}

// Required returns the inspections that a rig, station, kit or item asks for, by
// rule-book line.
func Required(ref *store.Reference, subject string, d civil.Day) []string {
	if r, ok := ref.Rigs.On(id.Rig(subject), d); ok {
		if rig.OutdoorRig(r, ref.Stations.All(d)) {
			return append(slices.Clone(r.Inspections), rig.StormLine)
		}
		return r.Inspections
	}
	if s, ok := ref.Stations.On(id.Station(subject), d); ok {
		return s.Inspections
	}
	if k, ok := ref.Kits.On(id.Kit(subject), d); ok {
		return k.Inspections
	}
	i, _ := ref.Items.On(id.Item(subject), d)
	if len(i.Inspections) == 0 { // it is inspected with its kit, and by itself as the kit is
		k, _ := ref.Kits.On(i.Kit, d)
		return k.Inspections
	}
	return i.Inspections
}

// StopsAt reports whether a session has no station at a moment because a thing is not
// fit for use, or may have in its hands what is not fit: nobody knows which piece of a
// kit it took, so a piece that is out concerns each session that takes the kit.
func (s *Slice) StopsAt(of verdict.Ref, x session.Session, at civil.Instant) bool {
	is := func(c Cause) bool { return slices.Contains(c.Of, of) }
	for _, shut := range s.Shut(x.Station) {
		if shut.Holds(at) && is(shut.Cause) {
			return true
		}
	}
	takes := map[string]bool{}
	if i := slices.IndexFunc(s.Problem.Exercises, func(e plan.Exercise) bool { return e.ID == string(x.Exercise) }); i >= 0 {
		for _, u := range s.Problem.Exercises[i].Uses {
			takes[u.Kit] = true
		}
	}
	for i, k := range s.Problem.Kits {
		for n, shut := range k.Shut {
			if takes[k.ID] && shut.Period().Holds(at) && is(s.ground.causes[kitShut(i, n)]) {
				return true
			}
		}
	}
	return false
}
