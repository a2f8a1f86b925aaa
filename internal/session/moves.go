package session

import (
	"fmt"
	"slices"
	"strings"

	"rungbook/internal/fault"
)

// Move is something done to a session; it is also the act that its entry names.
type Move string

// The moves.
const (
	ToPencil       Move = "pencilled"
	ToBook         Move = "booked"
	ToMove         Move = "moved"
	ToChangePeople Move = "people-changed"
	ToStandDown    Move = "stood-down"
	ToReopen       Move = "reopened"
	ToStart        Move = "started"
	ToSignOff      Move = "signed-off"
	ToCutShort     Move = "cut-short"
	ToPause        Move = "paused"
	ToResume       Move = "resumed"
	ToSwap         Move = "swapped" // staff, at the rig
	ToCallRoll     Move = "roll-called"
	ToCorrect      Move = "corrected"
	ToTypeUp       Move = "typed-up" // from paper; it then waits for its signature
	ToEnd          Move = "ended"    // nobody works any more; it is signed afterwards
)

// step is one row of the table of moves. A state of "" is a session that does
// not exist yet; a move to "" leaves the state as it is.
type step struct {
	move Move
	from []State
	to   State
	verb string // completes "a session can't be …"
}

var steps = []step{
	{ToPencil, []State{""}, Pencilled, "pencilled"},
	{ToBook, []State{"", Pencilled}, Booked, "booked"},
	{ToMove, []State{Pencilled, Booked}, "", "moved"},
	{ToChangePeople, []State{Pencilled, Booked}, "", "given other people"},
	{ToStandDown, []State{Pencilled, Booked}, StoodDown, "stood down"},
	{ToReopen, []State{StoodDown}, Booked, "reopened"},
	{ToStart, []State{Booked}, UnderWay, "started"},
	{ToSignOff, []State{UnderWay}, SignedOff, "signed off"},
	{ToCutShort, []State{UnderWay}, CutShort, "cut short"},
	{ToPause, []State{UnderWay}, "", "paused"},
	{ToResume, []State{UnderWay}, "", "resumed"},
	{ToSwap, []State{Booked, UnderWay}, "", "given other staff at the rig"},
	{ToCallRoll, []State{Booked, UnderWay}, "", "called over"},
	{ToEnd, []State{UnderWay}, "", "ended"},
	{ToCorrect, []State{SignedOff, CutShort}, "", "corrected"},
	{ToTypeUp, []State{Booked}, UnderWay, "typed up"},
}

func stepOf(m Move) (step, bool) {
	i := slices.IndexFunc(steps, func(s step) bool { return s.move == m })
	if i < 0 {
		return step{}, false
	}
	return steps[i], true
}

// Next returns the state of a session after a move. The error is fault.Conflict
// where the session's state does not allow it, naming the state found and those
// required; an unknown move is an internal error.
//
// What is booked never changes once it is under way: what ran is recorded by
// signing it off or cutting it short, and stays.
func Next(from State, m Move) (State, error) {
	s, ok := stepOf(m)
	if !ok {
		return from, fmt.Errorf("session: %q is not a move", m)
	}
	if !slices.Contains(s.from, from) {
		return from, fault.New(fault.Conflict, "A session that is %s can't be %s; it must be %s.", found(from), s.verb, required(s.from))
	}
	if s.to == "" {
		return from, nil
	}
	return s.to, nil
}

// MayChange is Next for those who keep the state themselves: nil where the move,
// named by its act, is allowed from a state.
func MayChange(from State, act string) error {
	_, err := Next(from, Move(act))
	return err
}

// Moves returns the moves that a session in a state allows, in the order of a
// session's life.
func Moves(from State) []Move {
	var out []Move
	for _, s := range steps {
		if slices.Contains(s.from, from) {
			out = append(out, s.move)
		}
	}
	return out
}

func found(s State) string {
	if s == "" {
		return "not there yet"
	}
	return Words(s)
}

func required(states []State) string {
	names := make([]string, len(states))
	for i, s := range states {
		names[i] = found(s)
	}
	return strings.Join(names, " or ")
}

// Words returns a state as people say it: "under way".
func Words(s State) string { return strings.ReplaceAll(string(s), "-", " ") }

// States lists the states in the order of a session's life.
func States() []State { return []State{Pencilled, Booked, UnderWay, SignedOff, CutShort, StoodDown} }

// DownReasons lists the reasons for standing down in the order forms show them.
func DownReasons() []DownReason { return []DownReason{DownWeather, DownRig, DownPeople, DownOther} }

// KnownDownReason reports whether the reason is one of the closed list.
func KnownDownReason(r DownReason) bool { return slices.Contains(DownReasons(), r) }

// StandDown returns the session stood down for a reason. The error is
// fault.Invalid at "reason" for a reason that is not of the list, else Next's.
func (s Session) StandDown(r DownReason) (Session, error) {
	if !KnownDownReason(r) {
		return s, fault.Field("reason", "%q is no reason for standing down; choose weather, rig, people not available or other.", r)
	}
	to, err := Next(s.State, ToStandDown)
	if err != nil {
		return s, err
	}
	s.State, s.Down = to, r
	return s, nil
}

// Reopen returns the session booked again; its reason for standing down is gone.
// Whoever reopens judges it first as if it were new.
func (s Session) Reopen() (Session, error) {
	to, err := Next(s.State, ToReopen)
	if err != nil {
		return s, err
	}
	s.State, s.Down = to, ""
	return s, nil
}
