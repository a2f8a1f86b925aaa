package rig

import (
	"rungbook/internal/civil"
	"rungbook/internal/id"
)

// Yard is the place: one zone, one set of hours.
type Yard struct {
	ID         id.Yard       `json:"id"`
	Name       id.Commitment `json:"name"`
	Zone       string        `json:"zone"`            // IANA
	Latitude   int64         `json:"latitude_micro"`  // millionths of a degree, north positive
	Longitude  int64         `json:"longitude_micro"` // millionths of a degree, east positive
	Grid       civil.Minutes `json:"grid_minutes"`    // sessions start on multiples of it
	Open       []Window      `json:"open"`
	ClosedDays []ClosedDay   `json:"closed_days,omitempty"`
}

// Window is opening hours on some weekdays (ISO, 1 = Monday), in minutes since 00:00.
type Window struct {
	Weekdays []int         `json:"weekdays"`
	From     civil.Minutes `json:"from"`
	To       civil.Minutes `json:"to"`
}

// ClosedDay is a day without sessions.
type ClosedDay struct {
	Day    civil.Day     `json:"day"`
	Reason id.Commitment `json:"reason,omitempty"` // "St Patrick's Day"
}
