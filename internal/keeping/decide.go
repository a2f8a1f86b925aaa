package keeping

import (
	"context"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/store"
)

// SendPlan sends a written plan to whoever may approve it. rev is the revision that
// the page showed.
func (k *Keeper) SendPlan(ctx context.Context, actor access.Actor, of id.WrittenPlan, rev int64, key string) error {
	return k.onWritten(ctx, actor, access.WriteRescuePlan, of, rev, nil, key, func(tx *store.Tx, ref *store.Reference, w rig.WrittenPlan) error {
		next, err := w.Send(actor.Person)
		if err != nil {
			return err
		}
		if lastVersion(ref, w.Plan) != w.After {
			return fault.New(fault.Conflict, "A version was approved after this one was written. Open it, look at both, and keep it again.")
		}
		if checkWritten(ref, w, tx.Today()) != nil {
			return fault.New(fault.Conflict, "It can't be approved any more as it stands. Open it, and keep it again: what is missing is said there.")
		}
		_, err = tx.Put("sent", 0, next)
		return err
	})
}

// DropPlan puts a written plan aside.
func (k *Keeper) DropPlan(ctx context.Context, actor access.Actor, of id.WrittenPlan, rev int64, key string) error {
	return k.onWritten(ctx, actor, access.WriteRescuePlan, of, rev, "drop", key, func(tx *store.Tx, _ *store.Reference, w rig.WrittenPlan) error {
		next, err := w.Drop(actor.Person)
		if err != nil {
			return err
		}
		_, err = tx.Put("dropped", 0, next)
		return err
	})
}

// ReturnPlan gives a written plan back to its author with a reason.
func (k *Keeper) ReturnPlan(ctx context.Context, actor access.Actor, of id.WrittenPlan, rev int64, reason, key string) error {
	return k.onWritten(ctx, actor, access.ApproveRescuePlan, of, rev, reason, key, func(tx *store.Tx, _ *store.Reference, w rig.WrittenPlan) error {
		next, err := w.Return(actor.Person, tx.Seal("written-plan/"+string(of), "reason", strings.TrimSpace(reason)))
		if err != nil {
			return err
		}
		_, err = tx.Put("returned", 0, next)
		return err
	})
}

// ApproveWritten approves a written plan: in one write it is closed, and the version
// that it becomes is in force from its day. read: the actor says they read all of it.
func (k *Keeper) ApproveWritten(ctx context.Context, actor access.Actor, of id.WrittenPlan, rev int64, read bool, key string) error {
	return k.onWritten(ctx, actor, access.ApproveRescuePlan, of, rev, read, key, func(tx *store.Tx, ref *store.Reference, w rig.WrittenPlan) error {
		plan := w.Plan
		if last, ok := latest(ref, plan); ok && last.Withdrawn != 0 {
			return fault.New(fault.Conflict, "This plan has been withdrawn. Return what was written.")
		}
		if plan == "" {
			plan = id.RescuePlan(tx.ID())
		}
		done, next, err := w.Approve(actor.Person, plan, lastVersion(ref, w.Plan), tx.Today())
		if err != nil {
			return err
		}
		bad := fault.Fields{}
		if !read {
			bad.Add("read", "Read steps, roles and kit first, and say that you did.")
		}
		lacksKit(ref, w, tx.Today(), bad)
		judge(ref, next, tx.Today(), bad)
		if err := bad.Err(); err != nil {
			return err
		}
		if _, err := tx.Put("approved", next.InForce, next); err != nil {
			return err
		}
		_, err = tx.Put("approved", 0, done)
		return err
	})
}

// onWritten changes one written plan as its page showed it.
func (k *Keeper) onWritten(ctx context.Context, actor access.Actor, action access.Action, of id.WrittenPlan, rev int64, content any, key string,
	do func(*store.Tx, *store.Reference, rig.WrittenPlan) error) error {
	return k.act(ctx, actor, action, key, []any{of, rev, content}, func(tx *store.Tx, ref *store.Reference) error {
		row, err := tx.View().WrittenPlan(of)
		if err != nil {
			return err
		}
		if err := tx.Expect("written-plan", string(of), rev); err != nil {
			return err
		}
		return do(tx, ref, row.Value)
	})
}
