package curriculum

import (
	"rungbook/internal/civil"
	"rungbook/internal/id"
)

// Outcome is one thing a trainee must be able to do.
type Outcome struct {
	ID      id.Outcome    `json:"id"`
	Name    id.Commitment `json:"name"`
	Retired civil.Day     `json:"retired,omitempty"` // first day without it
}

// Setting says which ratio of the rule book binds an exercise.
type Setting string

// The settings of the training standard's ratio tables.
const (
	Theory          Setting = "theory"
	Practical       Setting = "practical"
	PracticalOnSite Setting = "practical-on-site"
	RescuePractical Setting = "rescue-practical"
)

// Exercise is the unit of training that fills one session.
type Exercise struct {
	ID       id.Exercise    `json:"id"`
	Name     id.Commitment  `json:"name"`
	Setting  Setting        `json:"setting"`
	Minutes  civil.Minutes  `json:"minutes"` // pauses included
	Setup    civil.Minutes  `json:"setup_minutes"`
	Strike   civil.Minutes  `json:"strike_minutes"`
	Pauses   []Pause        `json:"pauses,omitempty"`
	Stations []id.Station   `json:"stations"`
	GroupMin int            `json:"group_min"`
	GroupMax int            `json:"group_max"`
	Ratio    int            `json:"ratio"` // the exercise's own; the rule book's may be smaller and then binds
	RatioAt  []StationRatio `json:"ratio_at,omitempty"`
	After    []After        `json:"after,omitempty"`
	Requires []string       `json:"requires,omitempty"` // names of what a trainee must hold
	Uses     []KitUse       `json:"uses,omitempty"`
	Energy   []EnergyNeed   `json:"energy,omitempty"`
	Outcomes []id.Outcome   `json:"outcomes"`
	Retired  civil.Day      `json:"retired,omitempty"`
	Order    int            `json:"order"`
}

// Pause is a break inside a session, counted from its start.
type Pause struct {
	After   civil.Minutes `json:"after_minutes"`
	Minutes civil.Minutes `json:"minutes"`
}

// StationRatio replaces an exercise's ratio on one station if smaller.
type StationRatio struct {
	Station id.Station `json:"station"`
	Ratio   int        `json:"ratio"`
}

// After says which exercise must be done earlier, and how long before.
type After struct {
	Exercise id.Exercise   `json:"exercise"`
	MinGap   civil.Minutes `json:"min_gap_minutes,omitempty"`
	MaxGap   civil.Minutes `json:"max_gap_minutes,omitempty"` // 0 = no limit
}

// KitUse is course kit that one session takes.
type KitUse struct {
	Kit   id.Kit `json:"kit"`
	Count int    `json:"count"`
}

// EnergyNeed is the state in which an exercise needs a circuit: "live" or "dead".
type EnergyNeed struct {
	Circuit id.Circuit `json:"circuit"`
	State   string     `json:"state"`
}

// Programme is what leads to a certificate.
type Programme struct {
	ID        id.Programme  `json:"id"`
	Name      id.Commitment `json:"name"`
	Units     []Unit        `json:"units"`
	Exercises []id.Exercise `json:"exercises"`         // in teaching order
	Hours     civil.Minutes `json:"hours_minutes"`     // contact minutes it asks for
	SpanDays  int           `json:"span_days"`         // calendar days within which it is completed; 0 = no limit
	Validity  string        `json:"validity"`          // rule-book line that gives its months, "" = no end
	Retired   civil.Day     `json:"retired,omitempty"` // first day on which no intake is taken in for it
	Order     int           `json:"order"`
}

// Unit is a part of a programme with its outcomes.
type Unit struct {
	Name     id.Commitment `json:"name"`
	Outcomes []id.Outcome  `json:"outcomes"`
}
