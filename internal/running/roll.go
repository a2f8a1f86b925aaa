package running

import (
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// At is a moment as a form gives it: 0 = now.
type At = civil.Instant

// moment completes a moment and refuses one to come, or of another day.
func (s *Scene) moment(at At) (civil.Instant, error) {
	if at == 0 {
		at = s.Then
	}
	switch {
	case at > s.Now:
		return 0, fault.Field("at", "That time is still to come. Leave it empty for now.")
	case s.View.Zone().DayOf(at) != s.Day:
		return 0, fault.Field("at", "That is on another day than the session. Give a time of its own day.")
	}
	return at, nil
}

// today refuses what is done at the rig on another day than the session's.
func (s *Scene) today() error {
	if s.View.Zone().DayOf(s.Then) != s.Day {
		return fault.New(fault.Conflict, "The session is on another day. What happened then is typed up from its day sheet.")
	}
	return nil
}

// Roll keeps who is here at a moment; seen are all who were asked about. rollRev is
// the revision of the attendance that the page showed. Where something that must
// stand falls away with it the session is paused from that moment, and the gates
// that do not hold are returned.
func (d *Desk) Roll(ctx context.Context, actor access.Actor, sid id.Session, send Send, rollRev int64, at At, here []session.Seen) (fell []Gate, err error) {
	what := []any{string(session.ToCallRoll), rollRev, at, here}
	_, err = d.change(ctx, actor, sid, send, what, func(tx *store.Tx, s *Scene) error {
		if err := tx.Expect("attendance", string(sid), rollRev); err != nil {
			return err
		}
		if err := s.mayCall(); err != nil {
			return err
		}
		seen := s.asked(here)
		if len(seen) < len(here) {
			return fault.New(fault.Invalid, "Somebody ticked is not in the session. Open the page again.")
		}
		if at, err = s.moment(at); err != nil {
			return err
		}
		fell, err = d.call(tx, s, at, seen)
		return err
	})
	return fell, err
}

// mayCall refuses a roll of a session that is not here and now.
func (s *Scene) mayCall() error {
	if _, err := session.Next(s.Session.State, session.ToCallRoll); err != nil {
		return err
	}
	if s.Session.Ended() {
		return fault.New(fault.Conflict, "The session has ended; what is left is its results and the signature.")
	}
	return s.today()
}

// asked is everybody of the session, with those ticked marked as here.
func (s *Scene) asked(ticked []session.Seen) []session.Seen {
	var out []session.Seen
	left := slices.Clone(ticked)
	add := func(who string, part session.Part) {
		same := func(x session.Seen) bool { return x.Who == who && x.Part == part }
		out = append(out, session.Seen{Who: who, Part: part, Here: slices.ContainsFunc(ticked, same)})
		left = slices.DeleteFunc(left, same)
	}
	for _, p := range s.Session.Instructors {
		add(string(p), session.AsInstructor)
	}
	for _, p := range s.Session.Rescuers {
		add(string(p), session.AsRescuer)
	}
	for _, t := range s.Session.Trainees {
		add(string(t), session.AsTrainee)
	}
	for _, p := range s.Session.Others {
		add(string(p), session.AsOther)
	}
	if len(left) > 0 {
		return nil
	}
	return out
}

// call writes the roll, and a pause where something falls away with it.
func (d *Desk) call(tx *store.Tx, s *Scene, at civil.Instant, seen []session.Seen) (fell []Gate, err error) {
	began := civil.Instant(0)
	if s.Session.Run != nil {
		began = s.Session.Run.Began
	}
	a, err := s.Attendance.Call(at, began, seen)
	if err != nil {
		return nil, err
	}
	if len(a.Presences) == 0 && s.RollRev == 0 {
		return nil, fault.Field("here", "Nobody is ticked. Tick who is here.")
	}
	if _, err := tx.Put(string(session.ToCallRoll), s.Day, a); err != nil {
		return nil, err
	}
	s.Attendance = a
	s.judge()
	return s.guard(tx, at)
}

// guard pauses a running session where something that must stand does not, from
// the moment at which it fell away.
func (s *Scene) guard(tx *store.Tx, since civil.Instant) (fell []Gate, err error) {
	if !s.underWay() || s.Session.Paused() || s.Session.Ended() {
		return nil, nil
	}
	gates, err := s.Gates()
	if err != nil {
		return nil, err
	}
	if fell = Shut(gates, s.Session.State); len(fell) == 0 {
		return nil, nil
	}
	rec, err := s.Session.Pause(max(since, s.Session.Since()), session.PauseFellAway)
	if err != nil {
		return nil, err
	}
	last := &rec.Run.Pauses[len(rec.Run.Pauses)-1]
	for _, g := range fell {
		if !slices.Contains(last.Fell, g.Name) {
			last.Fell = append(last.Fell, g.Name)
		}
	}
	s.Session = rec
	_, err = tx.Put(string(session.ToPause), s.Day, rec)
	return fell, err
}
