package demo

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/curriculum"
	"rungbook/internal/rig"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// ratedKg is what the yard's kit is marked for: a user with all they wear.
var ratedKg = map[string]int{"kit-rescue-tower": 140, "kit-rescue-nacelle": 140, "kit-harness": 140, "kit-stretcher": 150}

// withinRating is what was seen of a session's people where its kit states a rating.
func withinRating(ref *store.Reference, x session.Session, station rig.Station, exercise curriculum.Exercise, day civil.Day, done session.Done) *session.MassSeen {
	seen := session.MassSeen{Done: done}
	look := func(k rig.Kit) {
		if k.Rated > 0 && (seen.Kg == 0 || k.Rated < seen.Kg) {
			seen.Kg = k.Rated
		}
	}
	for _, use := range exercise.Uses {
		k, _ := ref.Kits.On(use.Kit, day)
		look(k)
	}
	if station.Rescue != nil {
		k, _ := ref.Kits.On(station.Rescue.Kit, day)
		look(k)
	}
	if seen.Kg == 0 {
		return nil
	}
	for _, t := range x.Trainees {
		seen.Within = append(seen.Within, string(t))
	}
	for _, p := range slices.Concat(x.Instructors, x.Rescuers) {
		seen.Within = append(seen.Within, string(p))
	}
	slices.Sort(seen.Within)
	seen.Asked = seen.Within
	return &seen
}
