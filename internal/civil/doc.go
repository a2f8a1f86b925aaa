// Package civil knows days, months, instants and periods as a training yard
// counts them: local days of one IANA zone, elapsed minutes between instants,
// calendar months with clamped ends. It does not know what time it is now; the
// clock comes in as an argument. Nothing else in Rungbook does calendar
// arithmetic. Read day.go first.
package civil
