package rig

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
)

// Isolate cuts a circuit off under a permit. The lock of the person in charge goes
// on with it, so that no circuit is isolated without a lock. authorised is the
// answer of Authorised about that person.
func (i Isolation) Isolate(permit id.Commitment, inCharge id.Person, authorised bool, now civil.Instant) (Isolation, error) {
	bad := fault.Fields{}
	switch {
	case i.Locked():
		return i, fault.New(fault.Conflict, "It is isolated already. Put your own lock on it.")
	case inCharge == "":
		bad.Add("in_charge", "Name the person in charge.")
	case !authorised:
		bad.Add("in_charge", "This person is not authorised for this circuit today.")
	}
	if permit == "" {
		bad.Add("permit", "Give the permit's number.")
	}
	if err := bad.Err(); err != nil {
		return i, err
	}
	return Isolation{Circuit: i.Circuit, State: EnergyIsolated, Since: now, Permit: permit, InCharge: inCharge, Locks: []Lock{{Person: inCharge, On: now}}}, nil
}

// LockOn puts a person's own lock on an isolated circuit.
func (i Isolation) LockOn(p id.Person, now civil.Instant) (Isolation, error) {
	switch {
	case !i.Locked():
		return i, fault.New(fault.Conflict, "It is not isolated. Isolate it first.")
	case p == "":
		return i, fault.Field("person", "Say whose lock it is.")
	case i.LockedBy(p):
		return i, fault.Field("person", "Their lock is on already.")
	}
	i.Locks = append(slices.Clip(slices.Clone(i.Locks)), Lock{Person: p, On: now})
	return i, nil
}

// TestDead records a test. Error: fault.Fields; a test that lacks anything is none.
func (i Isolation) TestDead(t DeadTest, authorised bool) (Isolation, error) {
	if i.State != EnergyIsolated || !i.Locked() {
		return i, fault.New(fault.Conflict, "It is not isolated and locked. Only then it is tested.")
	}
	bad := fault.Fields{}
	switch {
	case !i.LockedBy(t.By):
		bad.Add("by", "The lock of whoever tests must be on.")
	case !authorised:
		bad.Add("by", "Whoever tests must be authorised for this circuit.")
	}
	if t.Instrument == "" {
		bad.Add("instrument", "Name the instrument.")
	}
	for name, ok := range map[string]bool{"proved_before": t.ProvedBefore, "proved_after": t.ProvedAfter} {
		if !ok {
			bad.Add(name, "Prove the instrument on a known source. Without it the circuit is not tested.")
		}
	}
	if !t.StoredReleased {
		bad.Add("stored_released", "Release stored energy: springs, pressure, charge, raised parts.")
	}
	if err := bad.Err(); err != nil {
		return i, err
	}
	i.State, i.Since, i.Test = EnergyDead, t.At, &t
	return i, nil
}

// LockOff takes off the lock of a person. by is who says so: the owner or the person
// in charge who saw it; absent: the owner has left, and a responsible person answers
// for it. With the last lock the test ends, and nothing holds the circuit any more.
// The person in charge takes theirs off last.
func (i Isolation) LockOff(p, by id.Person, absent bool, now civil.Instant) (Isolation, error) {
	n := slices.IndexFunc(i.Locks, func(l Lock) bool { return l.Person == p && l.Off == 0 })
	switch {
	case n < 0:
		return i, fault.Field("person", "Their lock is not on.")
	case by != p && by != i.InCharge && !absent:
		return i, fault.Field("person", "A lock is taken off by its owner. The person in charge may note that they saw it.")
	case absent && by == p:
		absent = false
	}
	if p == i.InCharge && len(i.On()) > 1 {
		return i, fault.Field("person", "The person in charge takes their lock off last.")
	}
	i.Locks = slices.Clone(i.Locks)
	i.Locks[n].Off, i.Locks[n].OffBy, i.Locks[n].Absent = now, by, absent
	if !i.Locked() {
		i.State, i.Since, i.Test = EnergyLocksOff, now, nil
	}
	return i, nil
}

// Handover gives the isolation to another authorised person, whose lock is on.
func (i Isolation) Handover(to id.Person, authorised bool) (Isolation, error) {
	switch {
	case !i.Locked():
		return i, fault.New(fault.Conflict, "It is not isolated.")
	case to == i.InCharge:
		return i, fault.Field("to", "They are in charge already.")
	case !authorised:
		return i, fault.Field("to", "This person is not authorised for this circuit today.")
	case !i.LockedBy(to):
		return i, fault.Field("to", "Their own lock goes on first.")
	}
	i.InCharge = to
	return i, nil
}

// Energise makes a circuit live: never while a lock is on. Who says that it is live
// is authorised; clear: everybody is clear and told, tools and earths are away.
func (i Isolation) Energise(authorised, clear bool, now civil.Instant) (Isolation, error) {
	switch {
	case i.Locked():
		return i, fault.Field("clear", "It stays dead: a lock is on. Each person takes off their own first.")
	case i.State == EnergyLive:
		return i, fault.New(fault.Conflict, "It is live already.")
	case !authorised:
		return i, fault.Field("clear", "You are not authorised for this circuit today.")
	case !clear:
		return i, fault.Field("clear", "See that everybody is clear and told, and tools and earths are away.")
	}
	return Isolation{Circuit: i.Circuit, State: EnergyLive, Since: now}, nil
}

// Doubt says that the state is no longer sure: a test is lost, and what was live or
// without a lock is unknown. It never makes a circuit safer than it was.
func (i Isolation) Doubt(now civil.Instant) (Isolation, error) {
	switch {
	case i.State == EnergyIsolated || i.State == EnergyUnknown || i.State == "":
		return i, fault.New(fault.Conflict, "It is taken for live already.")
	case i.Locked():
		i.State, i.Since, i.Test = EnergyIsolated, now, nil
	default:
		i = Isolation{Circuit: i.Circuit, State: EnergyUnknown, Since: now}
	}
	return i, nil
}
