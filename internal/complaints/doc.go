// Package complaints is the journey of a complaint or an appeal: filed by whoever is
// on record here or written down as it came, answered, decided by somebody who had
// no part in it, opened again. Who may decide is the rule of complaint.MayDecide; what
// the records say of who had a part is gathered here.
//
// Read desk.go first, then ties.go.
package complaints
