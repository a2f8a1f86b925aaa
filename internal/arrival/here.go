package arrival

import (
	"cmp"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
)

// Stay is a time on the yard of somebody who signs in and out: a visitor, one of
// the staff, or a trainee who leaves.
type Stay struct {
	ID     id.Stay       `json:"id"`
	Person id.Person     `json:"person,omitempty"` // "" = a visitor
	Name   id.Commitment `json:"name,omitempty"`   // of a visitor, and whom they visit
	In     civil.Instant `json:"in"`
	Out    civil.Instant `json:"out,omitempty"` // 0 = they are here
}

// Check judges a stay by itself.
func (s Stay) Check() error {
	switch {
	case (s.Person == "") == (s.Name == ""):
		return fault.Field("name", "Give a name, or choose one of the staff.")
	case s.Out != 0 && s.Out < s.In:
		return fault.Field("out", "They would leave before they came.")
	}
	return nil
}

// How somebody was last seen; a closed list.
type How string

// The ways.
const (
	Arrived   How = "came"
	InSession How = "in a session"
	SignedIn  How = "signed in"
	LeftOne   How = "left a session"
	SignedOut How = "signed out"
)

// Sighting is one time at which somebody was seen on the yard.
type Sighting struct {
	Who   string // person id; of a visitor their stay's
	How   How
	At    civil.Instant
	Stay  id.Stay    // of those who signed in
	Where id.Session // of sessions
}

// Here returns who is on the yard: of each body the latest sighting, unless they
// signed out at it. Who is in a session by its roll is here, whatever else was
// written. Nobody leaves the list by time alone: who was not seen to go may lie
// somewhere. The latest seen stand first.
func Here(all []Sighting) []Sighting {
	last := map[string]Sighting{}
	for _, s := range all {
		was, known := last[s.Who]
		if !known || later(s, was) {
			last[s.Who] = s
		}
	}
	var out []Sighting
	for _, s := range last {
		if s.How != SignedOut {
			out = append(out, s)
		}
	}
	slices.SortFunc(out, func(a, b Sighting) int { return cmp.Or(cmp.Compare(b.At, a.At), cmp.Compare(a.Who, b.Who)) })
	return out
}

// later reports whether a says more of somebody than b: an open presence more than
// all else, then the later one, then by how they were seen.
func later(a, b Sighting) bool {
	if open := a.How == InSession; open != (b.How == InSession) {
		return open
	}
	return cmp.Or(cmp.Compare(a.At, b.At), cmp.Compare(rank(a.How), rank(b.How))) > 0
}

func rank(h How) int { return slices.Index([]How{LeftOne, Arrived, SignedIn, SignedOut}, h) }
