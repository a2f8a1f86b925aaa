package keeping

import (
	"context"
	"errors"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
	"rungbook/internal/store"
)

// Writing is a version of a rescue plan as its author's form gives it. Written "" is
// a new one; Plan "" is a plan that there is not yet.
type Writing struct {
	Written    id.WrittenPlan
	Rev        int64 // of Written, as its page showed it
	Plan       id.RescuePlan
	After      int // the last version of Plan, as its page showed it
	Name, Text string
	Stations   []id.Station
	Steps      []string
	Roles      []WritingRole
	Kits       []id.Kit
	Target     civil.Minutes // to reach a casualty
	SafeWithin civil.Minutes
	InForce    civil.Day
	ReviewBy   civil.Day
}

// WritingRole is a role of a plan that is being written.
type WritingRole struct {
	Name, Does string
	Competent  bool
	Count      int
	Beside     bool
}

// WritePlan keeps a version of a rescue plan as its author wrote it. It has no force.
func (k *Keeper) WritePlan(ctx context.Context, actor access.Actor, w Writing, key string) (id.WrittenPlan, error) {
	role, err := access.Require(actor, access.WriteRescuePlan)
	if err != nil {
		return "", err
	}
	out, err := k.store.Write(ctx, store.Command{Key: key, Content: []any{access.WriteRescuePlan, w}, Actor: actor, Role: role},
		func(tx *store.Tx) (store.Outcome, error) {
			ref, err := tx.View().Reference()
			if err != nil {
				return "", err
			}
			rec, err := begun(tx, ref, w)
			if err != nil {
				return "", err
			}
			sealWriting(tx, &rec, w)
			if err := checkWritten(ref, rec, tx.Today()); err != nil {
				return "", err
			}
			_, err = tx.Put("written", 0, rec)
			return store.Outcome(rec.ID), err
		})
	return id.WrittenPlan(out), err
}

// begun is the written plan that a form changes, or a new one of the actor.
func begun(tx *store.Tx, ref *store.Reference, w Writing) (rig.WrittenPlan, error) {
	me := tx.Actor().Person
	if w.Written != "" {
		if err := tx.Expect("written-plan", string(w.Written), w.Rev); err != nil {
			return rig.WrittenPlan{}, err
		}
		row, err := tx.View().WrittenPlan(w.Written)
		if err != nil {
			return rig.WrittenPlan{}, err
		}
		if row.Value.Author != me {
			return rig.WrittenPlan{}, fault.New(fault.Forbidden, "Only who wrote a version of a rescue plan may change or send it.")
		}
		if !row.Value.Open() {
			return rig.WrittenPlan{}, fault.New(fault.Conflict, "This version is %s and is not changed any more. Write another.", row.Value.State)
		}
		row.Value.State, row.Value.After = rig.PlanWritten, lastVersion(ref, row.Value.Plan)
		return row.Value, nil
	}
	if me == "" {
		return rig.WrittenPlan{}, fault.New(fault.Forbidden, "A rescue plan is written by a person; this account stands for none.")
	}
	rec := rig.WrittenPlan{ID: id.WrittenPlan(tx.ID()), Plan: w.Plan, Author: me, State: rig.PlanWritten}
	if w.Plan == "" {
		return rec, nil
	}
	last, ok := latest(ref, w.Plan)
	switch {
	case !ok:
		return rec, fault.New(fault.NotFound, "There is no such rescue plan.")
	case last.Withdrawn != 0:
		return rec, fault.New(fault.Conflict, "This plan has been withdrawn. Write a new one.")
	case last.Version != w.After:
		return rec, fault.New(fault.Conflict, "Version %d was approved since the form was opened. Read it first, and write on from it.", last.Version)
	}
	rec.After = last.Version
	return rec, nil
}

func sealWriting(tx *store.Tx, rec *rig.WrittenPlan, w Writing) {
	of := "written-plan/" + string(rec.ID)
	seal := func(field, text string) id.Commitment { return tx.Seal(of, field, strings.TrimSpace(text)) }
	rec.Name, rec.Text = seal("name", w.Name), seal("text", w.Text)
	rec.Stations, rec.Target, rec.InForce, rec.ReviewBy = w.Stations, w.Target, w.InForce, w.ReviewBy
	rec.Procedure = rig.Procedure{SafeWithin: w.SafeWithin, Kits: w.Kits}
	for _, s := range w.Steps {
		rec.Procedure.Steps = append(rec.Procedure.Steps, seal("step", s))
	}
	for _, r := range w.Roles {
		rec.Procedure.Roles = append(rec.Procedure.Roles, rig.PlanRole{Name: seal("role", r.Name), Does: seal("does", r.Does), Competent: r.Competent, Count: r.Count, Beside: r.Beside})
	}
}

// checkWritten judges a written plan as if somebody else approved it today, so that
// nothing is sent that can't be approved.
func checkWritten(ref *store.Reference, w rig.WrittenPlan, today civil.Day) error {
	bad := fault.Fields{}
	if w.Name == "" {
		bad.Add("name", "The plan has no name.")
	}
	for _, s := range w.Stations {
		if _, ok := ref.Stations.On(s, today); !ok {
			bad.Add("stations", "Tick stations of the list alone.")
		}
	}
	for _, s := range w.Procedure.Kits {
		if _, ok := ref.Kits.On(s, today); !ok {
			bad.Add("kits", "Tick kits of the list alone.")
		}
	}
	lacksKit(ref, w, today, bad)
	w.State = rig.PlanSent
	plan := w.Plan
	if plan == "" {
		plan = id.RescuePlan(w.ID)
	}
	_, next, err := w.Approve("somebody else", plan, w.After, today)
	if err != nil {
		return err
	}
	judge(ref, next, today, bad)
	return bad.Err()
}

// lacksKit says so where a station keeps rescue kit that the plan does not name: who
// reads the plan under the tower would look for another.
func lacksKit(ref *store.Reference, w rig.WrittenPlan, today civil.Day, bad fault.Fields) {
	for _, s := range w.Stations {
		st, _ := ref.Stations.On(s, today)
		if st.Rescue == nil || st.Rescue.Kit == "" || slices.Contains(w.Procedure.Kits, st.Rescue.Kit) {
			continue
		}
		kit, _ := ref.Kits.On(st.Rescue.Kit, today)
		bad.Add("kits", "%s keeps %s for a rescue. Tick it, or change what the station keeps.", ref.Text(st.Name), ref.Text(kit.Name))
	}
}

// judge asks the rule of rescue plans about a version, and adds what it says.
func judge(ref *store.Reference, next rig.RescuePlan, today civil.Day, bad fault.Fields) {
	book, ok := rulebook.InForce(ref.RuleBooks.All(civil.LastDay), today)
	if !ok {
		bad.Add("target_minutes", "No rule book is in force to judge the plan by. Choose its profiles first.")
		return
	}
	var before []rig.RescuePlan
	for _, v := range ref.RescuePlans.Versions(next.ID) {
		before = append(before, v.Value)
	}
	var form *fault.Form
	if errors.As(rig.CheckRescuePlan(next, before, book, today), &form) {
		for field, message := range form.Fields {
			bad.Add(field, "%s", message)
		}
	}
}

func lastVersion(ref *store.Reference, plan id.RescuePlan) int {
	last, _ := latest(ref, plan)
	return last.Version
}
