package demo

import (
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// Minutes around a session's start at which its people come and it begins.
const (
	staffEarly    civil.Minutes = 12
	traineesEarly civil.Minutes = 5
	begunAfter    civil.Minutes = 4
	cameLate      civil.Minutes = 11
	longEnough    civil.Minutes = 20
)

// putUnderWay starts one session whose time has come by the store's clock, with its
// roll called, and leaves the demo instructor's own to be started by the reader.
func (s *Scenario) putUnderWay(ctx context.Context, into *store.Store) error {
	var chosen session.Session
	err := into.Read(ctx, func(v *store.View) error {
		list, err := v.SessionsBetween(s.Zone.StartOfDay(s.Today), s.Zone.StartOfDay(s.Today+1))
		for _, x := range list {
			due := x.State == session.Booked && !x.Trial && x.Start.Add(longEnough) <= v.Now() && v.Now() < x.End.Add(-longEnough)
			if due && !slices.Contains(slices.Concat(x.Instructors, x.Rescuers), s.reader) && len(x.Rescuers) >= len(chosen.Rescuers) {
				chosen = x
			}
		}
		return err
	})
	if err != nil || chosen.ID == "" {
		return err
	}
	began := chosen.Start.Add(begunAfter)
	run, err := chosen.Started(began)
	if err != nil {
		return err
	}
	roll, err := rollOf(chosen, began)
	if err != nil {
		return err
	}
	cmd := store.Command{Key: commandKey(s.Today, 0) + " under way", Content: "under way", HappenedAt: began, Role: access.Instructor,
		Actor: access.Actor{Person: chosen.Instructors[0], Roles: []access.Role{access.Instructor}, Today: s.Today}}
	_, err = into.Write(ctx, cmd, func(tx *store.Tx) (store.Outcome, error) {
		if _, err := tx.Put(string(session.ToCallRoll), s.Today, roll); err != nil {
			return "", err
		}
		before, err := prepared(tx.View(), chosen, chosen.Start.Add(-staffEarly))
		if err != nil {
			return "", err
		}
		if _, err := tx.Put("checked", s.Today, before); err != nil {
			return "", err
		}
		_, err = tx.Put(string(session.ToStart), s.Today, run)
		return "demo", err
	})
	return err
}

// rollOf is the roll of a session: the staff first, then the trainees, the last of
// whom comes late.
func rollOf(s session.Session, began civil.Instant) (a session.Attendance, err error) {
	a.Session = s.ID
	var staff, trainees []session.Seen
	add := func(list []id.Person, part session.Part) {
		for _, p := range list {
			staff = append(staff, session.Seen{Who: string(p), Part: part, Here: true})
		}
	}
	add(s.Instructors, session.AsInstructor)
	add(s.Rescuers, session.AsRescuer)
	for _, t := range s.Trainees {
		trainees = append(trainees, session.Seen{Who: string(t), Part: session.AsTrainee, Here: true})
	}
	last := max(0, len(trainees)-1)
	if a, err = a.Call(s.Start.Add(-staffEarly), 0, staff); err != nil {
		return a, err
	}
	if a, err = a.Call(s.Start.Add(-traineesEarly), 0, trainees[:last]); err != nil {
		return a, err
	}
	return a.Call(s.Start.Add(cameLate), began, trainees[last:])
}
