package records

import (
	"cmp"
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/session"
)

// Calendar is the sessions of a week, a station or a person, and those that were
// among them once and are no longer.
type Calendar struct {
	Entry  int64
	Now    civil.Instant
	Name   string // of its person, "" for a week's or a station's
	Events []CalendarEvent
}

// CalendarEvent is a session as the calendar shows it.
type CalendarEvent struct {
	SessionRow // as it stands; where it has left, as it was last in this calendar
	Rev        int64
	Left       bool // whose calendar it is, or whom it was asked for, is no longer in it
	Moved      bool // it stands, at another time or place than this calendar shows
}

// Calendar returns the calendar of the filter's days.
func (d *Desk) Calendar(ctx context.Context, actor access.Actor, f SessionFilter) (out Calendar, err error) {
	err = d.Lists(ctx, actor, access.SeeWeek, func(l *Lists) error {
		of, err := l.traineesOf(f.Intake)
		if err != nil {
			return err
		}
		ours := f // whom it is asked for, wherever and whenever
		ours.Station, ours.Rig = "", ""
		first, end := l.Zone.StartOfDay(f.From), l.Zone.StartOfDay(f.Until+1)
		within := func(s session.Session) bool {
			return s.Start >= first && s.Start < end && l.chosen(f, of, s)
		}
		standing, err := l.view.SessionsBetween(first, end)
		if err != nil {
			return err
		}
		ever, err := l.view.EverBetween(first, end)
		if err != nil {
			return err
		}
		out, err = l.calendar(standing, ever, within, func(s session.Session) bool { return l.chosen(ours, of, s) })
		return err
	})
	return out, err
}

// PersonCalendar returns a person's calendar, as far back as there is any. A trainee
// may see their own and no other.
func (d *Desk) PersonCalendar(ctx context.Context, actor access.Actor, of id.Person) (out Calendar, err error) {
	err = d.PersonRecord(ctx, actor, of, func(l *Lists, p Person) error {
		var standing []session.Session
		for _, s := range p.Sessions {
			standing = append(standing, s.Session)
		}
		ever, err := l.view.EverOf(of, 0, l.Zone.StartOfDay(l.Today+366))
		if err != nil {
			return err
		}
		out, err = l.calendar(standing, ever, func(session.Session) bool { return true }, func(session.Session) bool { return false })
		out.Name = p.Name
		return err
	})
	return out, err
}

// calendar joins what stands with what once was within and has left. A session is
// the same event in every calendar (RFC 5545 section 3.8.4.7): one that was moved out
// of this one is told as it now stands, which is what the others tell of it, and
// is ended only for whom it is no longer for. ever holds revisions, the later ones of
// a session after the earlier.
func (l *Lists) calendar(standing, ever []session.Session, within, ours func(session.Session) bool) (Calendar, error) {
	out := Calendar{Entry: l.Entry, Now: l.Now}
	here := map[id.Session]bool{}
	for _, s := range standing {
		if within(s) {
			here[s.ID] = true
			out.Events = append(out.Events, CalendarEvent{SessionRow: l.sessionRow(s)})
		}
	}
	left := map[id.Session]session.Session{}
	for _, s := range ever {
		if !here[s.ID] && within(s) {
			left[s.ID] = s
		}
	}
	for _, s := range left {
		now, err := l.view.Session(s.ID)
		if err != nil {
			return out, err
		}
		if ours(now.Value) {
			out.Events = append(out.Events, CalendarEvent{SessionRow: l.sessionRow(now.Value), Moved: true})
			continue
		}
		out.Events = append(out.Events, CalendarEvent{SessionRow: l.sessionRow(s), Left: true})
	}
	slices.SortFunc(out.Events, func(a, b CalendarEvent) int {
		return cmp.Or(cmp.Compare(a.Start, b.Start), cmp.Compare(a.ID, b.ID))
	})
	ids := make([]id.Session, len(out.Events))
	for i, e := range out.Events {
		ids[i] = e.ID
	}
	revs, err := l.view.RevisionsOfSessions(ids...)
	for i := range out.Events {
		out.Events[i].Rev = revs[out.Events[i].ID]
	}
	return out, err
}
