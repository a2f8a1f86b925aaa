package solve

import (
	"slices"

	"rungbook/internal/civil"
)

// fault is one thing that breaks a rule. All but the excess is its subject: two
// faults of one subject are the same fault, found before and after a change; the
// excess says which is worse.
type fault struct {
	rule    rule
	session string // the session it is about, "" = none
	who     string // whom else: a body, trainee or person
	with    string // under what: a policy, an intake, a holding, another exercise
	at      int64  // the day, zone, circuit, rig, kit or course it is about
	excess  int64  // how far beyond the limit, in the rule's unit; 1 where there is no more or less
}

// report takes faults one by one.
type report func(fault)

// own reports what a session breaks by itself, whatever else stands.
func (c *Compiled) own(s *session, f report) {
	c.place(s, f)
	c.group(s, f)
	c.staff(s, f)
	c.roll(s, func(r *role, as part) {
		if !r.freeFor(c.timeOf(s, as).Period) {
			f(fault{rule: available, session: s.id, who: r.id, excess: 1})
		}
	})
}

// place reports the rules of when and where: grid, open-hours, daylight,
// station-fit, station-shut.
func (c *Compiled) place(s *session, f report) {
	e, st := &c.exercises[s.exercise], &c.stations[s.station]
	if length := s.told.End.Sub(s.told.Start); length != e.minutes {
		f(fault{rule: grid, session: s.id, excess: int64(max(length-e.minutes, e.minutes-length))})
	} else if !c.onGrid(s.span.Start) {
		f(fault{rule: grid, session: s.id, excess: 1})
	}
	if !c.openAt(s.day, s.span) {
		f(fault{rule: openHours, session: s.id, excess: 1})
	}
	if st.needsDaylight && !c.lightAt(s.day, s.span) {
		f(fault{rule: daylight, session: s.id, excess: 1})
	}
	if !slices.Contains(e.stations, s.station) {
		f(fault{rule: stationFit, session: s.id, excess: 1})
	}
	for _, shut := range st.shut {
		if shut.Overlaps(s.hold) {
			over := min(shut.End, s.hold.End) - max(shut.Start, s.hold.Start)
			f(fault{rule: stationShut, session: s.id, excess: int64(over)})
		}
	}
}

// group reports the rules of the trainees together and one by one: group-size,
// alone, entitled, deadline.
func (c *Compiled) group(s *session, f report) {
	e := &c.exercises[s.exercise]
	if n := len(s.trainees); n < e.groupMin {
		f(fault{rule: groupSize, session: s.id, excess: int64(e.groupMin - n)})
	} else if most := c.mostTrainees(s.exercise, s.station); n > most {
		f(fault{rule: groupSize, session: s.id, excess: int64(n - most)})
	}
	for _, t := range s.trainees {
		if strangers := c.strangers(t, s.trainees); strangers > 0 {
			f(fault{rule: alone, session: s.id, with: c.trainees[t].intake, excess: int64(strangers)})
		}
	}
	for _, t := range s.trainees {
		c.traineeOwn(s, t, f)
	}
}

// mostTrainees is min(group_max, places).
func (c *Compiled) mostTrainees(exercise, station int) int {
	most := c.stations[station].places
	if g := c.exercises[exercise].groupMax; g > 0 {
		most = min(most, g)
	}
	return most
}

// strangers counts those with whom trainee t may not share a session.
func (c *Compiled) strangers(t int, trainees []int) int {
	n := 0
	if c.trainees[t].alone {
		for _, u := range trainees {
			n += count(c.trainees[u].intake != c.trainees[t].intake)
		}
	}
	return n
}

func (c *Compiled) traineeOwn(s *session, t int, f report) {
	tr := &c.trainees[t]
	for _, name := range c.exercises[s.exercise].requires {
		if !tr.has(name, s.day) {
			f(fault{rule: entitled, session: s.id, who: tr.id, with: name, excess: 1})
		}
	}
	if late := s.told.End.Sub(c.midnight(tr.deadline + 1)); tr.deadline != 0 && late > 0 {
		f(fault{rule: deadline, session: s.id, who: tr.id, excess: int64(late)})
	}
}

// has reports whether a trainee holds something on a day.
func (t *trainee) has(name string, d civil.Day) bool {
	for i := range t.holds {
		if t.holds[i].Name == name && t.holds[i].Holds(d) {
			return true
		}
	}
	return false
}

// staff reports the rules of the staff together: ratio, qualified, staff-min,
// first-aid, rescue-cover.
func (c *Compiled) staff(s *session, f report) {
	e, st := &c.exercises[s.exercise], &c.stations[s.station]
	standby, aiders, counted := len(s.rescuers), 0, 0
	for _, p := range s.instructors {
		pe := &c.people[p]
		if !validOn(pe.teaches[s.exercise], s.day) {
			f(fault{rule: qualified, session: s.id, who: pe.id, excess: 1})
		}
		if validOn(pe.firstAid, s.day) {
			aiders++
		}
		if validOn(pe.rescuer, s.day) {
			counted++
		}
	}
	for _, p := range s.rescuers {
		pe := &c.people[p]
		if !validOn(pe.rescuer, s.day) {
			f(fault{rule: rescueCover, session: s.id, who: pe.id, excess: 1})
			standby--
		}
		if validOn(pe.firstAid, s.day) {
			aiders++
		}
	}
	need := team{
		teachers: e.instructorsFor(s.station, len(s.trainees)), staff: st.staffMin, aiders: st.firstAiders, rescue: st.rescue,
	}
	short := need.short(len(s.instructors), len(s.rescuers), standby, aiders, counted)
	tell := func(r rule, n int) {
		if n > 0 {
			f(fault{rule: r, session: s.id, excess: int64(n)})
		}
	}
	tell(ratio, short.teachers)
	tell(staffMin, short.staff)
	tell(firstAid, short.aiders)
	tell(rescueCover, short.rescue)
}
