package access

import "slices"

// Scope narrows what may be done in somebody's name by a token. It adds nothing:
// an actor with a scope may do what the table allows the actor and the scope
// leaves.
type Scope string

// The scopes. Unscoped is a person who signed in.
const (
	Unscoped  Scope = ""
	ScopeRead Scope = "read" // what only shows
	ScopeBook Scope = "book" // that, and the journey of booking
)

// Scopes lists those a token may have.
func Scopes() []Scope { return []Scope{ScopeRead, ScopeBook} }

// bookingActions are what ScopeBook leaves of what writes.
var bookingActions = []Action{BookSession, MoveSession, ChangePeople, StandDown, ReopenSession, AcceptCaution}

// Leaves reports whether the scope leaves an action to those the table allows it.
// A scope nobody knows leaves nothing.
func (s Scope) Leaves(a Action) bool {
	rule, ok := RuleOf(a)
	switch {
	case s == Unscoped:
		return true
	case !ok || !slices.Contains(Scopes(), s):
		return false
	case !rule.Writes:
		return true
	}
	return s == ScopeBook && slices.Contains(bookingActions, a)
}
