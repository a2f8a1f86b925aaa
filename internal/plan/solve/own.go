package solve

import (
	"slices"

	"rungbook/internal/civil"
)

// fault is one thing that breaks a rule. Two faults with the same rule, who and
// with are the same fault, found before and after a change; its excess says
// which of the two is worse.
type fault struct {
	rule   rule
	who    string // the session, body, rig or kit it is about
	with   string // what else it is about: another session, a trainee, a policy
	at     int64  // the day or instant it is about, 0 = none
	excess int64  // how far beyond the limit, in the rule's unit
}

// report takes faults one by one.
type report func(fault)

// own reports what a session breaks by itself, whatever else stands.
func (c *Compiled) own(s *session, f report) {
	c.place(s, f)
	c.group(s, f)
	c.staff(s, f)
}

// place reports the rules of when and where: grid, open-hours, daylight,
// station-fit, station-shut.
func (c *Compiled) place(s *session, f report) {
	e, st := &c.exercises[s.exercise], &c.stations[s.station]
	if !c.onGrid(s.span.Start) || s.span.Length() != e.minutes {
		f(fault{rule: grid, who: s.id})
	}
	if !c.openAt(s.day, s.span) {
		f(fault{rule: openHours, who: s.id})
	}
	if st.needsDaylight && !c.lightAt(s.day, s.span) {
		f(fault{rule: daylight, who: s.id})
	}
	if !slices.Contains(e.stations, s.station) {
		f(fault{rule: stationFit, who: s.id})
	}
	for _, shut := range st.shut {
		if shut.Overlaps(s.hold) {
			f(fault{rule: stationShut, who: s.id, at: int64(shut.Start)})
		}
	}
}

// group reports the rules of the trainees together and one by one: group-size,
// alone, entitled, deadline, and needed-once as far as it asks for the need.
func (c *Compiled) group(s *session, f report) {
	e := &c.exercises[s.exercise]
	if n := len(s.trainees); n < e.groupMin {
		f(fault{rule: groupSize, who: s.id, excess: int64(e.groupMin - n)})
	} else if most := c.mostTrainees(s.exercise, s.station); n > most {
		f(fault{rule: groupSize, who: s.id, excess: int64(n - most)})
	}
	if !c.mayMix(s.trainees) {
		f(fault{rule: alone, who: s.id})
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

// mayMix reports whether these trainees may share a session.
func (c *Compiled) mayMix(trainees []int) bool {
	for _, t := range trainees {
		if c.trainees[t].alone {
			for _, u := range trainees {
				if c.trainees[u].intake != c.trainees[t].intake {
					return false
				}
			}
		}
	}
	return true
}

func (c *Compiled) traineeOwn(s *session, t int, f report) {
	tr := &c.trainees[t]
	if !tr.needs[s.exercise] {
		f(fault{rule: neededOnce, who: tr.id, with: s.id})
	}
	if !tr.entitledTo(&c.exercises[s.exercise], s.day) {
		f(fault{rule: entitled, who: s.id, with: tr.id})
	}
	if tr.deadline != 0 && s.span.End > c.midnight(tr.deadline+1) {
		f(fault{rule: deadline, who: s.id, with: tr.id})
	}
}

// entitledTo reports whether a trainee holds all that an exercise requires on a day.
func (t *trainee) entitledTo(e *exercise, d civil.Day) bool {
	for _, name := range e.requires {
		held := false
		for i := range t.holds {
			held = held || t.holds[i].Name == name && t.holds[i].Holds(d)
		}
		if !held {
			return false
		}
	}
	return true
}

// staff reports the rules of the staff together: ratio, qualified, staff-min,
// first-aid, rescue-cover.
func (c *Compiled) staff(s *session, f report) {
	e, st := &c.exercises[s.exercise], &c.stations[s.station]
	aiders, counted := 0, 0
	for _, p := range s.instructors {
		pe := &c.people[p]
		if !validOn(pe.teaches[s.exercise], s.day) {
			f(fault{rule: qualified, who: s.id, with: pe.id})
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
			f(fault{rule: rescueCover, who: s.id, with: pe.id})
		}
		if validOn(pe.firstAid, s.day) {
			aiders++
		}
	}
	need := team{
		teachers: e.instructorsFor(s.station, len(s.trainees)), staff: st.staffMin, aiders: st.firstAiders, rescue: st.rescue,
	}
	short := need.lacks(len(s.instructors), len(s.rescuers), aiders, counted)
	for r := range ruleCount {
		if short.has(r) {
			f(fault{rule: r, who: s.id})
		}
	}
}
