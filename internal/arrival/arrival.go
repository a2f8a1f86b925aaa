// Package arrival knows what is seen of people when they come onto the yard: of a
// trainee at the start of an intake, and who else is here. It knows nothing of
// anybody's health: of a fitness statement it knows that it was signed, and when.
// Read arrival.go first, then here.go.
package arrival

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
)

// State is whether a trainee came.
type State string

// The states.
const (
	Came       State = "came"
	DidNotCome State = "did-not-come"
	Replaced   State = "replaced" // by another trainee of the same employer
)

// Arrival is what was seen of one trainee at the start of an intake. Members that
// are nil were not seen, which stops.
type Arrival struct {
	Trainee       id.Trainee      `json:"trainee"`
	State         State           `json:"state"`
	At            civil.Instant   `json:"at,omitempty"` // when they came; 0 = they did not
	By            id.Trainee      `json:"replaced_by,omitempty"`
	Identity      *Signed         `json:"identity,omitempty"`      // a document with a picture was seen
	Number        *Signed         `json:"number,omitempty"`        // their number at the scheme was seen
	Prerequisites *Signed         `json:"prerequisites,omitempty"` // the papers that must come first were seen
	Fitness       *Signed         `json:"fitness,omitempty"`       // the statement was handed over
	FitnessAt     civil.Instant   `json:"fitness_at,omitempty"`    // when it was signed
	Induction     *Signed         `json:"induction,omitempty"`     // to this site
	Language      *Signed         `json:"language,omitempty"`      // they understand the language of the course
	Kit           []Slip          `json:"kit,omitempty"`           // handed out to them
	Issued        []id.Commitment `json:"issued,omitempty"`        // serials handed out, as entries of before say it; Slips reads both
	Items         []id.Item       `json:"items,omitempty"`         // those of Issued that are items on record
	Contact       id.Commitment   `json:"contact,omitempty"`       // whom to call
}

// Signed says who saw something, and when.
type Signed struct {
	By id.Person     `json:"by"`
	At civil.Instant `json:"at"`
}

// Check judges an arrival by itself.
func (a Arrival) Check() error {
	bad := fault.Fields{}
	switch a.State {
	case Came:
		if a.At == 0 {
			bad.Add("at", "Give the time at which they came.")
		}
	case DidNotCome, Replaced:
		if a.At != 0 || a.Identity != nil || a.Induction != nil {
			bad.Add("state", "Of one who did not come nothing was seen.")
		}
		if a.HoldsKit() {
			bad.Add("came", "Kit is handed out to them. Take it back first.")
		}
	default:
		bad.Add("state", "Say whether they came.")
	}
	if (a.State == Replaced) != (a.By != "") {
		bad.Add("state", "Name who came instead.")
	}
	if (a.Fitness == nil) != (a.FitnessAt == 0) {
		bad.Add("fitness_at", "Give the time at which the fitness statement was signed.")
	}
	if a.Fitness != nil && a.FitnessAt > a.Fitness.At {
		bad.Add("fitness_at", "The fitness statement would be signed later than it was seen.")
	}
	return bad.Err()
}

// Lack is a thing that a session asks of an arrival; a closed list.
type Lack string

// What may be lacking, as it completes "not on record …".
const (
	LacksArrival   Lack = "that they came"
	LacksIdentity  Lack = "that their identity was seen"
	LacksFitness   Lack = "a fitness statement signed before they attend"
	LacksInduction Lack = "the site induction"
	LacksAnew      Lack = "that their identity was seen at this part of the course"
	LacksSignedNew Lack = "a fitness statement signed at this part of the course"
)

// Lacks returns what is not on record of a trainee that must be before they take
// part in a session that starts at a moment; the statement must be signed by then.
// part is when the running part of a course began that is split over days (see
// PartBegan), 0 in its first part: identity is verified and a statement signed at
// each part. Source: requirements for training providers of the wind industry's
// training standard, V13, clause 9.1.10.
func (a Arrival) Lacks(start, part civil.Instant) []Lack {
	if a.State != Came {
		return []Lack{LacksArrival}
	}
	var out []Lack
	for _, x := range []struct {
		seen bool
		lack Lack
	}{
		{a.At <= start, LacksArrival}, {a.Identity != nil, LacksIdentity},
		{a.Fitness != nil && a.FitnessAt <= start, LacksFitness}, {a.Induction != nil, LacksInduction},
		{a.Identity == nil || a.Identity.At >= part, LacksAnew}, {a.Fitness == nil || a.FitnessAt >= part, LacksSignedNew},
	} {
		if !x.seen {
			out = append(out, x.lack)
		}
	}
	return out
}

// Paper is one thing that is seen of a trainee by ticking it off.
type Paper string

// The papers, in the order forms show them.
const (
	Identity      Paper = "identity"
	Number        Paper = "number"
	Prerequisites Paper = "prerequisites"
	Fitness       Paper = "fitness"
	Induction     Paper = "induction"
	Language      Paper = "language"
)

// Papers returns all of them.
func Papers() []Paper {
	return []Paper{Identity, Number, Prerequisites, Fitness, Induction, Language}
}

// Of returns the place of a paper in an arrival.
func (a *Arrival) Of(p Paper) **Signed {
	switch p {
	case Identity:
		return &a.Identity
	case Number:
		return &a.Number
	case Prerequisites:
		return &a.Prerequisites
	case Fitness:
		return &a.Fitness
	case Induction:
		return &a.Induction
	}
	return &a.Language
}

// Tick returns the arrival with exactly these papers seen. What was seen before
// keeps who saw it and when.
func (a Arrival) Tick(seen []Paper, now Signed) Arrival {
	for _, p := range Papers() {
		at := a.Of(p)
		switch is := slices.Contains(seen, p); {
		case is && *at == nil:
			s := now
			*at = &s
		case !is:
			*at = nil
		}
	}
	if a.Fitness == nil {
		a.FitnessAt = 0
	}
	return a
}
