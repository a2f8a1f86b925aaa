// Package demo invents a training yard, Carrowmoyle, with two years behind it
// and a busy fortnight ahead, so that a first visitor finds every page alive.
// Nothing in it is real: the place, the employers and all people are made up.
//
// The yard is a set of tables (yard.go, exercises.go, programmes.go, people.go,
// names.go) and a play on them: intakes arrive, their sessions are placed under
// the yard's own limits (diary.go, place.go), run (run.go) and lead to
// certificates. The same day and seed give the same scenario. It judges no rule:
// the diary keeps to the strictest limits of the rule book, and the tests let
// plan/check say that it did.
//
// Read scenario.go first, then intake.go.
package demo
