package rulebook

import (
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/verdict"
)

// Mark says how sure a figure is.
type Mark string

// The marks.
const (
	Read           Mark = "read"            // stood in a text that was read
	ReadSecond     Mark = "read-2"          // read on a page that quotes or sums up the rule
	Memory         Mark = "memory"          // known, not read again: check before relying on it
	CommonPractice Mark = "common-practice" // no published source
)

// Marks lists all marks, surest first.
func Marks() []Mark { return []Mark{Read, ReadSecond, Memory, CommonPractice} }

// Source is where a figure stands.
type Source struct {
	Document string `json:"document"`
	Version  string `json:"version,omitempty"`
	Clause   string `json:"clause,omitempty"`
	Mark     Mark   `json:"mark"`
}

// Line is one limit.
type Line struct {
	ID       string        `json:"id"`       // such as "eu-adult.daily-rest"
	Profile  id.Profile    `json:"profile"`  // whose limit it is
	Quantity Quantity      `json:"quantity"` // what it limits
	Value    int64         `json:"value"`    // in the quantity's unit
	Field    verdict.Field `json:"field"`    // whose confirmation it needs
	Source   Source        `json:"source"`
}

// Version is one dated state of the whole rule book. It counts from From until
// the day before the next version's From.
type Version struct {
	ID            id.RuleBook    `json:"id"`
	From          civil.Day      `json:"from"`
	Profiles      []id.Profile   `json:"profiles"` // those the centre selected
	Lines         []Line         `json:"lines"`
	Confirmations []Confirmation `json:"confirmations"`
}

// Confirmation is a responsible person's word that a field's limits are right
// for this centre.
type Confirmation struct {
	Field  verdict.Field `json:"field"`
	Person id.Person     `json:"person"`
	Day    civil.Day     `json:"day"`
}

// Quantity names what a line limits; quantities.go lists them with unit and the
// rule that judges them, if any.
type Quantity string
