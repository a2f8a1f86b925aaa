package check

import (
	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// Presence is who is on a station at one instant. Its methods are the rules on
// people present: a plan is judged by them once a session, a session as run at
// every change of presence. Each returns by how much it falls short, 0 if it holds.
type Presence struct {
	Trainees    int
	Others      int // people who watch
	Instructors int
	Standby     int // standby rescuers who are valid rescuers that day
	Rescuers    int // instructors who are valid rescuers that day
	Staff       int // instructors and standby rescuers, valid or not
	FirstAiders int // of the staff, with first aid valid that day
}

// InstructorsNeeded returns ceil(trainees / ratio), at least 1. Precondition: ratio ≥ 1.
func InstructorsNeeded(trainees, ratio int) int {
	return max(1, (trainees+ratio-1)/ratio)
}

// Ratio judges `ratio`: one instructor for at most ratio trainees, and one always.
func (p Presence) Ratio(ratio int) (short int) {
	return max(0, InstructorsNeeded(p.Trainees, ratio)-p.Instructors)
}

// StaffMin judges `staff-min`.
func (p Presence) StaffMin(least int) (short int) { return max(0, least-p.Staff) }

// FirstAid judges `first-aid`.
func (p Presence) FirstAid(least int) (short int) { return max(0, least-p.FirstAiders) }

// CountedRescuers returns how many instructors count as rescuers: none unless
// the station lets them, and where standby rescuers are asked only as many as
// there are instructors beyond those whom the ratio needs, since someone busy
// on the rope rescues nobody.
func (p Presence) CountedRescuers(r plan.Rescue, ratio int) int {
	if !r.OwnInstructorsCount {
		return 0
	}
	if r.StandbyMin > 0 {
		spare := max(0, p.Instructors-InstructorsNeeded(p.Trainees, ratio))
		return min(p.Rescuers, spare)
	}
	return p.Rescuers
}

// RescueCover judges `rescue-cover` of a station that asks for rescue: how many
// standby rescuers, and how many rescuers in all, are missing.
func (p Presence) RescueCover(r plan.Rescue, ratio int) (shortStandby, short int) {
	return max(0, r.StandbyMin-p.Standby), max(0, r.Rescuers-p.Standby-p.CountedRescuers(r, ratio))
}

// Heads returns how many people are on the station.
func (p Presence) Heads() int { return p.Trainees + p.Others + p.Staff }

// RigHeadcount judges `rig-headcount`: how many people are too many on a rig; a
// limit of 0 is none.
func RigHeadcount(people, most int) (over int) {
	if most < 1 {
		return 0
	}
	return max(0, people-most)
}

// Qualified judges `qualified`: whether somebody may teach an exercise on a day.
func Qualified(teaches []plan.Teaches, exercise string, day civil.Day) bool {
	for _, t := range teaches {
		if t.Exercise == exercise && t.Holds(day) {
			return true
		}
	}
	return false
}

// ValidOn reports whether one of the spans of a competence (rescuer, first aid)
// holds that day.
func ValidOn(spans []plan.Validity, day civil.Day) bool {
	for _, v := range spans {
		if v.Holds(day) {
			return true
		}
	}
	return false
}

// RatioOn returns the most trainees per instructor of an exercise on a station:
// the exercise's own, or the station's where that is smaller. at is the index of
// the latter in ratio_at, −1 for the exercise's own.
func RatioOn(e *plan.Exercise, station string) (ratio, at int) {
	ratio, at = e.Ratio, -1
	for i, r := range e.RatioAt {
		if r.Station == station && r.Ratio < ratio {
			ratio, at = r.Ratio, i
		}
	}
	return ratio, at
}

// presence returns who is at a session as planned.
func (j *Judge) presence(s *sess) Presence {
	p := Presence{Trainees: len(s.trainees), Others: len(s.others), Instructors: len(s.instructors),
		Staff: len(s.instructors) + len(s.rescuers)}
	for _, n := range s.instructors {
		if ValidOn(j.p.People[n].Rescuer, s.day) {
			p.Rescuers++
		}
		if ValidOn(j.p.People[n].FirstAid, s.day) {
			p.FirstAiders++
		}
	}
	for _, n := range s.rescuers {
		if ValidOn(j.p.People[n].Rescuer, s.day) {
			p.Standby++
		}
		if ValidOn(j.p.People[n].FirstAid, s.day) {
			p.FirstAiders++
		}
	}
	return p
}
