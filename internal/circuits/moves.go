package circuits

import (
	"context"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/store"
)

// Send is one filled-in form: its key makes a double send harmless, Rev is the
// revision of the circuit's state that its page showed.
type Send struct {
	Key string
	Rev int64
}

// Isolate cuts a circuit off under a permit, with the person in charge's lock.
func (d *Desk) Isolate(ctx context.Context, actor access.Actor, of id.Circuit, permit string, inCharge id.Person, send Send) error {
	return d.move(ctx, actor, of, "isolated", []any{permit, inCharge}, send, func(tx *store.Tx, p Page) (rig.Isolation, error) {
		return p.Isolation.Isolate(sealed(tx, of, "permit", permit), inCharge, p.May(inCharge, p.Today), tx.Now())
	})
}

// LockOn notes that a person's own lock went on.
func (d *Desk) LockOn(ctx context.Context, actor access.Actor, of id.Circuit, who id.Person, send Send) error {
	return d.move(ctx, actor, of, "lock-on", who, send, func(tx *store.Tx, p Page) (rig.Isolation, error) {
		if who != "" && !slices.Contains(p.Lockers, who) {
			return p.Isolation, fault.Field("person", "They are not of the staff, and not in a session of today that needs this circuit.")
		}
		return p.Isolation.LockOn(who, tx.Now())
	})
}

// Test is what is said of a test that a circuit is dead.
type Test struct {
	By             id.Person
	Instrument     string
	ProvedBefore   bool
	ProvedAfter    bool
	StoredReleased bool
}

// TestDead records a test, done now.
func (d *Desk) TestDead(ctx context.Context, actor access.Actor, of id.Circuit, t Test, send Send) error {
	return d.move(ctx, actor, of, "tested-dead", t, send, func(tx *store.Tx, p Page) (rig.Isolation, error) {
		return p.Isolation.TestDead(rig.DeadTest{By: t.By, At: tx.Now(), Instrument: sealed(tx, of, "instrument", t.Instrument),
			ProvedBefore: t.ProvedBefore, ProvedAfter: t.ProvedAfter, StoredReleased: t.StoredReleased}, p.May(t.By, p.Today))
	})
}

// LockOff notes that a person took their own lock off, said by them or by the
// person in charge who saw it.
func (d *Desk) LockOff(ctx context.Context, actor access.Actor, of id.Circuit, who id.Person, send Send) error {
	return d.move(ctx, actor, of, "lock-off", who, send, func(tx *store.Tx, p Page) (rig.Isolation, error) {
		return p.Isolation.LockOff(who, actor.Person, false, tx.Now())
	})
}

// ForceLock notes that the lock of somebody who has left was taken off. sure: they
// were looked for, are clear, and were told.
func (d *Desk) ForceLock(ctx context.Context, actor access.Actor, of id.Circuit, who id.Person, sure bool, send Send) error {
	if _, err := access.Require(actor, access.ForceLock); err != nil {
		return err
	}
	return d.move(ctx, actor, of, "lock-forced-off", []any{who, sure}, send, func(tx *store.Tx, p Page) (rig.Isolation, error) {
		if !sure {
			return p.Isolation, fault.Field("sure", "See that they are clear of it, and tell them before they come back.")
		}
		return p.Isolation.LockOff(who, actor.Person, true, tx.Now())
	})
}

// Handover gives the isolation to another authorised person.
func (d *Desk) Handover(ctx context.Context, actor access.Actor, of id.Circuit, to id.Person, send Send) error {
	return d.move(ctx, actor, of, "handed-over", to, send, func(_ *store.Tx, p Page) (rig.Isolation, error) {
		return p.Isolation.Handover(to, p.May(to, p.Today))
	})
}

// Energise notes that a circuit is live. The actor answers for it, so they are
// authorised. It is refused while a session under way needs the circuit dead.
func (d *Desk) Energise(ctx context.Context, actor access.Actor, of id.Circuit, clear bool, send Send) error {
	return d.move(ctx, actor, of, "live", clear, send, func(tx *store.Tx, p Page) (rig.Isolation, error) {
		if _, runs := p.UnderWay("dead"); runs {
			return p.Isolation, fault.Field("clear", "It stays dead: a session under way needs it so.")
		}
		return p.Isolation.Energise(p.May(actor.Person, p.Today), clear, tx.Now())
	})
}

// Doubt notes that the state is no longer sure.
func (d *Desk) Doubt(ctx context.Context, actor access.Actor, of id.Circuit, send Send) error {
	return d.move(ctx, actor, of, "in-doubt", nil, send, func(tx *store.Tx, p Page) (rig.Isolation, error) {
		return p.Isolation.Doubt(tx.Now())
	})
}

// move writes one move of a circuit as a page showed it.
func (d *Desk) move(ctx context.Context, actor access.Actor, of id.Circuit, act string, content any, send Send,
	do func(*store.Tx, Page) (rig.Isolation, error)) error {
	role, err := access.Require(actor, access.ChangeIsolation)
	if err != nil {
		return err
	}
	_, err = d.store.Write(ctx, store.Command{Key: send.Key, Content: []any{act, of, send.Rev, content}, Actor: actor, Role: role},
		func(tx *store.Tx) (store.Outcome, error) {
			if err := tx.Expect("isolation", string(of), send.Rev); err != nil {
				return "", err
			}
			p, err := read(tx.View(), of)
			if err != nil {
				return "", err
			}
			next, err := do(tx, p)
			if err != nil {
				return "", err
			}
			_, err = tx.Put(act, 0, next)
			return "", err
		})
	return err
}

// sealed keeps a text beside the ledger; an empty one stays empty.
func sealed(tx *store.Tx, of id.Circuit, field, text string) id.Commitment {
	if text = strings.TrimSpace(text); text == "" {
		return ""
	}
	return tx.Seal("isolation/"+string(of), field, text)
}

// Granting says who may be in charge of a circuit, and when.
type Granting struct {
	Person      id.Person
	From, Until civil.Day
}

// Authorise lets a member of the staff be in charge of a circuit.
func (d *Desk) Authorise(ctx context.Context, actor access.Actor, of id.Circuit, g Granting, key string) error {
	role, err := access.Require(actor, access.AuthoriseCircuit)
	if err != nil {
		return err
	}
	_, err = d.store.Write(ctx, store.Command{Key: key, Content: []any{access.AuthoriseCircuit, of, g}, Actor: actor, Role: role},
		func(tx *store.Tx) (store.Outcome, error) {
			p, err := read(tx.View(), of)
			if err != nil {
				return "", err
			}
			bad := fault.Fields{}
			_, staff := p.Ref.Staff.On(g.Person, p.Today)
			switch {
			case !staff:
				bad.Add("person", "Choose a member of the staff.")
			case g.Person == actor.Person:
				bad.Add("person", "Nobody authorises themselves.")
			}
			switch {
			case g.From == 0:
				bad.Add("from", "Give the first day.")
			case g.Until == 0:
				bad.Add("until", "Give the last day.")
			case g.Until < g.From:
				bad.Add("until", "The last day is before the first.")
			case g.Until < p.Today:
				bad.Add("until", "It is over already.")
			}
			if err := bad.Err(); err != nil {
				return "", err
			}
			_, err = tx.Put("authorised", 0, rig.Authority{ID: id.Authority(tx.ID()), Circuit: of, Person: g.Person, From: g.From, Until: g.Until, By: actor.Person})
			return "", err
		})
	return err
}

// TakeBack ends an authority at once.
func (d *Desk) TakeBack(ctx context.Context, actor access.Actor, of id.Authority, key string) (id.Circuit, error) {
	role, err := access.Require(actor, access.AuthoriseCircuit)
	if err != nil {
		return "", err
	}
	out, err := d.store.Write(ctx, store.Command{Key: key, Content: []any{"authority-taken-back", of}, Actor: actor, Role: role},
		func(tx *store.Tx) (store.Outcome, error) {
			row, err := tx.View().Authority(of)
			if err != nil {
				return "", err
			}
			a := row.Value
			if a.Ended {
				return store.Outcome(a.Circuit), nil
			}
			a.Ended = true
			_, err = tx.Put("taken-back", 0, a)
			return store.Outcome(a.Circuit), err
		})
	return id.Circuit(out), err
}
