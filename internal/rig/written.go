package rig

import (
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
)

// WrittenState is how far a written plan has come; a closed list.
type WrittenState string

// The states. None of them is in force: on approval a version of the rescue plan is
// written beside it, and that one counts.
const (
	PlanWritten  WrittenState = "written"
	PlanSent     WrittenState = "sent"
	PlanReturned WrittenState = "returned"
	PlanApproved WrittenState = "approved"
	PlanDropped  WrittenState = "dropped"
)

// WrittenPlan is a version of a rescue plan as its author wrote it, before and after
// somebody else read it. It covers nothing.
type WrittenPlan struct {
	ID        id.WrittenPlan `json:"id"`
	Plan      id.RescuePlan  `json:"plan,omitempty"`  // "" = a new plan, until it is approved
	After     int            `json:"after,omitempty"` // the version that was the last when it was written, 0 = none
	Name      id.Commitment  `json:"name"`
	Text      id.Commitment  `json:"text"`
	Stations  []id.Station   `json:"stations"`
	Procedure Procedure      `json:"procedure"`
	Target    civil.Minutes  `json:"target_minutes"` // time to reach a casualty
	InForce   civil.Day      `json:"in_force"`       // the first day wished for; approved later, it begins then
	ReviewBy  civil.Day      `json:"review_by"`
	Author    id.Person      `json:"author"`
	State     WrittenState   `json:"state"`
	DecidedBy id.Person      `json:"decided_by,omitempty"` // who approved or returned it, never the author
	Reason    id.Commitment  `json:"reason,omitempty"`     // for which it was returned
	Version   int            `json:"version,omitempty"`    // that it became
}

// Open reports whether its author may still change it.
func (w WrittenPlan) Open() bool { return w.State == PlanWritten || w.State == PlanReturned }

// Awaits reports whether somebody else is to read it.
func (w WrittenPlan) Awaits() bool { return w.State == PlanSent }

// Send gives it to somebody else to read. Only its author does.
func (w WrittenPlan) Send(by id.Person) (WrittenPlan, error) {
	if err := w.byAuthor(by); err != nil {
		return w, err
	}
	if !w.Open() {
		return w, w.not("sent")
	}
	w.State = PlanSent
	return w, nil
}

// Drop puts it aside for good. Only its author does.
func (w WrittenPlan) Drop(by id.Person) (WrittenPlan, error) {
	if err := w.byAuthor(by); err != nil {
		return w, err
	}
	if !w.Open() && !w.Awaits() {
		return w, w.not("dropped")
	}
	w.State = PlanDropped
	return w, nil
}

// Return gives it back to its author with a reason.
func (w WrittenPlan) Return(by id.Person, reason id.Commitment) (WrittenPlan, error) {
	if err := w.byAnother(by); err != nil {
		return w, err
	}
	if reason == "" {
		return w, fault.Field("reason", "Say what the author is to change.")
	}
	w.State, w.DecidedBy, w.Reason = PlanReturned, by, reason
	return w, nil
}

// Approve returns the version of the rescue plan that it becomes, to be judged by
// CheckRescuePlan, and itself as approved. last is the plan's last version, 0 for
// none: one that came in between was not before the author's eyes.
func (w WrittenPlan) Approve(by id.Person, plan id.RescuePlan, last int, today civil.Day) (WrittenPlan, RescuePlan, error) {
	if err := w.byAnother(by); err != nil {
		return w, RescuePlan{}, err
	}
	if w.After != last {
		return w, RescuePlan{}, fault.New(fault.Conflict, "Version %d was approved after this one was written. Return it: its author looks at both.", last)
	}
	w.State, w.DecidedBy, w.Plan, w.Version, w.Reason = PlanApproved, by, plan, last+1, ""
	procedure := w.Procedure
	return w, RescuePlan{ID: plan, Version: w.Version, Name: w.Name, Text: w.Text, Stations: w.Stations, Author: w.Author, ApprovedBy: by,
		InForce: max(w.InForce, today), ReviewBy: w.ReviewBy, Target: w.Target, Procedure: &procedure}, nil
}

func (w WrittenPlan) byAuthor(by id.Person) error {
	if by == "" || by != w.Author {
		return fault.New(fault.Forbidden, "Only who wrote a version of a rescue plan may change or send it.")
	}
	return nil
}

func (w WrittenPlan) byAnother(by id.Person) error {
	if by == "" || by == w.Author {
		return fault.New(fault.Forbidden, "You wrote this version, so another responsible person reads it.")
	}
	if !w.Awaits() {
		return w.not("approved or returned")
	}
	return nil
}

func (w WrittenPlan) not(what string) error {
	return fault.New(fault.Conflict, "This version can't be %s: it is %s.", what, w.State)
}
