package rig

import (
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/rulebook"
)

// Procedure is how a rescue goes: what is done one after the other, who does it,
// with what, and in how long a casualty is at a safe place.
type Procedure struct {
	Steps      []id.Commitment `json:"steps"`
	Roles      []PlanRole      `json:"roles"`
	SafeWithin civil.Minutes   `json:"safe_within_minutes"` // from the alarm to a safe place
	Kits       []id.Kit        `json:"kits,omitempty"`      // rescue kit that it needs
}

// PlanRole is what somebody does in a rescue.
type PlanRole struct {
	Name      id.Commitment `json:"name"`
	Does      id.Commitment `json:"does"`
	Competent bool          `json:"competent"`        // only the rescue-competent take it
	Count     int           `json:"count"`            // of people who take it
	Beside    bool          `json:"beside,omitempty"` // who takes it may take another one too
}

// The most that a plan holds: a rescue that needs more is not read under a tower.
const (
	MostSteps     = 20
	MostRoles     = 8
	MostOfOneRole = 9
)

// check judges a procedure with the time in which its plan reaches a casualty.
func (p *Procedure) check(bad fault.Fields, reach civil.Minutes, book rulebook.Version) {
	switch {
	case len(p.Steps) == 0:
		bad.Add("steps", "The plan has no steps. Write one a line, in the order they are done.")
	case len(p.Steps) > MostSteps:
		bad.Add("steps", "These are %d steps; at most %d are read in a rescue.", len(p.Steps), MostSteps)
	}
	p.checkRoles(bad)
	switch {
	case p.SafeWithin <= 0:
		bad.Add("safe_minutes", "In how many minutes a casualty is at a safe place is not stated.")
	case p.SafeWithin < reach:
		bad.Add("safe_minutes", "A casualty is not at a safe place before somebody has reached them, %s after the alarm.", reach)
	}
	if l, limited := book.Strictest(rulebook.DrillMinutes); limited && int64(p.SafeWithin) > l.Value {
		bad.Add("safe_minutes", "The plan takes %s to a safe place; at most %s (%s).", p.SafeWithin, civil.Minutes(l.Value), l.ID)
	}
}

func (p *Procedure) checkRoles(bad fault.Fields) {
	competent := false
	for _, r := range p.Roles {
		competent = competent || r.Competent
		if r.Name == "" || r.Does == "" {
			bad.Add("roles", "A role lacks its name, or what whoever takes it does.")
		}
		if r.Count < 1 || r.Count > MostOfOneRole {
			bad.Add("roles", "A role is taken by 1 to %d people.", MostOfOneRole)
		}
	}
	switch {
	case len(p.Roles) == 0:
		bad.Add("roles", "The plan has no roles.")
	case len(p.Roles) > MostRoles:
		bad.Add("roles", "These are %d roles; at most %d.", len(p.Roles), MostRoles)
	case !competent:
		bad.Add("roles", "No role is kept for the rescue-competent. Whoever reaches the casualty must be.")
	}
}

// TooSlow reports whether a drill took longer to a safe place than the version in
// force says a rescue takes. A version without a procedure says nothing of it.
func (p RescuePlan) TooSlow(d Drill) bool {
	return p.Procedure != nil && d.Minutes > p.Procedure.SafeWithin
}
