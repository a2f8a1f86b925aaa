package running

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"time"

	"rungbook/internal/access"
	"rungbook/internal/id"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// lookAgain is how often running sessions are looked at though nobody wrote: a
// reading grows old by itself.
const lookAgain = 20 * time.Second

// breath is the least time between two looks, so that an import is not slowed down.
const breath = 100 * time.Millisecond

// Watch pauses what falls away by itself, until the context ends: whoever shuts a
// station, takes a kit out or sends somebody home may know of no session. It looks
// after each write, and from time to time.
func (d *Desk) Watch(ctx context.Context, log *slog.Logger) {
	for ctx.Err() == nil {
		wrote := d.store.Wrote() // before the look: nothing is missed
		if _, err := d.PauseFallen(ctx); err != nil && ctx.Err() == nil {
			log.Error("running sessions could not be looked at", "err", err)
		}
		pause(ctx, breath, nil)
		pause(ctx, lookAgain, wrote)
	}
}

func pause(ctx context.Context, length time.Duration, sooner <-chan struct{}) {
	t := time.NewTimer(length)
	defer t.Stop()
	select {
	case <-ctx.Done():
	case <-sooner:
	case <-t.C:
	}
}

// PauseFallen pauses each running session for which something that must stand does
// not any more, and returns them. Nobody's name stands at the pause: the program saw
// it. A session whose time is over is left to whoever ends it.
func (d *Desk) PauseFallen(ctx context.Context) (paused []id.Session, err error) {
	type seen struct {
		session id.Session
		rev     int64
	}
	var fell []seen
	err = d.store.Read(ctx, func(v *store.View) error {
		list, err := v.UnderWay()
		if err != nil {
			return err
		}
		for _, x := range list {
			if x.Paused() || x.Ended() || v.Now() >= x.End {
				continue
			}
			s, err := d.scene(v, x.ID)
			if err != nil {
				return err
			}
			gates, err := s.Gates()
			if err != nil {
				return err
			}
			if len(Shut(gates, x.State)) > 0 {
				fell = append(fell, seen{x.ID, s.Row.Rev})
			}
		}
		return nil
	})
	var errs []error
	for _, f := range fell {
		done, one := d.pauseFallen(ctx, f.session, f.rev)
		if errs = append(errs, one); done {
			paused = append(paused, f.session)
		}
	}
	return paused, errors.Join(append(errs, err)...)
}

// errStands ends a transaction because there is nothing to pause any more.
var errStands = errors.New("everything stands")

// pauseFallen pauses a session that was seen in a revision, if it is still so.
func (d *Desk) pauseFallen(ctx context.Context, sid id.Session, rev int64) (bool, error) {
	cmd := store.Command{Key: fellKey(sid, rev), Content: content{"run", sid, rev, string(session.PauseFellAway)}, Actor: access.Actor{}}
	done := false
	_, err := d.store.Write(ctx, cmd, func(tx *store.Tx) (store.Outcome, error) {
		s, err := d.scene(tx.View(), sid)
		if err != nil {
			return "", err
		}
		if s.Row.Rev != rev {
			return "", errStands // somebody acted meanwhile; the next look sees what they left
		}
		fell, err := s.guard(tx, s.Now)
		if err == nil && len(fell) == 0 {
			err = errStands
		}
		done = err == nil
		return store.Outcome(sid), err
	})
	if errors.Is(err, errStands) {
		return false, nil
	}
	return done, err
}

// fellKey is the key of the pause of a session that was seen in a revision: the same
// from every look, so that it is written once. Whoever acts on a page that shows this
// revision has not been overtaken by anybody.
func fellKey(sid id.Session, rev int64) string { return fmt.Sprintf("fell-away/%s/%d", sid, rev) }
