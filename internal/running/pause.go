package running

import (
	"context"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// Pause stops the work for a while. A reason of session.PauseFellAway is taken only
// where something that must stand does not. Pausing is always allowed: it is safe.
func (d *Desk) Pause(ctx context.Context, actor access.Actor, sid id.Session, send Send, at At, why session.PauseReason) error {
	_, err := d.change(ctx, actor, sid, send, []any{string(session.ToPause), at, why}, func(tx *store.Tx, s *Scene) error {
		if err := s.today(); err != nil {
			return err
		}
		at, err := s.moment(at)
		if err != nil {
			return err
		}
		if s.Session.Paused() && s.Session.LastPause().Why == session.PauseFellAway && s.Row.Rev != send.Rev {
			rec, err := s.Session.PausedEarlier(at) // the program was quicker, or saw it later
			if err != nil || rec.LastPause().Start == s.Session.LastPause().Start {
				return err
			}
			_, err = tx.Put(string(session.ToPause), s.Day, rec)
			return err
		}
		rec, err := s.Session.Pause(at, why)
		if err != nil {
			return err
		}
		if why == session.PauseFellAway {
			gates, err := s.Gates()
			if err != nil {
				return err
			}
			if len(Shut(gates, s.Session.State)) == 0 {
				return fault.New(fault.Conflict, "Everything stands again. Pause it for another reason, or go on.")
			}
		}
		_, err = tx.Put(string(session.ToPause), s.Day, rec)
		return err
	})
	return err
}

// Resume lets the work go on from now. Where a gate that must stand does not hold
// nothing is written, and those gates are returned.
func (d *Desk) Resume(ctx context.Context, actor access.Actor, sid id.Session, send Send) (shut []Gate, err error) {
	return d.pass(ctx, actor, sid, send, session.ToResume, func(s *Scene) (session.Session, error) {
		return s.Session.Resume(s.Then)
	})
}

// End says when nobody worked any more. It is always allowed.
func (d *Desk) End(ctx context.Context, actor access.Actor, sid id.Session, send Send, at At) error {
	return d.close(ctx, actor, sid, send, []any{string(session.ToEnd), at}, func(tx *store.Tx, s *Scene) error {
		at, err := s.moment(at)
		if err != nil {
			return err
		}
		rec, a, err := s.Session.Finish(at, s.Attendance)
		if err != nil {
			return err
		}
		if _, err := tx.Put(string(session.ToEnd), s.Day, rec); err != nil {
			return err
		}
		_, err = tx.Put(string(session.ToEnd), s.Day, a)
		return err
	})
}
