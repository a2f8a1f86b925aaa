package credential

import (
	"fmt"
	"slices"
	"strings"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
)

// Move is something done to a certificate on record; it is also the act that its
// entry names.
type Move string

// The moves. A withdrawn certificate and a void one stay so: what counts again is
// recorded anew, from the paper.
const (
	ToCorrect  Move = "corrected"    // its days were recorded otherwise than the paper says
	ToSuspend  Move = "suspended"    // it counts no more until it stands again
	ToStand    Move = "stands-again" // after it was suspended
	ToWithdraw Move = "withdrawn"    // it counts no more, for good
	ToVoid     Move = "void"         // it never was: recorded in error
)

// step is one row of the table of moves; a move to "" leaves the state as it is.
type step struct {
	move Move
	from []State
	to   State
	verb string // completes "a certificate can't be …"
	past bool   // it was so from the first day on, not only from today
}

var steps = []step{
	{ToCorrect, []State{Valid, Suspended, Withdrawn, Replaced}, "", "corrected", true},
	{ToSuspend, []State{Valid}, Suspended, "suspended", false},
	{ToStand, []State{Suspended}, Valid, "made to stand again", false},
	{ToWithdraw, []State{Valid, Suspended}, Withdrawn, "withdrawn", false},
	{ToVoid, []State{Valid, Suspended, Withdrawn, Replaced}, Void, "declared void", true},
}

// Moves lists what may be done to a certificate in a state, in the order that
// forms show.
func Moves(from State) []Move {
	var out []Move
	for _, s := range steps {
		if slices.Contains(s.from, from) {
			out = append(out, s.move)
		}
	}
	return out
}

// Past reports whether a move says how things were from the certificate's first
// day on. The others count from the day on which they are made.
func (m Move) Past() bool {
	s, _ := stepOf(m)
	return s.past
}

func stepOf(m Move) (step, bool) {
	i := slices.IndexFunc(steps, func(s step) bool { return s.move == m })
	if i < 0 {
		return step{}, false
	}
	return steps[i], true
}

// Next returns the state of a certificate after a move. The error is
// fault.Conflict where its state does not allow it, naming the state found and
// those required; an unknown move is an internal error.
func Next(from State, m Move) (State, error) {
	s, ok := stepOf(m)
	if !ok {
		return from, fmt.Errorf("credential: %q is not a move", m)
	}
	if !slices.Contains(s.from, from) {
		var required []string
		for _, x := range s.from {
			required = append(required, string(x))
		}
		return from, fault.New(fault.Conflict, "A certificate that is %s can't be %s; it must be %s.", from, s.verb, strings.Join(required, " or "))
	}
	if s.to == "" {
		return from, nil
	}
	return s.to, nil
}

// Days are those of a paper, local: when it was completed, and the first and the
// last valid day, both counted.
type Days struct{ Completed, From, Until civil.Day }

// Check judges days that are to stand on a certificate; its messages are about
// "completed", "from" and "until".
func (d Days) Check(today civil.Day) fault.Fields {
	bad := fault.Fields{}
	if d.Completed == 0 {
		bad.Add("completed", "The day it was completed is not stated. Take it from the paper.")
	} else if d.Completed > today {
		bad.Add("completed", "%s is still to come. Give the day on which it was completed.", d.Completed)
	}
	if d.From == 0 {
		bad.Add("from", "The first valid day is not stated. Take it from the paper.")
	}
	if d.Until == 0 {
		bad.Add("until", "The last valid day is not stated. Take it from the paper.")
	} else if d.Until < d.From {
		bad.Add("until", "The last valid day, %s, lies before the first, %s.", d.Until, d.From)
	}
	return bad
}

// Days returns the days of a certificate.
func (c Certificate) Days() Days { return Days{c.Completed, c.From, c.Until} }

// WithDays returns the certificate with the days of its paper. How an earlier last
// day came about is dropped with it: the new one is as printed.
func (c Certificate) WithDays(d Days) Certificate {
	if d.Until != c.Until {
		c.CountsFrom, c.Months = 0, 0
	}
	c.Completed, c.From, c.Until = d.Completed, d.From, d.Until
	return c
}
