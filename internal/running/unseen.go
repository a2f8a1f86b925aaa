package running

import (
	"context"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// happened says when what is sent was entered. A clock that runs ahead says now.
func (s *Scene) happened(at civil.Instant) {
	if at != 0 && at < s.Now {
		s.Then = at
	}
}

// Unseen is what a session that starts without signal is started on.
type Unseen struct {
	AsOf  civil.Instant // when the phone last saw the yard
	Voice string        // whom of the yard was reached by voice
	At    At            // when; 0 = as it started
}

// StartUnseen puts a session under way that was started without signal. It took
// place, so it is recorded whatever the gates say now: those that do not hold are
// kept with it and returned, and where one of them must stand while it runs it is
// paused from its start. Errors: fault.Invalid at "voice" or "voice_at".
func (d *Desk) StartUnseen(ctx context.Context, actor access.Actor, sid id.Session, send Send, u Unseen) (missing []Gate, err error) {
	u.Voice = strings.TrimSpace(u.Voice)
	_, err = d.change(ctx, actor, sid, send, []any{string(session.ToStart), u}, func(tx *store.Tx, s *Scene) error {
		if err := s.today(); err != nil {
			return err
		}
		if u.Voice == "" {
			return fault.Field("voice", "Say whom of the yard you reached by voice. Without that nobody starts out of sight.")
		}
		at, err := s.moment(u.At)
		if err != nil {
			return fault.Field("voice_at", "%s", fault.Message(err))
		}
		gates, err := s.Gates()
		if err != nil {
			return err
		}
		rec, err := s.Session.Started(s.Then)
		if err != nil {
			return err
		}
		missing = Shut(gates, s.Session.State)
		rec.Run.Unseen = &session.Unseen{AsOf: min(u.AsOf, s.Then), Voice: tx.Seal("session/"+string(sid), "voice", u.Voice), VoiceAt: at, Sent: s.Now}
		for _, g := range missing {
			rec.Run.Unseen.Missing = append(rec.Run.Unseen.Missing, g.Name)
		}
		if _, err := tx.Put(string(session.ToStart), s.Day, rec); err != nil {
			return err
		}
		s.Session = rec
		s.judge()
		_, err = s.guard(tx, s.Then)
		return err
	})
	return missing, err
}
