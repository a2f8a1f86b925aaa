package booking

import (
	"cmp"
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
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
	Left    []id.Trainee    // whose need is open, sorted
	Intakes []people.Intake // of those, the one that ends last first; one that is not on record is left out
	// Ends is the last day of those intakes where the search stops at it, since nobody
	// can take part later; 0 = it does not. Before today all of them are over.
	Ends    civil.Day
	Options Options // empty where nobody waits, and where their intakes are over
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
		list, err := left(v, row.Value)
		if err != nil || len(list) == 0 {
			return err
		}
		today := v.Today()
		until := today + againDays - 1
		if err := out.of(v, list, until); err != nil || out.Ends != 0 && out.Ends < today {
			return err
		}
		if out.Ends != 0 {
			until = out.Ends
		}
		out.Options, err = d.options(v, Ask{Exercise: row.Value.Exercise, Trainees: out.Left, From: today, Until: until})
		return err
	})
	return out, err
}

// of notes who waits, in which intakes they are, and whether the last of those ends
// before the last day that is searched. Of an intake that is not on record no end is
// known: the rules say then what they lack.
func (a *Again) of(v *store.View, list []people.Trainee, until civil.Day) error {
	ref, err := v.Reference()
	if err != nil {
		return err
	}
	known := true
	for _, t := range list {
		a.Left = append(a.Left, t.ID)
		in, ok := ref.Intakes.On(t.Intake, v.Today())
		known = known && ok
		if ok && !slices.ContainsFunc(a.Intakes, func(x people.Intake) bool { return x.ID == in.ID }) {
			a.Intakes = append(a.Intakes, in)
		}
	}
	slices.SortStableFunc(a.Intakes, func(x, y people.Intake) int { return cmp.Compare(y.Until, x.Until) })
	if known && a.Intakes[0].Until < until {
		a.Ends = a.Intakes[0].Until
	}
	return nil
}

// LeavesNeeds reports whether a session is one that may leave trainees waiting.
func LeavesNeeds(s session.Session) bool {
	return !s.Trial && (s.State == session.StoodDown || s.State == session.CutShort)
}

// left are the trainees of a session whose need of its exercise is open, sorted.
func left(v *store.View, s session.Session) ([]people.Trainee, error) {
	list, err := v.Trainees(s.Trainees...)
	if err != nil {
		return nil, err
	}
	open, err := openNeeds(v, list)
	list = slices.DeleteFunc(list, func(t people.Trainee) bool { return !slices.Contains(open[t.ID], s.Exercise) })
	slices.SortFunc(list, func(a, b people.Trainee) int { return cmp.Compare(a.ID, b.ID) })
	return list, err
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
	list = slices.DeleteFunc(list, func(s session.Session) bool { return !LeavesNeeds(s) })
	waits := map[id.Session][]id.Trainee{}
	for _, t := range here {
		for _, s := range LeftBy(list, t.ID, open[t.ID]) {
			waits[s.ID] = append(waits[s.ID], t.ID)
		}
	}
	slices.SortStableFunc(list, func(a, b session.Session) int { return cmp.Compare(a.Start, b.Start) })
	for _, s := range list {
		if who := waits[s.ID]; len(who) > 0 {
			slices.Sort(who)
			out = append(out, Waiter{Session: s, Left: who})
		}
	}
	return out, nil
}

// LeftBy are, of sessions, the latest that left an enrolment waiting for each of the
// exercises that are open to it.
func LeftBy(list []session.Session, of id.Trainee, open []id.Exercise) (out []session.Session) {
	for _, e := range open {
		var last session.Session
		for _, s := range list {
			if LeavesNeeds(s) && s.Exercise == e && s.Start > last.Start && slices.Contains(s.Trainees, of) {
				last = s
			}
		}
		if last.ID != "" {
			out = append(out, last)
		}
	}
	return out
}
