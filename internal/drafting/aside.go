package drafting

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// takeTime makes a session that is not of the plan take what it holds: time of
// its people, its station with the ground it shares, its kit. What its trainees do
// there is no need any more but done by its end, so that order and the days of a
// course count.
func (t *task) takeTime(s plan.Session) {
	e := t.exercise(s.Exercise)
	if e == nil {
		return
	}
	pauses := make([]civil.Period, len(e.Pauses))
	for i, p := range e.Pauses {
		pauses[i] = civil.Period{Start: s.Start.Add(p.After), End: s.Start.Add(p.After + p.Minutes)}
	}
	hold := e.Hold(s.Period())
	for i := range t.problem.People {
		p := &t.problem.People[i]
		switch {
		case slices.Contains(s.Instructors, p.ID), slices.Contains(s.Rescuers, p.ID):
			p.Duties = append(slices.Clip(p.Duties), pieces(hold, pauses)...)
		case slices.Contains(s.Others, p.ID):
			p.Duties = append(slices.Clip(p.Duties), pieces(s.Period(), pauses)...)
		}
	}
	for i := range t.problem.Trainees {
		tr := &t.problem.Trainees[i]
		if !slices.Contains(s.Trainees, tr.ID) {
			continue
		}
		tr.Duties = append(slices.Clip(tr.Duties), pieces(s.Period(), pauses)...)
	}
	t.countAsDone(s)
	if t.near(hold) {
		t.takeRoom(s, hold)
	}
}

// countAsDone lets what is done in a session count as done by its end, for those
// who do it in no other session of the plan.
func (t *task) countAsDone(s plan.Session) {
	for i := range t.problem.Trainees {
		tr := &t.problem.Trainees[i]
		if slices.Contains(s.Trainees, tr.ID) && !t.placesAgain(tr.ID, s) && !done(tr, s.Exercise) {
			tr.Done = append(slices.Clip(tr.Done), plan.Done{Exercise: s.Exercise, At: s.End})
		}
	}
}

// near reports whether a hold reaches into the days asked for, or nearly so.
func (t *task) near(hold civil.Period) bool {
	z := t.problem.Zone
	return hold.Overlaps(civil.Period{Start: z.StartOfDay(t.wish.From - 1), End: z.StartOfDay(t.last + 2)})
}

// placesAgain reports whether a trainee does a session's exercise in another one
// of the plan.
func (t *task) placesAgain(trainee string, other plan.Session) bool {
	return slices.ContainsFunc(t.inPlan, func(s plan.Session) bool {
		return s.ID != other.ID && s.Exercise == other.Exercise && slices.Contains(s.Trainees, trainee)
	})
}

// takeRoom shuts a session's station for its hold, those on the same ground too,
// and takes its kit out of use. A turnaround keeps the next one off as well.
// Where it needs a circuit live or dead, stations are shut on which something
// could need it otherwise. Sessions of the plan keep their own holds.
func (t *task) takeRoom(s plan.Session, hold civil.Period) {
	var on plan.Station
	for _, st := range t.problem.Stations {
		if st.ID == s.Station {
			on = st
		}
	}
	for i := range t.problem.Stations {
		st := &t.problem.Stations[i]
		switch shares := func(z string) bool { return slices.Contains(on.Zones, z) }; {
		case st.ID == s.Station:
			t.shut(st, wider(hold, st.Turnaround))
		case slices.ContainsFunc(st.Zones, shares):
			t.shut(st, hold)
		}
		if st.Rig == on.Rig && t.limited(on.Rig) {
			t.shut(st, hold) // how many more it bears is not worked out
		}
		if apart := t.apart(st.ID, s.Exercise); apart > 0 {
			t.shut(st, wider(hold, apart))
		}
	}
	uses := slices.Clone(t.exercise(s.Exercise).Uses)
	if on.Rescue != nil && on.Rescue.Kit != "" {
		uses = append(uses, plan.Use{Kit: on.Rescue.Kit, Count: 1})
	}
	for i := range t.problem.Kits {
		k := &t.problem.Kits[i]
		for _, u := range uses {
			if u.Kit == k.ID && u.Count > 0 {
				k.Shut = append(slices.Clip(k.Shut), plan.KitShut{From: hold.Start, To: hold.End, Count: u.Count})
			}
		}
	}
}

// limited reports whether a rig bears a limited number of people.
func (t *task) limited(rig string) bool {
	return slices.ContainsFunc(t.problem.Rigs, func(r plan.Rig) bool { return r.ID == rig && r.PeopleMax > 0 })
}

func wider(p civil.Period, by civil.Minutes) civil.Period {
	return civil.Period{Start: p.Start.Add(-by), End: p.End.Add(by)}
}

// shut shuts a station for a period, but for the holds of the plan's sessions.
func (t *task) shut(st *plan.Station, p civil.Period) {
	var holds []civil.Period
	for _, s := range t.inPlan {
		if e := t.exercise(s.Exercise); s.Station == st.ID && e != nil {
			holds = append(holds, e.Hold(s.Period()))
		}
	}
	st.Shut = append(slices.Clip(st.Shut), pieces(p, holds)...)
}

// apart returns how far from a session of an exercise something on a station must
// stay that needs one of its circuits in another state; 0 where nothing does. A
// change that takes no time keeps them a minute apart, which is one hold after
// the other.
func (t *task) apart(station, exercise string) (most civil.Minutes) {
	for _, mine := range t.exercise(exercise).Energy {
		for _, e := range t.problem.Exercises {
			if !slices.Contains(e.Stations, station) {
				continue
			}
			for _, theirs := range e.Energy {
				if theirs.Circuit == mine.Circuit && theirs.State != mine.State {
					most = max(most, 1, t.changeover(mine.Circuit))
				}
			}
		}
	}
	return most
}

func (t *task) changeover(circuit string) civil.Minutes {
	for _, c := range t.problem.Circuits {
		if c.ID == circuit {
			return c.Changeover
		}
	}
	return 0
}

// shutThePast shuts every station from the start of today until the search will
// be over, but for the holds of fixed sessions.
func (t *task) shutThePast(now civil.Instant) {
	today := t.problem.Zone.DayOf(now)
	if t.wish.From > today {
		return
	}
	for i := range t.problem.Stations {
		t.shut(&t.problem.Stations[i], civil.Period{Start: t.problem.Zone.StartOfDay(today), End: t.begin})
	}
}

// pieces returns what cuts leave of a period.
func pieces(p civil.Period, cuts []civil.Period) []civil.Period {
	left := []civil.Period{p}
	for _, cut := range cuts {
		var next []civil.Period
		for _, l := range left {
			if !l.Overlaps(cut) {
				next = append(next, l)
				continue
			}
			if l.Start < cut.Start {
				next = append(next, civil.Period{Start: l.Start, End: cut.Start})
			}
			if cut.End < l.End {
				next = append(next, civil.Period{Start: cut.End, End: l.End})
			}
		}
		left = next
	}
	return left
}
