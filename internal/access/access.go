// Package access holds who may do what: one table of role and action. An actor
// is an argument, never a context value.
package access

import (
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/people"
)

// Role of an account. An account has a set of roles; access is their union.
type Role string

// The roles.
const (
	Instructor    Role = "instructor"
	Administrator Role = "administrator"
	Auditor       Role = "auditor"
	TraineeRole   Role = "trainee"
)

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
}
