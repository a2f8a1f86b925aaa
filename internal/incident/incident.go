// Package incident knows what went wrong or nearly did, and what may not go on
// until somebody has settled it. It knows no names: who was hurt or at fault is
// no part of an incident. It does not know the records; planning asks Stop what
// an incident stops. Read incident.go first, then stop.go.
package incident

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/id"
)

// Kind is what happened; a closed list.
type Kind string

// The kinds, in the order forms show them.
const (
	FallArrested  Kind = "fall-arrested"
	KitOverloaded Kind = "kit-overloaded"
	DroppedObject Kind = "dropped-object"
	Electric      Kind = "electric"
	HandInjury    Kind = "hand-injury"
	OtherInjury   Kind = "other-injury"
	NearMiss      Kind = "near-miss"
	Other         Kind = "other"
)

// Kinds returns every kind in the order forms show them.
func Kinds() []Kind {
	return []Kind{NearMiss, DroppedObject, FallArrested, KitOverloaded, HandInjury, OtherInjury, Electric, Other}
}

// LoadsKit reports whether the kind loads kit as no session does, so that the kit
// is out of use until a competent person has looked at it.
func (k Kind) LoadsKit() bool { return k == FallArrested || k == KitOverloaded }

// Incident is an incident or near miss, without names.
type Incident struct {
	ID       id.Incident   `json:"id"`
	Kind     Kind          `json:"kind"`
	At       civil.Instant `json:"at"`
	Session  id.Session    `json:"session,omitempty"`  // in which it was; the next two are the session's
	Exercise id.Exercise   `json:"exercise,omitempty"` // "" = in no session
	Station  id.Station    `json:"station,omitempty"`
	Rig      id.Rig        `json:"rig,omitempty"`   // of the station, or alone; "" = elsewhere on the yard
	Kit      id.Kit        `json:"kit,omitempty"`   // that took the load
	Piece    int           `json:"piece,omitempty"` // of the kit, where one piece alone took it
	Item     id.Item       `json:"item,omitempty"`  // of the kit, where one item alone took it
	Note     id.Commitment `json:"note,omitempty"`
	Class    *Class        `json:"class,omitempty"`    // nil = not classed yet
	Release  *Release      `json:"release,omitempty"`  // nil = none on file
	Told     *Signed       `json:"told,omitempty"`     // when the scheme was told
	KitBack  *Signed       `json:"kit_back,omitempty"` // when a competent person gave the kit back that it holds itself

	// Quarantines of what took the load, entered when it was named. An incident of a
	// time before that has none and holds its kit itself; see KitOut.
	Quarantines []id.Quarantine `json:"quarantines,omitempty"`
}

// Load is what took a load: a whole kit, one piece of it, or one item.
type Load struct {
	Kit   id.Kit
	Piece int     // 0 = not told apart
	Item  id.Item // "" = not told apart
}

// Load returns what took the load; zero where nothing is named.
func (i Incident) Load() Load { return Load{i.Kit, i.Piece, i.Item} }

// Took returns the incident with what took the load.
func (i Incident) Took(l Load) Incident {
	i.Kit, i.Piece, i.Item = l.Kit, l.Piece, l.Item
	return i
}

// Class is what a responsible person made of an incident.
type Class struct {
	By          id.Person      `json:"by"`
	At          civil.Instant  `json:"at"`
	Significant bool           `json:"significant"`
	Shared      bool           `json:"shared,omitempty"`     // the cause may be at work in every programme
	Programmes  []id.Programme `json:"programmes,omitempty"` // whose exercises stop, where the cause is not shared; sorted
	NoKit       bool           `json:"no_kit,omitempty"`     // no kit of the yard took the load
}

// Signed says who did something, and when.
type Signed struct {
	By id.Person     `json:"by"`
	At civil.Instant `json:"at"`
}

// Release is the written release that ends a stop.
type Release struct {
	By   id.Person     `json:"by"`
	At   civil.Instant `json:"at"`
	Day  civil.Day     `json:"day"`  // of the letter
	Text id.Commitment `json:"text"` // who released it, and the letter's reference
}

// Within returns how long after an incident the scheme must be told: of the rule
// book's times the shortest where it is significant or not classed yet, else the
// longest. ok is false where the rule book states none.
func (i Incident) Within(times []civil.Minutes) (within civil.Minutes, ok bool) {
	switch {
	case len(times) == 0:
		return 0, false
	case i.Class != nil && !i.Class.Significant:
		return slices.Max(times), true
	}
	return slices.Min(times), true
}

// Open reports whether anything of the incident waits: it is to be classed, it
// stops something, or the scheme is to be told.
func (i Incident) Open() bool {
	_, stops := i.Stop()
	_, kit := i.KitOut()
	return i.Class == nil || stops || kit || i.Told == nil
}
