package booking

import (
	"context"
	"errors"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/plan"
	"rungbook/internal/planning"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// Send is one filled-in form: its key makes a double send harmless, Seen is the
// last entry its page had shown, Reason is what the person wrote when accepting
// cautions of their own booking.
type Send struct {
	Key    string
	Seen   int64
	Reason string
}

// Done is what a change came to: where the session is, or why nothing was
// written.
type Done struct {
	Session id.Session
	Refused *Judged // nil when written
	// Waits counts the cautions that keep the session pencilled; of a form that was
	// sent twice it says only whether any does.
	Waits int
}

// Book books a session, or pencils it where a caution waits to be accepted. The
// session is a new one, whatever the proposal says.
func (d *Desk) Book(ctx context.Context, actor access.Actor, p Proposal, send Send) (Done, error) {
	p.Session = ""
	return d.change(ctx, actor, access.BookSession, p, send, session.ToBook, func(*store.Tx) (session.Session, error) {
		return session.Session{}, nil
	})
}

// Move gives a session another time or place, and the people chosen for it.
func (d *Desk) Move(ctx context.Context, actor access.Actor, p Proposal, rev int64, send Send) (Done, error) {
	return d.revise(ctx, actor, access.MoveSession, p, rev, send, session.ToMove)
}

// ChangePeople gives a session other people at the same time and place.
func (d *Desk) ChangePeople(ctx context.Context, actor access.Actor, p Proposal, rev int64, send Send) (Done, error) {
	return d.revise(ctx, actor, access.ChangePeople, p, rev, send, session.ToChangePeople)
}

// Reopen books a session again that was stood down, judged as if it were new.
func (d *Desk) Reopen(ctx context.Context, actor access.Actor, sid id.Session, rev int64, send Send) (Done, error) {
	p, err := d.standing(ctx, sid)
	if err != nil {
		return Done{}, err
	}
	return d.revise(ctx, actor, access.ReopenSession, p, rev, send, session.ToReopen)
}

// Confirm books a pencilled session that nothing keeps pencilled any more.
func (d *Desk) Confirm(ctx context.Context, actor access.Actor, sid id.Session, rev int64, send Send) (Done, error) {
	p, err := d.standing(ctx, sid)
	if err != nil {
		return Done{}, err
	}
	return d.revise(ctx, actor, access.BookSession, p, rev, send, session.ToBook)
}

// standing returns a session as it stands, as a proposal.
func (d *Desk) standing(ctx context.Context, sid id.Session) (p Proposal, err error) {
	err = d.store.Read(ctx, func(v *store.View) error {
		row, err := v.Session(sid)
		p = proposalOf(row.Value)
		return err
	})
	return p, err
}

// revise changes a session that exists, if its state allows it, its time has not
// come and it has not moved on meanwhile.
func (d *Desk) revise(ctx context.Context, actor access.Actor, action access.Action, p Proposal, rev int64, send Send, act session.Move) (Done, error) {
	return d.change(ctx, actor, action, p, send, act, func(tx *store.Tx) (session.Session, error) {
		row, err := tx.View().Session(p.Session)
		if err != nil {
			return session.Session{}, err
		}
		if err := tx.Expect("session", string(p.Session), rev); err != nil {
			return session.Session{}, err
		}
		if err := session.MayChange(row.Value.State, string(act)); err != nil {
			return session.Session{}, err
		}
		return row.Value, toCome(row.Value, tx.Now())
	})
}

// toCome refuses to change a session whose time has come: what ran is recorded
// and not booked anew, and what did not is stood down.
func toCome(r session.Session, now civil.Instant) error {
	if Started(r, now) && r.State != session.StoodDown {
		return fault.New(fault.Conflict, "Its time has come: it can't be changed any more, only be stood down.")
	}
	return nil
}

// change judges a proposal inside the transaction and writes it if no rule stops.
// before returns the session that it changes, and refuses what may not be.
func (d *Desk) change(ctx context.Context, actor access.Actor, action access.Action, p Proposal, send Send, act session.Move,
	before func(*store.Tx) (session.Session, error)) (Done, error) {
	role, err := access.Require(actor, action)
	if err != nil {
		return Done{}, err
	}
	var done Done
	ran := false
	outcome, err := d.store.Write(ctx, store.Command{Key: send.Key, Content: content{string(action), p, send.Reason}, Actor: actor, Role: role},
		func(tx *store.Tx) (store.Outcome, error) {
			ran = true
			if p.Session == "" {
				p.fresh = tx.ID()
			}
			was, err := before(tx)
			if err != nil {
				return "", err
			}
			if err := p.settle(tx, was); err != nil {
				return "", err
			}
			j, err := d.judge(tx.View(), p, send.Seen)
			if err != nil {
				return "", err
			}
			if j.Report.Level() == verdict.Stops {
				done.Refused = &j
				return "", errRefused
			}
			rec := record(j.Session).WithOthers(p.others)
			rec.Trial, rec.TrialOf = p.trial, p.Trial
			if was.State != session.StoodDown { // whose note says why it was stood down
				rec.Note = was.Note
			}
			done.Waits, err = settle(tx, actor, rec, act, j.Waits, send.Reason)
			return store.Outcome(rec.ID), err
		})
	if errors.Is(err, errRefused) {
		return done, nil
	}
	done.Session = id.Session(outcome)
	if err == nil && !ran { // sent twice: say what became of it the first time
		err = d.store.Read(ctx, func(v *store.View) error {
			row, err := v.Session(done.Session)
			if row.Value.State == session.Pencilled {
				done.Waits = 1
			}
			return err
		})
	}
	return done, err
}

// content is what a command's key stands for.
type content struct {
	Action   string
	Proposal Proposal
	Reason   string
}

// settle writes the session: booked when nothing waits, or when the booker may
// accept all that waits and gave a reason (marked as their own acceptance);
// pencilled otherwise. It returns how many cautions wait.
func settle(tx *store.Tx, actor access.Actor, rec session.Session, act session.Move, waits []verdict.Finding, reason string) (left int, err error) {
	rec.State = session.Booked
	own := reason != "" && !slices.ContainsFunc(waits, func(f verdict.Finding) bool { return !access.MayAccept(actor, f.Field) })
	if len(waits) > 0 && !own {
		rec.State = session.Pencilled
		if act == session.ToBook {
			act = session.ToPencil
		}
	}
	if _, err := tx.Put(string(act), tx.Today(), rec); err != nil {
		return 0, err
	}
	if !own {
		return len(waits), nil
	}
	for _, f := range waits {
		if err := putAcceptance(tx, actor, rec.ID, f, reason, true); err != nil {
			return 0, err
		}
	}
	return 0, nil
}

// record is a planned session as a record; its state is set by settle.
func record(p plan.Session) session.Session {
	return session.Session{
		ID: id.Session(p.ID), Exercise: planning.Stood(p.Exercise), Station: id.Station(p.Station), Start: p.Start, End: p.End,
		Trainees: planning.IDs[id.Trainee](p.Trainees), Instructors: planning.IDs[id.Person](p.Instructors),
		Rescuers: planning.IDs[id.Person](p.Rescuers),
	}
}

func proposalOf(r session.Session) Proposal {
	return Proposal{Session: r.ID, Exercise: r.Exercise, Station: r.Station, Start: r.Start,
		Trainees: r.Trainees, Instructors: r.Instructors, Rescuers: r.Rescuers, Trial: r.TrialOf, trial: r.Trial, others: r.TheOthers()}
}

// StandDown takes a session off the board. It is never refused by a rule, because
// stopping is always safe; sessions that depended on it then stand on the list
// of what needs attention.
func (d *Desk) StandDown(ctx context.Context, actor access.Actor, sid id.Session, rev int64, reason session.DownReason, note string, key string) error {
	role, err := access.Require(actor, access.StandDown)
	if err != nil {
		return err
	}
	if !session.KnownDownReason(reason) {
		return fault.Field("reason", "Choose why it is stood down: weather, rig, people not available, or other.")
	}
	_, err = d.store.Write(ctx, store.Command{Key: key, Content: []string{"stand-down", string(sid), string(reason), note}, Actor: actor, Role: role},
		func(tx *store.Tx) (store.Outcome, error) {
			row, err := tx.View().Session(sid)
			if err != nil {
				return "", err
			}
			if err := tx.Expect("session", string(sid), rev); err != nil {
				return "", err
			}
			if err := session.MayChange(row.Value.State, string(session.ToStandDown)); err != nil {
				return "", err
			}
			rec := row.Value
			rec.State, rec.Down, rec.Note = session.StoodDown, reason, tx.Seal("session/"+string(sid), "note", note)
			_, err = tx.Put(string(session.ToStandDown), tx.Today(), rec)
			return store.Outcome(sid), err
		})
	return err
}

// current judges a session as it stands, as if it were put on a board without it.
func (d *Desk) current(v *store.View, sid id.Session) (Judged, store.Row[session.Session], error) {
	row, err := v.Session(sid)
	if err != nil {
		return Judged{}, row, err
	}
	s, err := d.slice(v, proposalOf(row.Value))
	if err != nil {
		return Judged{}, row, err
	}
	j := Judged{Session: planning.AsPlan(row.Value), Slice: s, Report: s.Standalone(planning.AsPlan(row.Value))}
	return j, row, j.markAccepted(v, sid)
}

// Started reports whether a session's start lies before now.
func Started(r session.Session, now civil.Instant) bool { return r.Start <= now }
