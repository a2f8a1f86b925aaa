// Package people holds the records of persons in their roles: staff, trainees,
// intakes, employers, appointments, duties and absences. It knows no names: a
// name is a commitment whose text is kept apart and can be erased. It does not
// know what anybody may do; that is access.
//
// Read people.go for the records, check.go for what must be so in each.
package people
