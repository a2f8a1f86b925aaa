package running

import (
	"context"
	"errors"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// Send is one filled-in form: its key makes a double send harmless, Rev is the
// revision of the session that its page showed. What was entered without signal
// comes later: Happened is when it was entered, 0 = now, and After are the keys of
// what the same phone entered between its page and this.
type Send struct {
	Key      string
	Rev      int64
	Happened civil.Instant
	After    []string
}

// errShut ends a transaction because a gate does not hold; the gates themselves
// are the answer.
var errShut = errors.New("a gate does not hold")

// Start puts a booked session under way. Where a gate does not hold nothing is
// written, and those gates are returned.
func (d *Desk) Start(ctx context.Context, actor access.Actor, sid id.Session, send Send) (shut []Gate, err error) {
	return d.pass(ctx, actor, sid, send, session.ToStart, func(s *Scene) (session.Session, error) {
		return s.Session.Started(s.Now)
	})
}

// pass makes a move for which every gate must hold.
func (d *Desk) pass(ctx context.Context, actor access.Actor, sid id.Session, send Send, move session.Move,
	to func(*Scene) (session.Session, error)) (shut []Gate, err error) {
	_, err = d.change(ctx, actor, sid, send, []string{string(move)}, func(tx *store.Tx, s *Scene) error {
		rec, err := to(s)
		if err != nil {
			return err
		}
		gates, err := s.Gates()
		if err != nil {
			return err
		}
		if shut = Shut(gates, s.Session.State); len(shut) > 0 {
			return errShut
		}
		_, err = tx.Put(string(move), s.Day, rec)
		return err
	})
	if errors.Is(err, errShut) {
		return shut, nil
	}
	return nil, err
}

// change writes something of a session at the rig. The scene is that of the
// transaction; what is written counts from the session's day. ran is false where
// the same form was sent before. more are staff to be judged beside those in it.
func (d *Desk) change(ctx context.Context, actor access.Actor, sid id.Session, send Send, what any,
	do func(*store.Tx, *Scene) error, more ...id.Person) (ran bool, err error) {
	return d.changeAs(ctx, actor, access.RunSession, sid, send, what, do, more...)
}

// close is change for what no rule stops any more: the session is not judged.
func (d *Desk) close(ctx context.Context, actor access.Actor, sid id.Session, send Send, what any, do func(*store.Tx, *Scene) error) error {
	_, err := d.changeIn(ctx, actor, access.RunSession, sid, send, what, do, func(v *store.View) (*Scene, error) { return d.record(v, sid) })
	return err
}

func (d *Desk) changeAs(ctx context.Context, actor access.Actor, action access.Action, sid id.Session, send Send, what any,
	do func(*store.Tx, *Scene) error, more ...id.Person) (ran bool, err error) {
	return d.changeIn(ctx, actor, action, sid, send, what, do, func(v *store.View) (*Scene, error) { return d.scene(v, sid, more...) })
}

func (d *Desk) changeIn(ctx context.Context, actor access.Actor, action access.Action, sid id.Session, send Send, what any,
	do func(*store.Tx, *Scene) error, look func(*store.View) (*Scene, error)) (ran bool, err error) {
	role, err := access.Require(actor, action)
	if err != nil {
		return false, err
	}
	cmd := store.Command{Key: send.Key, Content: content{"run", sid, send.Rev, what}, Actor: actor, Role: role, After: append(slices.Clone(send.After), fellKey(sid, send.Rev))}
	if send.Happened <= d.store.Now() {
		cmd.HappenedAt = send.Happened
	}
	_, err = d.store.Write(ctx, cmd, func(tx *store.Tx) (store.Outcome, error) {
		ran = true
		if err := tx.Expect("session", string(sid), send.Rev); err != nil {
			return "", err
		}
		s, err := look(tx.View())
		if err != nil {
			return "", err
		}
		s.happened(send.Happened)
		s.Starter = actor.Person
		return store.Outcome(sid), do(tx, s)
	})
	return ran, err
}

// content is what a command's key stands for.
type content struct {
	Action  string
	Session id.Session
	Rev     int64
	What    any
}
