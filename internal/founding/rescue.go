package founding

import (
	"context"
	"errors"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
)

// RescuePlan is a new rescue plan as a form gives it.
type RescuePlan struct {
	Name, Text string
	Stations   []id.Station
	Author     id.Person
	OnPaper    bool // who approves says that they hold the plan as its author wrote it
	InForce    civil.Day
	ReviewBy   civil.Day
	Target     civil.Minutes
}

// RescuePlan puts the first version of a rescue plan in force. Who sends the form
// approves it, and is never its author.
func (f *Founder) RescuePlan(ctx context.Context, actor access.Actor, p RescuePlan, key string) (string, error) {
	return f.write(ctx, actor, access.ApproveRescuePlan, key, "rescue-plan", Of{}, p, func(d *desk) error {
		book, ok := rulebook.InForce(d.ref.RuleBooks.All(civil.LastDay), d.Today())
		if !ok {
			return fault.Field("target_minutes", "No rule book is in force to judge the plan by. Choose its profiles first.")
		}
		r := rig.RescuePlan{ID: id.RescuePlan(d.id), Version: 1, Name: d.text("name", p.Name, ""), Text: d.text("text", p.Text, ""),
			Stations: p.Stations, Author: p.Author, ApprovedBy: actor.Person, TakenOver: actor.Person, InForce: p.InForce, ReviewBy: p.ReviewBy, Target: p.Target}
		bad := fault.Fields{}
		if r.Name == "" {
			bad.Add("name", "The plan has no name.")
		}
		if r.Author == actor.Person && r.Author != "" {
			bad.Add("author", "You can't approve your own plan. Choose who else wrote it, or have another responsible person approve it.")
		}
		if !p.OnPaper {
			bad.Add("on_paper", "Say that you hold the plan as its author wrote it: nobody approves a plan under a colleague’s name.")
		}
		addTo(bad, rig.CheckRescuePlan(r, nil, book, d.Today()))
		if err := bad.Err(); err != nil {
			return err
		}
		_, err := d.Put("approved", p.InForce, r)
		return err
	})
}

// Drilled is a drill as a form gives it: its record, and what was found.
type Drilled struct {
	Record rig.Drill
	Found  string
}

// Drill records a rescue that was drilled under a plan, with who took part.
func (f *Founder) Drill(ctx context.Context, actor access.Actor, drilled Drilled, key string) (string, error) {
	return f.write(ctx, actor, access.RecordDrill, key, "drill", Of{}, drilled, func(d *desk) error {
		r := drilled.Record
		bad := fault.Fields{}
		addTo(bad, r.Check(d.Today()))
		if len(r.People) == 0 {
			bad.Add("people", "Nobody is ticked. Tick who took part.")
		}
		for _, p := range r.People {
			if _, works := d.ref.Staff.On(p, d.Today()); !works {
				bad.Add("people", "Tick people of the list alone.")
			}
		}
		if err := bad.Err(); err != nil {
			return err
		}
		version := 0
		for _, v := range d.ref.RescuePlans.Versions(r.Plan) {
			if v.Value.Approved() && v.Value.InForce <= r.Day {
				version = max(version, v.Value.Version)
			}
		}
		if version == 0 {
			return fault.Field("day", "No version of this plan was in force on %s. Give a day on which it was.", r.Day)
		}
		r.ID, r.Version, r.Found = id.Drill(d.id), version, d.text("found", drilled.Found, "")
		if r.Day == d.Today() {
			r.At = d.Now()
		}
		_, err := d.Put("drilled", r.Day, r)
		return err
	})
}

// addTo adds the messages of a form error, or that of one field, to those there are.
func addTo(bad fault.Fields, err error) {
	var form *fault.Form
	if errors.As(err, &form) {
		for field, message := range form.Fields {
			bad.Add(field, "%s", message)
		}
		return
	}
	var one *fault.Error
	if errors.As(err, &one) && one.Field != "" {
		bad.Add(one.Field, "%s", one.Message)
	}
}
