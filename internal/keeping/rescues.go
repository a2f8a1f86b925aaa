package keeping

import (
	"cmp"
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/rig"
	"rungbook/internal/store"
)

// Rescue is one rescue plan as it stands today.
type Rescue struct {
	ID       id.RescuePlan
	Versions []rig.RescuePlan // by number
	InForce  *rig.RescuePlan  // nil: none counts today
	Drills   []rig.Drill      // the last one first
	Written  []Written        // the last one first
	Due      []rig.Due        // review and drill, the earliest first
	Causes   []rig.Cause
}

// Written is a written plan with its revision and what became of it so far.
type Written struct {
	rig.WrittenPlan
	Rev   int64
	Steps []WrittenStep
}

// WrittenStep is one entry about it.
type WrittenStep struct {
	Act string
	By  id.Person
	At  civil.Instant
}

// Last is the version with the highest number.
func (r Rescue) Last() rig.RescuePlan { return r.Versions[len(r.Versions)-1] }

// Rescues is every rescue plan, and what was written of plans that there are not yet.
type Rescues struct {
	Plans []Rescue
	New   []Written // of plans that there are not yet
	Ref   *store.Reference
	Names map[id.Person]string
	Texts map[id.Commitment]string
	Today civil.Day
	Head  int64
}

// Plan returns one plan. Error: fault.NotFound.
func (r Rescues) Plan(of id.RescuePlan) (Rescue, error) {
	i := slices.IndexFunc(r.Plans, func(p Rescue) bool { return p.ID == of })
	if i < 0 {
		return Rescue{}, fault.New(fault.NotFound, "There is no such rescue plan.")
	}
	return r.Plans[i], nil
}

// Written returns what somebody wrote. Error: fault.NotFound.
func (r Rescues) WrittenPlan(of id.WrittenPlan) (Written, error) {
	all := r.New
	for _, p := range r.Plans {
		all = append(all, p.Written...)
	}
	i := slices.IndexFunc(all, func(w Written) bool { return w.ID == of })
	if i < 0 {
		return Written{}, fault.New(fault.NotFound, "There is no such version of a rescue plan.")
	}
	return all[i], nil
}

// Rescues returns the rescue plans with their versions, drills and what was written.
func (k *Keeper) Rescues(ctx context.Context, actor access.Actor) (out Rescues, err error) {
	if _, err := access.Require(actor, access.SeeStation); err != nil {
		return out, err
	}
	err = k.store.Read(ctx, func(v *store.View) error {
		slice, err := k.builder.Yard(v, v.Today(), v.Today())
		if err != nil {
			return err
		}
		out.Ref, out.Today, out.Head = slice.Reference(), v.Today(), v.Head()
		for _, key := range out.Ref.RescuePlans.Keys() {
			one, err := rescueOf(v, slice, key, out.Today)
			if err != nil {
				return err
			}
			out.Plans = append(out.Plans, one)
		}
		if err := out.addWritten(v); err != nil {
			return err
		}
		slices.SortStableFunc(out.Plans, func(a, b Rescue) int { return cmp.Compare(out.Ref.Text(a.Last().Name), out.Ref.Text(b.Last().Name)) })
		return out.addWords(v)
	})
	return out, err
}

// rescueOf is a plan by the register: what counts, what is due, what stops.
func rescueOf(v *store.View, slice *planning.Slice, of id.RescuePlan, today civil.Day) (Rescue, error) {
	ref, register := slice.Reference(), slice.Register()
	out := Rescue{ID: of}
	history, err := v.RescuePlanHistory(of)
	if err != nil {
		return out, err
	}
	for _, d := range history {
		i := slices.IndexFunc(out.Versions, func(p rig.RescuePlan) bool { return p.Version == d.Value.Version })
		if i < 0 {
			out.Versions = append(out.Versions, d.Value)
		} else {
			out.Versions[i] = d.Value
		}
	}
	slices.SortFunc(out.Versions, func(a, b rig.RescuePlan) int { return cmp.Compare(a.Version, b.Version) })
	if p, ok := register.PlanInForce(of, today); ok {
		out.InForce = &p
	}
	for _, d := range ref.Drills.All(today) {
		if d.Plan == of {
			out.Drills = append(out.Drills, d)
		}
	}
	slices.SortStableFunc(out.Drills, func(a, b rig.Drill) int { return cmp.Or(cmp.Compare(b.Day, a.Day), cmp.Compare(b.At, a.At)) })
	for _, st := range out.Last().Stations {
		for _, u := range register.Due(st, today) {
			same := func(x rig.Due) bool { return x.Kind == u.Kind }
			if u.Plan == of && !slices.ContainsFunc(out.Due, same) {
				out.Due = append(out.Due, u)
			}
		}
		for _, c := range register.Station(st, today) {
			same := func(x rig.Cause) bool { return x.Kind == c.Kind }
			if c.Plan == of && !slices.ContainsFunc(out.Causes, same) {
				out.Causes = append(out.Causes, c)
			}
		}
	}
	slices.SortStableFunc(out.Due, func(a, b rig.Due) int { return cmp.Compare(a.Last, b.Last) })
	return out, nil
}

// addWritten puts what was written with its plan, the last one first.
func (r *Rescues) addWritten(v *store.View) error {
	all, err := v.WrittenPlans("")
	if err != nil {
		return err
	}
	for _, w := range slices.Backward(all) {
		history, err := v.WrittenPlanHistory(w.ID)
		if err != nil {
			return err
		}
		row := Written{WrittenPlan: w}
		for _, h := range history {
			row.Rev, row.Steps = h.Rev, append(row.Steps, WrittenStep{h.Act, h.Actor, h.RecordedAt})
		}
		i := slices.IndexFunc(r.Plans, func(p Rescue) bool { return p.ID == w.Plan })
		if i < 0 {
			r.New = append(r.New, row)
		} else {
			r.Plans[i].Written = append(r.Plans[i].Written, row)
		}
	}
	return nil
}

// addWords reads the names and texts that pages show.
func (r *Rescues) addWords(v *store.View) (err error) {
	var who []id.Person
	var said []id.Commitment
	written := func(list []Written) {
		for _, w := range list {
			who = append(who, w.Author, w.DecidedBy)
			said = append(said, w.Name, w.Text, w.Reason)
			said = append(said, procedureTexts(&w.Procedure)...)
		}
	}
	written(r.New)
	for _, p := range r.Plans {
		written(p.Written)
		for _, x := range p.Versions {
			who = append(who, x.Author, x.ApprovedBy, x.TakenOver)
			said = append(append(said, x.Name, x.Text), procedureTexts(x.Procedure)...)
		}
		for _, d := range p.Drills {
			who, said = append(who, d.People...), append(said, d.Found)
		}
	}
	none := func(p id.Person) bool { return p == "" }
	if r.Names, err = v.PersonNames(slices.DeleteFunc(who, none)...); err != nil {
		return err
	}
	r.Texts, err = v.Texts(said...)
	return err
}

func procedureTexts(p *rig.Procedure) (out []id.Commitment) {
	if p == nil {
		return nil
	}
	out = append(out, p.Steps...)
	for _, x := range p.Roles {
		out = append(out, x.Name, x.Does)
	}
	return out
}

// AwaitingApproval are the versions of rescue plans that somebody else is to read.
func (k *Keeper) AwaitingApproval(ctx context.Context, actor access.Actor) (out []rig.WrittenPlan, texts map[id.Commitment]string, err error) {
	if _, err := access.Require(actor, access.SeeStation); err != nil {
		return nil, nil, err
	}
	err = k.store.Read(ctx, func(v *store.View) (err error) {
		if out, err = v.WrittenPlans(rig.PlanSent); err != nil {
			return err
		}
		var names []id.Commitment
		for _, w := range out {
			names = append(names, w.Name)
		}
		texts, err = v.Texts(names...)
		return err
	})
	return out, texts, err
}
