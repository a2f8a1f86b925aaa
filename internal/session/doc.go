// Package session holds booked sessions, the moves between their states, and
// what was found when they ran: attendance and results. It judges no rule of a
// plan and knows no names.
//
// Read session.go for the records, then moves.go: the one table of what may
// become of a session. roll.go and held.go are the roll and the pauses while it
// runs; run.go says what attendance and results amount to.
package session
