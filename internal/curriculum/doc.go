// Package curriculum holds what is taught: outcomes, exercises that deliver
// them, and programmes that lead to a certificate. It knows no people and no
// dates of sessions.
//
// Read curriculum.go for the records, then catalogue.go for the questions:
// which exercise delivers what where, and what must be done first. check.go
// judges the records themselves.
package curriculum
