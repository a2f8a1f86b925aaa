package booking

import (
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// Again is what a session leaves open that was stood down, or was cut short: who of
// its trainees still needs its exercise, and the next times for them. Only what was
// not done is a need again.
type Again struct {
	Session session.Session
	Left    []id.Trainee // whose need is open, sorted
	Options Options      // empty where nobody's is
}

// againDays is how many days are searched for the next times.
const againDays = 14

// Again returns the next times for those whom a session left waiting, as the booking
// page finds them. A session that is still to run, runs, or was signed off whole leaves
// nobody waiting.
func (d *Desk) Again(ctx context.Context, actor access.Actor, sid id.Session) (out Again, err error) {
	if _, err := access.Require(actor, access.SeeOptions); err != nil {
		return Again{}, err
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		row, err := v.Session(sid)
		if err != nil {
			return err
		}
		out.Session = row.Value
		if !LeavesNeeds(row.Value) {
			return nil
		}
		if out.Left, err = left(v, row.Value); err != nil || len(out.Left) == 0 {
			return err
		}
		today := v.Today()
		out.Options, err = d.options(v, Ask{Exercise: row.Value.Exercise, Trainees: out.Left, From: today, Until: today + againDays - 1})
		return err
	})
	return out, err
}

// LeavesNeeds reports whether a session is one that may leave trainees waiting.
func LeavesNeeds(s session.Session) bool {
	return !s.Trial && (s.State == session.StoodDown || s.State == session.CutShort)
}

// left are the trainees of a session whose need of its exercise is open.
func left(v *store.View, s session.Session) (out []id.Trainee, err error) {
	list, err := v.Trainees(s.Trainees...)
	if err != nil {
		return nil, err
	}
	open, err := openNeeds(v, list)
	for _, t := range list {
		if slices.Contains(open[t.ID], s.Exercise) {
			out = append(out, t.ID)
		}
	}
	slices.Sort(out)
	return out, err
}

// openNeeds are, of each enrolment, the exercises that are neither done nor booked.
func openNeeds(v *store.View, list []people.Trainee) (map[id.Trainee][]id.Exercise, error) {
	ids := make([]id.Trainee, len(list))
	for i, t := range list {
		ids[i] = t.ID
	}
	done, err := v.Completions(ids...)
	if err != nil {
		return nil, err
	}
	booked, err := v.SessionsOfTrainees(ids)
	if err != nil {
		return nil, err
	}
	out := map[id.Trainee][]id.Exercise{}
	for _, t := range list {
		for _, e := range t.Needs {
			met := slices.ContainsFunc(done, func(c store.Completion) bool { return c.Trainee == t.ID && c.Exercise == e }) ||
				slices.ContainsFunc(booked, func(s session.Session) bool { return s.Serves(t.ID, e) })
			if !met {
				out[t.ID] = append(out[t.ID], e)
			}
		}
	}
	return out, nil
}

// Waiter is a session that left trainees waiting, with those who still do.
type Waiter struct {
	Session session.Session
	Left    []id.Trainee
}

// waitersSince is how far back a session may lie whose trainees are still listed.
const waitersSince = 60

// Waiters are the sessions that left somebody waiting whose intake is not over, the
// latest of each trainee and exercise, by time.
func (d *Desk) Waiters(ctx context.Context, actor access.Actor) (out []Waiter, err error) {
	if _, err := access.Require(actor, access.SeeOptions); err != nil {
		return nil, err
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		out, err = waiters(v)
		return err
	})
	return out, err
}

func waiters(v *store.View) (out []Waiter, err error) {
	ref, err := v.Reference()
	if err != nil {
		return nil, err
	}
	zone, today := v.Zone(), v.Today()
	var intakes []id.Intake
	for _, in := range ref.Intakes.All(today) {
		if in.Until >= today {
			intakes = append(intakes, in.ID)
		}
	}
	here, err := v.TraineesOfIntake(intakes...)
	if err != nil || len(here) == 0 {
		return nil, err
	}
	open, err := openNeeds(v, here)
	if err != nil {
		return nil, err
	}
	list, err := v.SessionsBetween(zone.StartOfDay(today-waitersSince), zone.StartOfDay(today+waitersSince))
	if err != nil {
		return nil, err
	}
	type need struct {
		trainee  id.Trainee
		exercise id.Exercise
	}
	told := map[need]bool{}
	slices.SortStableFunc(list, func(a, b session.Session) int { return int(b.Start - a.Start) })
	for _, s := range list {
		w := Waiter{Session: s}
		for _, t := range s.Trainees {
			n := need{t, s.Exercise}
			if LeavesNeeds(s) && !told[n] && slices.Contains(open[t], s.Exercise) {
				told[n] = true
				w.Left = append(w.Left, t)
			}
		}
		if len(w.Left) > 0 {
			out = append(out, w)
		}
	}
	slices.Reverse(out)
	return out, nil
}
