package rig

import (
	"slices"

	"rungbook/internal/civil"
)

// KitState is how a kit or an item stands, in one word; a closed list.
type KitState string

// The states, in the order pages offer them.
const (
	KitInService KitState = "in-service"
	KitDueSoon   KitState = "due-soon"
	KitOverdue   KitState = "overdue"
	KitHeld      KitState = "in-quarantine"
	KitNotFit    KitState = "not-in-service"
)

// KitStates lists them.
func KitStates() []KitState {
	return []KitState{KitInService, KitDueSoon, KitOverdue, KitHeld, KitNotFit}
}

// overdue are the causes that say that a day has passed, or was never stated.
var overdue = []CauseKind{InspectionOverdue, InspectionMissing, KitOutOfDate, ItemTooOld}

// KitStateOf sums up why something may not be used and which clocks of it run. Any
// cause keeps it from use; which word stands for several, the quarantine's before the
// day's that has passed. A clock within its notice is due soon.
func KitStateOf(causes []Cause, due []Due, d civil.Day) KitState {
	has := func(kinds ...CauseKind) bool {
		return slices.ContainsFunc(causes, func(c Cause) bool { return slices.Contains(kinds, c.Kind) })
	}
	switch {
	case has(Quarantined):
		return KitHeld
	case has(overdue...):
		return KitOverdue
	case len(causes) > 0:
		return KitNotFit
	case slices.ContainsFunc(due, func(u Due) bool { return u.Soon(d) }):
		return KitDueSoon
	}
	return KitInService
}
