package keeping

import (
	"context"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/rig"
	"rungbook/internal/store"
)

// Quarantine puts a rig, station, kit or item out of use at once. why may be empty:
// nobody looks for words before they act.
func (k *Keeper) Quarantine(ctx context.Context, actor access.Actor, subject, why, key string) (id.Quarantine, error) {
	role, err := access.Require(actor, access.PutInQuarantine)
	if err != nil {
		return "", err
	}
	cmd := store.Command{Key: key, Content: []any{access.PutInQuarantine, subject, why}, Actor: actor, Role: role}
	out, err := k.store.Write(ctx, cmd, func(tx *store.Tx) (store.Outcome, error) {
		ref, err := tx.View().Reference()
		if err != nil {
			return "", err
		}
		if _, ok := planning.Thing(ref, subject, tx.Today()); !ok {
			return "", fault.New(fault.NotFound, "There is no such rig, station, kit or item.")
		}
		if q, stands := rig.InQuarantine(ref.Quarantines.All(civil.LastDay), subject); stands {
			return store.Outcome(q.ID), nil
		}
		qid := id.Quarantine(tx.ID())
		_, err = tx.Put("put-in-quarantine", 0, rig.Quarantine{ID: qid, Subject: subject, Start: tx.Now(), By: actor.Person,
			Why: tx.Seal("quarantine/"+string(qid), "why", strings.TrimSpace(why))})
		return store.Outcome(qid), err
	})
	return id.Quarantine(out), err
}

// Lifting ends a quarantine: on an inspection that passed since, with a reason.
type Lifting struct {
	Quarantine id.Quarantine
	Inspection id.Inspection
	Why        string
}

// Lift lets what was in quarantine be used again. Only a responsible person does it.
func (k *Keeper) Lift(ctx context.Context, actor access.Actor, l Lifting, key string) error {
	return k.act(ctx, actor, access.LiftQuarantine, key, l, func(tx *store.Tx, ref *store.Reference) error {
		q, ok := ref.Quarantines.On(l.Quarantine, civil.LastDay)
		if !ok {
			return fault.New(fault.NotFound, "There is no such quarantine.")
		}
		on, _ := ref.Inspections.On(l.Inspection, civil.LastDay)
		lift := rig.Lift{By: actor.Person, At: tx.Now(), Why: tx.Seal("quarantine/"+string(q.ID), "lift", strings.TrimSpace(l.Why))}
		q, err := q.Lifted(lift, on, tx.View().Zone())
		if err != nil {
			return err
		}
		_, err = tx.Put("lifted", 0, q)
		return err
	})
}

// TakeOut takes an item out of use from today on, for good, with the reason.
func (k *Keeper) TakeOut(ctx context.Context, actor access.Actor, of id.Item, why, key string) error {
	return k.act(ctx, actor, access.TakeItemOut, key, []string{string(of), why}, func(tx *store.Tx, ref *store.Reference) error {
		i, ok := ref.Items.On(of, tx.Today())
		if !ok {
			return fault.New(fault.NotFound, "There is no such item.")
		}
		if i.Out != 0 {
			return fault.New(fault.Conflict, "It has been taken out of use already.")
		}
		i.Out, i.Why = tx.Today(), tx.Seal("item/"+string(of), "why", strings.TrimSpace(why))
		if err := i.Check(); err != nil {
			return err
		}
		_, err := tx.Put("taken-out", 0, i)
		return err
	})
}
