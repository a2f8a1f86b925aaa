package access

import (
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/people"
)

// Role of an account. An account has a set of roles; access is their union.
type Role string

// The roles. An account holds the first four. Responsible is never held: it is
// the role in which somebody acts by a dated appointment, and stands in the
// entry of that act.
const (
	Instructor    Role = "instructor"
	Administrator Role = "administrator"
	Auditor       Role = "auditor"
	TraineeRole   Role = "trainee"
	Responsible   Role = "responsible-person"
)

// Roles lists those that an account may hold.
func Roles() []Role { return []Role{Instructor, Administrator, Auditor, TraineeRole} }

// Account is a way in for a person. E-mail address and password are kept apart.
type Account struct {
	ID     id.Account `json:"id"`
	Person id.Person  `json:"person"`
	Roles  []Role     `json:"roles"`
	Ended  bool       `json:"ended,omitempty"`
}

// Actor is who acts: an account's person with the roles and appointments that
// stand on the day of the act.
type Actor struct {
	Account      id.Account
	Person       id.Person
	Roles        []Role
	Appointments []people.Appointment
	Today        civil.Day
	Scope        Scope // of the token that acts for them; Unscoped for themselves
}
