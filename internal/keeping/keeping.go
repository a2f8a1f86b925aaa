// Package keeping is the journey of those who keep the yard fit and its rules
// current: shut and open stations, record inspections, approve rescue plans, put
// rigs in and out of service, confirm the rule book and write its next version.
// Each act is one command and one or more entries.
package keeping

import (
	"context"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/rig"
	"rungbook/internal/store"
)

// Keeper keeps the yard's records.
type Keeper struct {
	store   *store.Store
	builder *planning.Builder
}

// New returns a keeper over a store.
func New(s *store.Store) *Keeper { return &Keeper{s, &planning.Builder{}} }

// act runs one command under an action of the access table.
func (k *Keeper) act(ctx context.Context, actor access.Actor, action access.Action, key string, content any, do func(*store.Tx, *store.Reference) error) error {
	role, err := access.Require(actor, action)
	if err != nil {
		return err
	}
	return k.actAs(ctx, actor, role, action, key, content, do)
}

// actAs is act in a role that the action's own rule has settled.
func (k *Keeper) actAs(ctx context.Context, actor access.Actor, role access.Role, action access.Action, key string, content any, do func(*store.Tx, *store.Reference) error) error {
	_, err := k.store.Write(ctx, store.Command{Key: key, Content: []any{action, content}, Actor: actor, Role: role},
		func(tx *store.Tx) (store.Outcome, error) {
			ref, err := tx.View().Reference()
			if err != nil {
				return "", err
			}
			return "", do(tx, ref)
		})
	return err
}

// Shutting is a station to be shut. End 0 = until somebody opens it.
type Shutting struct {
	Station    id.Station
	Start, End civil.Instant
	Reason     rig.ShutReason
	Note       string
}

// Shut closes a station. Sessions booked there in that time stand on the list of
// what needs attention.
func (k *Keeper) Shut(ctx context.Context, actor access.Actor, s Shutting, key string) error {
	fields := fault.Fields{}
	if s.Start == 0 {
		fields.Add("start", "Give the day and time from which it is shut.")
	}
	if s.End != 0 && s.End <= s.Start {
		fields.Add("end", "It would open before it is shut. Give a later end, or none.")
	}
	if !slices.Contains(ShutReasons(), s.Reason) {
		fields.Add("reason", "Choose why it is shut.")
	}
	if err := fields.Err(); err != nil {
		return err
	}
	return k.act(ctx, actor, access.ShutStation, key, s, func(tx *store.Tx, ref *store.Reference) error {
		if _, ok := ref.Stations.On(s.Station, tx.Today()); !ok {
			return fault.New(fault.NotFound, "There is no such station.")
		}
		sid := id.Shut(tx.ID())
		_, err := tx.Put("shut", tx.Today(), rig.Shut{ID: sid, Station: s.Station, Start: s.Start, End: s.End,
			Reason: s.Reason, Note: tx.Seal("shut/"+string(sid), "note", strings.TrimSpace(s.Note))})
		return err
	})
}

// ShutReasons lists why a station can be shut, in the order forms show.
func ShutReasons() []rig.ShutReason {
	return []rig.ShutReason{rig.ShutWeather, rig.ShutInspection, rig.ShutAnchorTest, rig.ShutFault, rig.ShutMaintenance, rig.ShutIncident, rig.ShutOther}
}

// Open ends a shut period now.
func (k *Keeper) Open(ctx context.Context, actor access.Actor, shut id.Shut, key string) error {
	return k.act(ctx, actor, access.OpenStation, key, shut, func(tx *store.Tx, ref *store.Reference) error {
		s, ok := ref.Shuts.On(shut, tx.Today())
		if !ok {
			return fault.New(fault.NotFound, "There is no such shut period.")
		}
		now := tx.Now()
		if s.End != 0 && s.End <= now {
			return fault.New(fault.Conflict, "It has been opened already.")
		}
		s.End = max(now, s.Start+1)
		_, err := tx.Put("opened", tx.Today(), s)
		return err
	})
}

// Inspecting is an inspection done.
type Inspecting struct {
	Subject string // rig, station, kit or item id
	Line    string
	Done    civil.Day
	At      civil.Instant // when it ended, on the day Done; 0 = not stated
	Passed  bool
	Note    string
}

// Inspect records an inspection. A failed one stops what depends on it.
func (k *Keeper) Inspect(ctx context.Context, actor access.Actor, in Inspecting, key string) error {
	return k.act(ctx, actor, access.RecordInspection, key, in, func(tx *store.Tx, ref *store.Reference) error {
		fields := fault.Fields{}
		if in.Done == 0 {
			fields.Add("done", "Give the day on which it was done.")
		}
		if in.Done > tx.Today() {
			fields.Add("done", "%s is still to come. Give the day on which it was done.", in.Done)
		}
		if in.At > tx.Now() && in.Done == tx.Today() {
			fields.Add("done_time", "This time is still to come. Give the time at which it ended.")
		}
		if in.Line == rig.StormLine && in.At == 0 {
			fields.Add("done_time", "Give the time at which it ended. It counts for the storms that were over by then.")
		}
		if !slices.Contains(planning.Required(ref, in.Subject, tx.Today()), in.Line) {
			fields.Add("line", "No such inspection is asked for here. Choose one from the list.")
		}
		if err := fields.Err(); err != nil {
			return err
		}
		iid := id.Inspection(tx.ID())
		_, err := tx.Put("inspected", in.Done, rig.Inspection{ID: iid, Subject: in.Subject, Line: in.Line, Done: in.Done, At: in.At,
			Passed: in.Passed, By: actor.Person, Note: tx.Seal("inspection/"+string(iid), "note", strings.TrimSpace(in.Note))})
		return err
	})
}

// Approving is a new version of a rescue plan.
type Approving struct {
	Plan     id.RescuePlan
	Text     string
	Author   id.Person
	OnPaper  bool // who approves says that they hold the plan as its author wrote it
	InForce  civil.Day
	ReviewBy civil.Day
	Target   civil.Minutes
}

// ApprovePlan puts a new version of a rescue plan in force. The one who approves
// is never its author.
func (k *Keeper) ApprovePlan(ctx context.Context, actor access.Actor, a Approving, key string) error {
	return k.act(ctx, actor, access.ApproveRescuePlan, key, a, func(tx *store.Tx, ref *store.Reference) error {
		p, ok := latest(ref, a.Plan)
		if !ok {
			return fault.New(fault.NotFound, "There is no such rescue plan.")
		}
		if err := checkApproval(a, p, actor, ref, tx.Today()); err != nil {
			return err
		}
		p.Version++
		p.Author, p.ApprovedBy, p.TakenOver = a.Author, actor.Person, actor.Person
		p.InForce, p.ReviewBy, p.Target = a.InForce, a.ReviewBy, a.Target
		p.Procedure = nil // the paper's text is all that is on record of it
		p.Text = tx.Seal("rescue-plan/"+string(p.ID), "text", strings.TrimSpace(a.Text))
		_, err := tx.Put("approved", a.InForce, p)
		return err
	})
}

func checkApproval(a Approving, p rig.RescuePlan, actor access.Actor, ref *store.Reference, today civil.Day) error {
	fields := fault.Fields{}
	if strings.TrimSpace(a.Text) == "" {
		fields.Add("text", "Write the plan: alarm, chain of command, named lead, steps and roles, kit, way to a safe place.")
	}
	if _, ok := ref.Staff.On(a.Author, today); !ok {
		fields.Add("author", "Choose who wrote it.")
	}
	if a.Author == actor.Person {
		fields.Add("author", "You can't approve your own plan. Another responsible person approves it.")
	}
	if !a.OnPaper {
		fields.Add("on_paper", "Say that you hold the plan as its author wrote it: nobody approves a plan under a colleague’s name.")
	}
	if a.InForce < today {
		fields.Add("in_force", "A version begins today or later.")
	}
	if a.ReviewBy <= a.InForce {
		fields.Add("review_by", "The review lies before the first day. Give a later day.")
	}
	if a.Target <= 0 || a.Target > 60 {
		fields.Add("target", "Give the minutes to reach a casualty, 1 to 60.")
	}
	if p.Withdrawn != 0 {
		fields.Add("text", "This plan has been withdrawn.")
	}
	return fields.Err()
}

func latest(ref *store.Reference, plan id.RescuePlan) (rig.RescuePlan, bool) {
	versions := ref.RescuePlans.Versions(plan)
	if len(versions) == 0 {
		return rig.RescuePlan{}, false
	}
	return versions[len(versions)-1].Value, true
}

// SetRigState puts a rig in or out of service.
func (k *Keeper) SetRigState(ctx context.Context, actor access.Actor, rid id.Rig, state rig.State, key string) error {
	return k.act(ctx, actor, access.ChangeRigState, key, []string{string(rid), string(state)}, func(tx *store.Tx, ref *store.Reference) error {
		r, ok := ref.Rigs.On(rid, tx.Today())
		if !ok {
			return fault.New(fault.NotFound, "There is no such rig.")
		}
		if !slices.Contains(RigStates(), state) {
			return fault.Field("state", "Choose a state from the list.")
		}
		if state == rig.InService || state == rig.Restricted {
			if err := wholeDossier(tx, rid); err != nil {
				return err
			}
		}
		r.State = state
		_, err := tx.Put(string(state), tx.Today(), r)
		return err
	})
}

// wholeDossier refuses a rig of which something was not shown. That it is complete puts
// nothing in service: a responsible person does.
func wholeDossier(tx *store.Tx, of id.Rig) error {
	slice, err := (&planning.Builder{}).Yard(tx.View(), tx.Today(), tx.Today())
	if err != nil {
		return err
	}
	if open := slice.Register().Dossier(of, tx.Today()).Open(); len(open) > 0 {
		return fault.Field("state", "%d of the points of its dossier do not stand, the first: %s. See its conversion dossier.", len(open), open[0].Point.Name())
	}
	return nil
}

// RigStates lists the states of a rig in the order of its life.
func RigStates() []rig.State {
	return []rig.State{rig.InConversion, rig.InService, rig.Restricted, rig.Withdrawn}
}
