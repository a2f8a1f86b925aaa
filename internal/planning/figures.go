package planning

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
	"rungbook/internal/plan/check"
	"rungbook/internal/rig"
)

// Figures are the numbers of people that the rules weigh in a session, beside
// what is asked of each. They are counted by the judge's own predicates and only
// told: the judge's answer is in its report.
type Figures struct {
	Trainees, Places              int
	Others                        int // who take a place too, and count for the ratio
	Instructors, InstructorsAsked int
	Ratio                         int // most trainees for one instructor
	Staff, StaffAsked             int // instructors and standby rescuers
	FirstAiders, FirstAidersAsked int
	Rescue                        bool // the station asks for rescue cover
	Standby, StandbyAsked         int
	Rescuers, RescuersAsked       int // standby and instructors who count
	// Last valid day by person, of those alone whose competence holds on the day.
	Teaching, RescueCompetent, FirstAid map[string]civil.Day
}

// Figures counts a session's people. ok is false where the slice lacks its
// exercise or station.
func (s *Slice) Figures(p plan.Session) (f Figures, ok bool) {
	e := slices.IndexFunc(s.Problem.Exercises, func(x plan.Exercise) bool { return x.ID == p.Exercise })
	st := slices.IndexFunc(s.Problem.Stations, func(x plan.Station) bool { return x.ID == p.Station })
	if e < 0 || st < 0 {
		return Figures{}, false
	}
	station := s.Problem.Stations[st]
	f = Figures{
		Trainees: len(p.Trainees), Others: len(p.Others), Places: station.Places,
		Instructors: len(p.Instructors), Staff: len(p.Instructors) + len(p.Rescuers), StaffAsked: station.StaffMin,
		FirstAidersAsked: station.FirstAiders,
		FirstAid:         map[string]civil.Day{}, Teaching: map[string]civil.Day{}, RescueCompetent: map[string]civil.Day{},
	}
	f.Ratio, _ = check.RatioOn(&s.Problem.Exercises[e], p.Station)
	present := check.Presence{Trainees: f.Trainees, Others: f.Others, Instructors: f.Instructors}.LookedAfter()
	f.InstructorsAsked = check.InstructorsNeeded(present.Trainees, f.Ratio)
	day := s.Problem.Zone.DayOf(p.Start)
	for _, person := range s.Problem.People {
		if slices.Contains(p.Instructors, person.ID) || slices.Contains(p.Rescuers, person.ID) {
			f.add(person, p.Exercise, day)
		}
	}
	f.FirstAiders = len(f.FirstAid)
	if r := station.Rescue; r != nil && (r.Rescuers > 0 || r.StandbyMin > 0) {
		f.Rescue, f.RescuersAsked, f.StandbyAsked = true, r.Rescuers, r.StandbyMin
		for who := range f.RescueCompetent {
			if slices.Contains(p.Instructors, who) {
				present.Rescuers++
			} else {
				f.Standby++
			}
		}
		f.Rescuers = f.Standby + present.CountedRescuers(*r, f.Ratio)
	}
	return f, true
}

// add notes what one of the staff may do on the day.
func (f *Figures) add(person plan.Person, exercise string, day civil.Day) {
	note := func(m map[string]civil.Day, v plan.Validity) {
		if v.Holds(day) {
			m[person.ID] = max(m[person.ID], v.Until)
		}
	}
	for _, t := range person.Teaches {
		if t.Exercise == exercise {
			note(f.Teaching, t.Validity)
		}
	}
	for _, v := range person.Rescuer {
		note(f.RescueCompetent, v)
	}
	for _, v := range person.FirstAid {
		note(f.FirstAid, v)
	}
}

// Asked returns the names of the rules that every change of a plan is asked, and
// of what gives pause beyond them.
func Asked() (rules, cautions []string) {
	for _, r := range check.Rules() {
		if r.Subject != check.OfPlan {
			rules = append(rules, r.Name)
		}
	}
	cautions = []string{"long-run", "first-aider-rescues"}
	for _, kind := range []rig.DueKind{rig.DueInspection, rig.DueKit, rig.DueReview, rig.DueDrill} {
		cautions = append(cautions, string(kind)+"-due")
	}
	return rules, cautions
}
