package running

import (
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// Sheet is what a day sheet says that was filled in and signed at the rig.
type Sheet struct {
	Run       session.Run
	Presences []session.Presence // of those who came; nobody else did
	// Stated: the sheet says that all that must stand stood when it began, and is
	// signed. It can't be looked up any more.
	Stated bool
}

// TypeUp takes a paper sheet in, of a session that was booked, is over and was not
// run here. It then waits for its results and its signature like any other, and is
// marked as typed up for good.
func (d *Desk) TypeUp(ctx context.Context, actor access.Actor, sid id.Session, send Send, sheet Sheet) error {
	_, err := d.change(ctx, actor, sid, send, []any{string(session.ToTypeUp), sheet}, func(tx *store.Tx, s *Scene) error {
		if s.Session.End > s.Now {
			return fault.New(fault.Conflict, "Its time is not over: run it on its page. A sheet is typed up afterwards.")
		}
		if !sheet.Stated {
			return fault.Field("stated", "A sheet that does not say so can't be taken: whether all stood can't be looked up any more.")
		}
		if max(sheet.Run.Ended, sheet.Run.Began) > s.Now || s.View.Zone().DayOf(sheet.Run.Began) != s.Day {
			return fault.Field("began", "The times lie on another day than the session, or are still to come.")
		}
		seen := s.asked(nil)
		for _, p := range sheet.Presences {
			if !slices.ContainsFunc(seen, func(x session.Seen) bool { return x.Who == p.Who && x.Part == p.Part }) {
				return fault.New(fault.Invalid, "Somebody on the sheet is not in the session. Open the page again.")
			}
		}
		rec, a, err := s.Session.TypedUp(sheet.Run, sheet.Presences)
		if err != nil {
			return err
		}
		if _, err := tx.Put(string(session.ToTypeUp), s.Day, rec); err != nil {
			return err
		}
		_, err = tx.Put(string(session.ToTypeUp), s.Day, a)
		return err
	})
	return err
}
