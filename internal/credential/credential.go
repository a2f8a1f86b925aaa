package credential

import (
	"rungbook/internal/civil"
	"rungbook/internal/id"
)

// Kind of a certificate.
type Kind string

// The kinds. What a kind entitles to is written in Certificate.Holds.
const (
	ForProgramme Kind = "programme" // a trainee's completed programme
	ToTeach      Kind = "teaches"   // instructor qualification for one exercise
	ToRescue     Kind = "rescue"    // rescue competence
	FirstAid     Kind = "first-aid"
	Medical      Kind = "medical"    // fitness; the outcome only, never a diagnosis
	TakenOver    Kind = "taken-over" // given elsewhere, seen and recorded here
)

// State of a certificate.
type State string

// The states. Lapse is not a state: it follows from the last valid day.
const (
	Valid     State = "valid"
	Suspended State = "suspended"
	Withdrawn State = "withdrawn"
	Void      State = "void"
	Replaced  State = "replaced"
)

// Certificate is a dated credential of a person. It is valid from From through
// Until, local days, both counted; Until 0 = no end stated.
type Certificate struct {
	ID        id.Certificate `json:"id"`
	Number    int            `json:"number"` // the centre's own running number, shown as 1042
	Person    id.Person      `json:"person"`
	Kind      Kind           `json:"kind"`
	Programme id.Programme   `json:"programme,omitempty"`
	Exercise  id.Exercise    `json:"exercise,omitempty"` // of ToTeach
	Holds     string         `json:"holds,omitempty"`    // the name exercises require, such as "medical-height"
	Validity  string         `json:"validity,omitempty"` // rule-book line of its terms, "" = has no end or is not stated
	Completed civil.Day      `json:"completed"`
	From      civil.Day      `json:"from"`
	Until     civil.Day      `json:"until,omitempty"`
	// CountsFrom and Months say how Until came about: so many calendar months
	// from that day. A refresher that keeps the date keeps CountsFrom and adds
	// months, so that a month's end does not drift: 31 Aug, 28 Feb, 31 Aug. Both
	// are 0 where Until is a printed date.
	CountsFrom civil.Day  `json:"counts_from,omitempty"`
	Months     int        `json:"months,omitempty"`
	State      State      `json:"state"`
	Intake     id.Intake  `json:"intake,omitempty"`
	Trainee    id.Trainee `json:"trainee,omitempty"` // the enrolment it was earned in
	// Why says in somebody's words what the last move was made for; "" on one that
	// is as it was recorded.
	Why id.Commitment `json:"why,omitempty"`
}

// On reports whether the certificate is valid on a local day. One whose first day
// is not stated is valid on none.
func (c Certificate) On(d civil.Day) bool {
	return c.State == Valid && c.From != 0 && c.From <= d && (c.Until == 0 || d <= c.Until)
}
