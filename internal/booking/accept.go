package booking

import (
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// Accept accepts one caution of a session that is still to run. own must be true
// when the person booked the session themselves.
func (d *Desk) Accept(ctx context.Context, actor access.Actor, sid id.Session, subject, reason string, own bool, key string) error {
	role, err := access.Require(actor, access.AcceptCaution)
	if err != nil {
		return err
	}
	if reason == "" {
		return fault.Field("reason", "Write why this caution is acceptable; it stands in the record.")
	}
	if role, err = d.roleFor(ctx, actor, sid, subject, role); err != nil {
		return err
	}
	_, err = d.store.Write(ctx, store.Command{Key: key, Content: []string{"accept", string(sid), subject, reason}, Actor: actor, Role: role},
		func(tx *store.Tx) (store.Outcome, error) {
			return store.Outcome(sid), d.accept(tx, actor, sid, subject, reason, own)
		})
	return err
}

// roleFor returns the role in which the actor may accept the caution, for the
// entry to name; otherwise, where it waits no more, the write itself says so.
func (d *Desk) roleFor(ctx context.Context, actor access.Actor, sid id.Session, subject string, otherwise access.Role) (role access.Role, err error) {
	role = otherwise
	err = d.store.Read(ctx, func(v *store.View) error {
		j, _, err := d.current(v, sid)
		if err != nil {
			return err
		}
		if i := slices.IndexFunc(j.Waits, func(f verdict.Finding) bool { return f.Subject() == subject }); i >= 0 {
			role, err = access.RequireAccept(actor, j.Waits[i].Field)
		}
		return err
	})
	return role, err
}

func (d *Desk) accept(tx *store.Tx, actor access.Actor, sid id.Session, subject, reason string, own bool) error {
	j, row, err := d.current(tx.View(), sid)
	if err != nil {
		return err
	}
	if !Waiting(row.Value) {
		return fault.New(fault.Conflict, "A session that is %s waits for nothing.", session.Words(row.Value.State))
	}
	if err := toCome(row.Value, tx.Now()); err != nil {
		return err
	}
	i := slices.IndexFunc(j.Waits, func(f verdict.Finding) bool { return f.Subject() == subject })
	if i < 0 {
		return fault.New(fault.Conflict, "This caution does not wait any more: it was accepted, or the session has changed.")
	}
	f := j.Waits[i]
	if _, err := access.RequireAccept(actor, f.Field); err != nil {
		return err
	}
	booker, err := bookerOf(tx.View(), sid)
	if err != nil {
		return err
	}
	if booker == actor.Person && !own {
		return fault.Field("own", "You booked this session. Tick that it is your own acceptance; it is listed for the auditor.")
	}
	if err := putAcceptance(tx, actor, sid, f, reason, booker == actor.Person); err != nil {
		return err
	}
	if len(j.Waits) == 1 && row.Value.State == session.Pencilled && j.Report.Level() != verdict.Stops {
		rec := row.Value
		rec.State = session.Booked
		_, err = tx.Put(string(session.ToBook), tx.Today(), rec)
	}
	return err
}

func putAcceptance(tx *store.Tx, actor access.Actor, sid id.Session, f verdict.Finding, reason string, own bool) error {
	aid := tx.ID()
	_, err := tx.Put("accepted", tx.Today(), session.Acceptance{
		ID: id.Acceptance(aid), Session: sid, Rule: f.Rule, Subject: session.SubjectOf(f), Field: f.Field, By: actor.Person,
		Reason: tx.Seal("acceptance/"+aid, "reason", reason), Own: own,
	})
	return err
}

// markAccepted sorts out which cautions of an existing session were accepted
// before.
func (j *Judged) markAccepted(v *store.View, sid id.Session) error {
	var accepted []session.Acceptance
	if sid != "" {
		var err error
		if accepted, err = v.Acceptances(sid); err != nil {
			return err
		}
	}
	j.Waits = session.Waits(j.Report.At(verdict.Cautions), accepted)
	return nil
}

// bookerOf returns who last gave the session its time, place or people, or
// reopened it; whoever accepted a caution since did not.
func bookerOf(v *store.View, sid id.Session) (booker id.Person, err error) {
	history, err := v.SessionHistory(sid)
	for i, r := range history {
		if i == 0 || r.Value.State != session.StoodDown && gaveAnew(history[i-1].Value, r.Value) {
			booker = r.Actor
		}
	}
	return booker, err
}

// gaveAnew reports whether a revision gave a session other times, another place
// or other people, or brought it back.
func gaveAnew(was, is session.Session) bool {
	return was.State == session.StoodDown || was.Exercise != is.Exercise || was.Station != is.Station || was.Start != is.Start || was.End != is.End ||
		!slices.Equal(was.Trainees, is.Trainees) || !slices.Equal(was.Instructors, is.Instructors) || !slices.Equal(was.Rescuers, is.Rescuers)
}
