package rig

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/rulebook"
)

// CheckRescuePlan judges a version of a rescue plan that is to be approved, with
// the versions of the same plan before it. It returns a form error with one
// sentence per field.
func CheckRescuePlan(next RescuePlan, before []RescuePlan, book rulebook.Version, today civil.Day) error {
	bad := fault.Fields{}
	latest := 0
	for _, p := range before {
		if p.ID == next.ID {
			latest = max(latest, p.Version)
		}
	}
	if next.Version != latest+1 {
		bad.Add("version", "This is version %d; the next one is %d.", next.Version, latest+1)
	}
	if next.Text == "" {
		bad.Add("text", "The plan has no text.")
	}
	if len(next.Stations) == 0 {
		bad.Add("stations", "The plan covers no station.")
	}
	if next.Author == "" {
		bad.Add("author", "Who wrote the plan is not stated.")
	}
	switch {
	case next.ApprovedBy == "":
		bad.Add("approved_by", "Nobody has approved the plan.")
	case next.ApprovedBy == next.Author:
		bad.Add("approved_by", "The author can't approve their own plan; somebody else must.")
	}
	if next.InForce < today {
		bad.Add("in_force", "The first day is not stated or before today.")
	}
	if next.ReviewBy < max(next.InForce, today) {
		bad.Add("review_by", "The day of review is not stated or before the first day.")
	}
	if next.Target <= 0 {
		bad.Add("target_minutes", "The time to reach a casualty is not stated.")
	}
	if l, limited := book.Strictest(rulebook.RescueTarget); limited && next.Target > civil.Minutes(l.Value) {
		bad.Add("target_minutes", "The plan takes %s to reach a casualty; at most %s (%s).", next.Target, civil.Minutes(l.Value), l.ID)
	}
	if next.Procedure != nil {
		next.Procedure.check(bad, next.Target, book)
	}
	return bad.Err()
}

// CheckInspection judges an inspection that is to be recorded.
func CheckInspection(i Inspection, book rulebook.Version, today civil.Day) error {
	bad := fault.Fields{}
	if i.Subject == "" {
		bad.Add("subject", "What was inspected is not stated.")
	}
	l, ok := book.Line(i.Line)
	if !ok || !recurs(l) {
		bad.Add("line", "%q is not an inspection of the rule book.", i.Line)
	}
	if i.Done == 0 || i.Done > today {
		bad.Add("done", "The day of the inspection is not stated or after today.")
	}
	if i.By == "" {
		bad.Add("by", "Who inspected is not stated.")
	}
	return bad.Err()
}

// ShutReasons lists the reasons in the order forms show them.
func ShutReasons() []ShutReason {
	return []ShutReason{ShutWeather, ShutInspection, ShutAnchorTest, ShutFault, ShutMaintenance, ShutIncident, ShutOther}
}

// CheckShut judges a shut period that is to be recorded or ended.
func CheckShut(s Shut) error {
	bad := fault.Fields{}
	if s.Station == "" {
		bad.Add("station", "Which station is shut is not stated.")
	}
	if s.Start == 0 {
		bad.Add("start", "Since when the station is shut is not stated.")
	}
	if s.End != 0 && s.End <= s.Start {
		bad.Add("end", "The station opens before it is shut.")
	}
	if !slices.Contains(ShutReasons(), s.Reason) {
		bad.Add("reason", "%q is not a reason for shutting a station.", s.Reason)
	}
	return bad.Err()
}

// States lists the states of a rig in the order of its life.
func States() []State { return []State{InConversion, InService, Restricted, Withdrawn} }
