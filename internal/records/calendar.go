package records

import (
	"cmp"
	"context"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/session"
)

// Calendar is the sessions of a week, a station or a person, and those that were
// among them once and are no longer.
type Calendar struct {
	// Of names what the calendar is of, the same for ever: a session has an event of
	// its own in each, so that one that left a station's calendar does not end the
	// event that another's took in.
	Of     string
	Entry  int64
	Now    civil.Instant
	Name   string // of its person, "" for a week's or a station's
	Events []CalendarEvent
}

// CalendarEvent is a session as the calendar shows it.
type CalendarEvent struct {
	SessionRow // as it was last in this calendar, where it has left
	Rev        int64
	Left       bool // it was moved elsewhere, or the person is no longer in it
}

// Calendar returns the calendar of the filter's days.
func (d *Desk) Calendar(ctx context.Context, actor access.Actor, f SessionFilter) (out Calendar, err error) {
	err = d.Lists(ctx, actor, access.SeeWeek, func(l *Lists) error {
		of, err := l.traineesOf(f.Intake)
		if err != nil {
			return err
		}
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
		key := []string{string(f.Station), string(f.Rig), string(f.Intake), string(f.Staff)}
		if f.Station == "" {
			key = append([]string{f.From.WeekString()}, key...)
		}
		out, err = l.calendar(strings.Join(slices.DeleteFunc(key, func(s string) bool { return s == "" }), "."), standing, ever, within)
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
		out, err = l.calendar(string(of), standing, ever, func(session.Session) bool { return true })
		out.Name = p.Name
		return err
	})
	return out, err
}

// calendar joins what stands with what once was within and has left. ever holds
// revisions, the later ones of a session after the earlier.
func (l *Lists) calendar(of string, standing, ever []session.Session, within func(session.Session) bool) (Calendar, error) {
	out := Calendar{Of: of, Entry: l.Entry, Now: l.Now}
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
