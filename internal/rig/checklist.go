package rig

import (
	"slices"

	"rungbook/internal/id"
)

// CheckList is what is looked at before each use of one kind of thing, as the
// centre's competent person wrote it. A station is looked at by the list of its
// rig's kind. A kind without a list, or with an empty one, stops every start.
type CheckList struct {
	ID    id.CheckList    `json:"id"`
	For   CheckedKind     `json:"for"`
	Items []id.Commitment `json:"items"` // in the order in which they are looked at
}

// CheckedKind is what a check list is for: a kind of rig, course kit or rescue kit.
type CheckedKind string

// The kinds of kit. Every other kind is that of a rig.
const (
	CourseKit CheckedKind = "course-kit"
	RescueKit CheckedKind = "rescue-kit"
)

// CheckedKinds lists the kinds that have a list, in the order forms show them.
func CheckedKinds() []CheckedKind {
	return []CheckedKind{CheckedKind(TowerPlatform), CheckedKind(BladeFace), CheckedKind(NacelleHouse), CheckedKind(Classroom), CheckedKind(Workshop), CourseKit, RescueKit}
}

// ExampleItems is a list to begin with, in our own words: an example that a
// competent person edits. It is never complete, and counts for nothing until it is
// kept as the centre's own.
func ExampleItems(of CheckedKind) []string {
	common := []string{"Ways in and out are clear and lit", "Signs and barriers of the closed ground stand"}
	switch of {
	case CheckedKind(TowerPlatform):
		return slices.Concat(common, []string{"Ladder, rail and fall arrester run freely", "Anchors: no movement, crack or rust that is new", "Deck, hatch and guard rails are whole and shut", "Nothing loose that can fall"})
	case CheckedKind(BladeFace):
		return slices.Concat(common, []string{"Blade is held and can't turn or swing", "Anchors: no movement, crack or rust that is new", "Rope edges are padded", "Surface is free of splinters"})
	case CheckedKind(NacelleHouse):
		return slices.Concat(common, []string{"Moving parts are locked, and the lock was tried", "Emergency stop was tried and works", "Hatches are shut or guarded", "Extinguisher stands and is in date"})
	case CheckedKind(Classroom):
		return []string{"Ways out are clear", "First aid box and extinguisher stand", "Cables are out of the way"}
	case CheckedKind(Workshop):
		return []string{"Ways out are clear", "Guards of the machines stand", "Emergency stop was tried and works", "Floor is dry and free"}
	case CourseKit:
		return []string{"Each piece has its number and is in date", "Webbing and stitching: no cut, burn, fray or stain", "Buckles, hooks and gates shut by themselves", "Ropes: no cut, flat or hard place over the whole length", "Helmets: no crack, straps whole"}
	case RescueKit:
		return []string{"Seal is whole, or the content was counted", "Each piece is in date", "Device runs freely and holds", "Rope reaches from the station to the ground", "Mass it is rated for is above the heaviest of the group with kit"}
	}
	return nil
}
