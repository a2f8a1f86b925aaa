package people

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/verdict"
)

// Person is one human being. Roles are records of their own that point here.
type Person struct {
	ID       id.Person     `json:"id"`
	Name     id.Commitment `json:"name"`
	Born     id.Commitment `json:"born,omitempty"` // birth date
	Employer id.Employer   `json:"employer,omitempty"`
	Number   id.Commitment `json:"number,omitempty"` // the person's number at their employer or scheme
}

// Employer is the firm a person works for.
type Employer struct {
	ID      id.Employer   `json:"id"`
	Name    id.Commitment `json:"name"`
	Retired civil.Day     `json:"retired,omitempty"` // first day on which it is not offered any more
}

// Staff says that a person works at the yard from From to Until (last day, 0 =
// no end) on the given weekdays (ISO, 1 = Monday; empty = not stated, which
// stops). Rest lists the profiles that bind them; empty = not stated, which stops.
type Staff struct {
	ID       id.Person    `json:"id"` // the person
	From     civil.Day    `json:"from"`
	Until    civil.Day    `json:"until,omitempty"`
	Weekdays []int        `json:"weekdays"`
	Rest     []id.Profile `json:"rest"`
}

// Works reports whether the staff record covers the day.
func (s Staff) Works(d civil.Day) bool {
	return s.From <= d && (s.Until == 0 || d <= s.Until) && slices.Contains(s.Weekdays, d.Weekday())
}

// Intake is the trainees who come together under one contract and window.
type Intake struct {
	ID        id.Intake     `json:"id"`
	Name      id.Commitment `json:"name"`
	Employer  id.Employer   `json:"employer"`
	Programme id.Programme  `json:"programme"`
	From      civil.Day     `json:"from"`
	Until     civil.Day     `json:"until"` // last day by whose end every need is to be done
	Alone     bool          `json:"alone"` // shares no session with another intake
}

// OwnCode is what a person countersigns their results with. The code itself stands
// nowhere: Hash commits to its argon2id hash, which stands apart.
type OwnCode struct {
	Person id.Person     `json:"person"`
	Hash   id.Commitment `json:"hash"`
	Anew   *CodeAnew     `json:"anew,omitempty"` // nil of the first one
}

// CodeAnew says on whose word somebody who forgot their code chose another. What they
// signed with the one before stays signed: the entry of that code holds its commitment.
type CodeAnew struct {
	By       id.Person    `json:"by"`
	Identity IdentitySeen `json:"identity"`
}

// IdentitySeen is how somebody's identity was seen; a closed list.
type IdentitySeen string

// How identity can be seen.
const (
	PictureDocument IdentitySeen = "picture-document" // a document with their picture
	KnownInPerson   IdentitySeen = "known-in-person"  // to who says so
)

// IdentitiesSeen lists the ways in the order forms show them.
func IdentitiesSeen() []IdentitySeen { return []IdentitySeen{PictureDocument, KnownInPerson} }

// Trainee is a person in an intake. Needs are the exercises of this enrolment.
type Trainee struct {
	ID     id.Trainee    `json:"id"`
	Person id.Person     `json:"person"`
	Intake id.Intake     `json:"intake"`
	Needs  []id.Exercise `json:"needs"`
	Rest   []id.Profile  `json:"rest"` // profiles that bind them; empty = not stated, which stops
}

// Appointment names a responsible person for a field, by day, both ends counted.
type Appointment struct {
	ID     id.Appointment `json:"id"`
	Person id.Person      `json:"person"`
	Field  verdict.Field  `json:"field"`
	From   civil.Day      `json:"from"`
	Until  civil.Day      `json:"until"`
}

// On reports whether the appointment stands on a day.
func (a Appointment) On(d civil.Day) bool { return a.From <= d && d <= a.Until }

// DutyKind is what a duty is; a closed list.
type DutyKind string

// The kinds of duty.
const (
	DrillDuty       DutyKind = "drill"
	InspectionDuty  DutyKind = "inspection"
	MaintenanceDuty DutyKind = "maintenance"
	ElsewhereDuty   DutyKind = "elsewhere" // work declared elsewhere, or a last shift before the course
	OfficeDuty      DutyKind = "office"
)

// Duty is time of a person that is not a session but counts for rest and clashes.
type Duty struct {
	ID     id.Duty       `json:"id"`
	Person id.Person     `json:"person"`
	Kind   DutyKind      `json:"kind"`
	Start  civil.Instant `json:"start"`
	End    civil.Instant `json:"end"`
	Ended  bool          `json:"ended,omitempty"` // taken back
}

// Away is a span in which a person is not available. The cause is not recorded.
type Away struct {
	ID     id.Away       `json:"id"`
	Person id.Person     `json:"person"`
	Start  civil.Instant `json:"start"`
	End    civil.Instant `json:"end"`
	Ended  bool          `json:"ended,omitempty"`
}

// NoHeight says that a member of staff does not work at height from From to
// Until, both days counted: on those days they teach nothing that may be run at
// height and stand by as nobody's rescuer. The cause is not recorded.
type NoHeight struct {
	ID     id.NoHeight `json:"id"`
	Person id.Person   `json:"person"`
	From   civil.Day   `json:"from"`
	Until  civil.Day   `json:"until"`
	Ended  bool        `json:"ended,omitempty"` // taken back
}
