package rig

import "slices"

// Outdoors reports whether weather counts at a station: everywhere at height, where
// daylight is asked for, and on every rig that is no room. In doubt it does.
func Outdoors(r Rig, s Station) bool {
	return s.Height || s.NeedsDaylight || r.Kind != Classroom && r.Kind != Workshop
}

// OutdoorRig reports whether a storm counts for a rig: it is no room, or one of the
// stations given is its own and lies outdoors.
func OutdoorRig(r Rig, stations []Station) bool {
	return Outdoors(r, Station{}) || slices.ContainsFunc(stations, func(s Station) bool { return s.Rig == r.ID && Outdoors(r, s) })
}

// WorkingHeight is the highest point, in decimetres above the ground, at which
// people stand at a station: the top of its place as drawn, else of its rig. 0 =
// neither is drawn.
func WorkingHeight(r Rig, s Station) int {
	if s.Place.Width > 0 && s.Place.Height > 0 {
		return s.Place.Y + s.Place.Height
	}
	return r.Drawing.Height
}
