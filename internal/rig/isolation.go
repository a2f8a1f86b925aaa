package rig

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/id"
)

// EnergyState is what is recorded of a circuit.
type EnergyState string

// The states. Only live and tested-dead let an exercise start; a circuit without
// a record is unknown.
const (
	EnergyUnknown  EnergyState = "unknown"     // nobody has said, or somebody is no longer sure
	EnergyLive     EnergyState = "live"        // its supply is on, or may be put on from its own switch
	EnergyIsolated EnergyState = "isolated"    // cut off and locked, not tested: to be treated as live
	EnergyDead     EnergyState = "tested-dead" // isolated, locked, stored energy released, tested
	EnergyLocksOff EnergyState = "locks-off"   // cut off, but no lock holds it so: neither dead nor live
)

// Isolation is the recorded state of one circuit; its id is the circuit's. Each
// move is a revision. The order of an isolation (cut off, release stored energy,
// lock, test) is that of the training standard for control of hazardous energy,
// V4 of 2 May 2025, page 37.
type Isolation struct {
	Circuit  id.Circuit    `json:"circuit"`
	State    EnergyState   `json:"state"`
	Since    civil.Instant `json:"since"`               // of the move to State
	Permit   id.Commitment `json:"permit,omitempty"`    // of the isolation that stands; "" while live
	InCharge id.Person     `json:"in_charge,omitempty"` // who answers for it
	Locks    []Lock        `json:"locks,omitempty"`     // of this permit, those taken off too, in order
	Test     *DeadTest     `json:"test,omitempty"`      // nil = not tested
}

// Lock is one person's own lock.
type Lock struct {
	Person id.Person     `json:"person"`
	On     civil.Instant `json:"on"`
	Off    civil.Instant `json:"off,omitempty"` // 0 = it is on
	OffBy  id.Person     `json:"off_by,omitempty"`
	// Absent: somebody else took it off, because its owner had left. A responsible
	// person answers for that.
	Absent bool `json:"absent,omitempty"`
}

// DeadTest is a test that a circuit is dead. Without all three it is none.
type DeadTest struct {
	By             id.Person     `json:"by"`
	At             civil.Instant `json:"at"`
	Instrument     id.Commitment `json:"instrument"`
	ProvedBefore   bool          `json:"proved_before"` // on a known source
	ProvedAfter    bool          `json:"proved_after"`
	StoredReleased bool          `json:"stored_released"`
}

// On returns the locks that are on.
func (i Isolation) On() []Lock {
	var out []Lock
	for _, l := range i.Locks {
		if l.Off == 0 {
			out = append(out, l)
		}
	}
	return out
}

// LockedBy reports whether a person's own lock is on.
func (i Isolation) LockedBy(p id.Person) bool {
	return slices.ContainsFunc(i.On(), func(l Lock) bool { return l.Person == p })
}

// Locked reports whether any lock is on.
func (i Isolation) Locked() bool { return len(i.On()) > 0 }

// Dead reports whether people may work on the circuit as dead: what makes it so is
// looked at again, and not taken from the state's word alone.
func (i Isolation) Dead() bool {
	t := i.Test
	return i.State == EnergyDead && i.Locked() && i.Permit != "" && i.LockedBy(i.InCharge) &&
		t != nil && t.ProvedBefore && t.ProvedAfter && t.StoredReleased
}

// Live reports whether the circuit is live and no lock holds it.
func (i Isolation) Live() bool { return i.State == EnergyLive && !i.Locked() }

// Authority lets a person be in charge of a circuit's isolation, by day, both
// ends counted. Somebody else gives it.
type Authority struct {
	ID      id.Authority `json:"id"`
	Circuit id.Circuit   `json:"circuit"`
	Person  id.Person    `json:"person"`
	From    civil.Day    `json:"from"`
	Until   civil.Day    `json:"until"`
	By      id.Person    `json:"by"`
	Ended   bool         `json:"ended,omitempty"` // taken back
}

// On reports whether it stands on a day. One that a person gave to themselves, or
// that nobody gave, stands on none.
func (a Authority) On(d civil.Day) bool {
	return !a.Ended && a.By != "" && a.By != a.Person && a.From <= d && d <= a.Until
}

// Authorised reports whether a person may be in charge of a circuit on a day.
// appointed: they are the responsible person for energy, who is so for all.
func Authorised(c id.Circuit, p id.Person, d civil.Day, appointed bool, list []Authority) bool {
	return p != "" && (appointed || slices.ContainsFunc(list, func(a Authority) bool {
		return a.Circuit == c && a.Person == p && a.On(d)
	}))
}
