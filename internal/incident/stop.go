package incident

import (
	"slices"

	"rungbook/internal/curriculum"
	"rungbook/internal/id"
)

// Stop is what an incident keeps from being done. One of its members says it all;
// none of them stops every exercise.
type Stop struct {
	Programmes []id.Programme // the exercises of these
	Module     id.Exercise    // those of every programme that this exercise belongs to
	Exercise   id.Exercise    // this alone
	Station    id.Station     // whatever is done on it
	Rig        id.Rig         // whatever is done on its stations
}

// All reports whether every exercise stops.
func (s Stop) All() bool {
	return len(s.Programmes) == 0 && s.Module == "" && s.Exercise == "" && s.Station == "" && s.Rig == ""
}

// Stop returns what the incident stops; ok is false where it stops nothing.
//
// A significant one stops the exercises of its programmes, all exercises if the
// cause is shared or no programme is named, until the written release is on file,
// as the source of the rule book's incident lines has it. Until classed, it is
// taken for significant: it stops what it can be tied to, and all exercises where
// it can be tied to nothing. A near miss that is not classed stops less, lest
// nobody report one: its exercise, station or rig alone.
func (i Incident) Stop() (s Stop, ok bool) {
	switch {
	case i.Class == nil && i.Kind == NearMiss:
		switch {
		case i.Exercise != "":
			s.Exercise = i.Exercise
		case i.Station != "":
			s.Station = i.Station
		default:
			s.Rig = i.Rig
		}
		return s, true
	case i.Class == nil:
		s.Module = i.Exercise
		return s, true
	case !i.Class.Significant || i.Release != nil:
		return s, false
	case !i.Class.Shared:
		s.Programmes = i.Class.Programmes
	}
	return s, true
}

// KitOut returns the kit that the incident itself keeps from use until it was given
// back: of an incident that put nothing in quarantine, as older ones did not. What is
// in quarantine is out as every other thing in quarantine is.
func (i Incident) KitOut() (id.Kit, bool) {
	return i.Kit, i.Kit != "" && i.Kind.LoadsKit() && i.KitBack == nil && len(i.Quarantines) == 0
}

// Exercises reports whether an exercise stops as such, wherever it is done. An
// exercise belongs to a programme that lists it or that asks for an outcome it
// delivers.
func (s Stop) Exercises(e curriculum.Exercise, all []curriculum.Programme) bool {
	switch {
	case s.All():
		return true
	case s.Exercise != "":
		return s.Exercise == e.ID
	case s.Module == e.ID && s.Module != "":
		return true
	}
	return slices.ContainsFunc(all, func(p curriculum.Programme) bool {
		stopped := slices.Contains(s.Programmes, p.ID) || s.Module != "" && slices.Contains(p.Exercises, s.Module)
		return stopped && belongs(e, p)
	})
}

func belongs(e curriculum.Exercise, p curriculum.Programme) bool {
	return slices.Contains(p.Exercises, e.ID) || slices.ContainsFunc(p.Outcomes(), e.Delivers)
}
