package bound

import "rungbook/internal/plan"

// crew is a least staffing of a session: up to seats trainees with teachers
// instructors and staff people in all.
type crew struct{ seats, teachers, staff int }

// crews lists the least staffings of an exercise on a station, by seats; each
// has more seats than the one before. None where no session is possible.
//
// Proof. With s trainees a valid session has i ≥ k = max(1, ⌈s/ratio⌉)
// instructors and r standby rescuers. staff-min and first-aid ask
// i + r ≥ staff_min and first_aiders. Where rescue is asked, r ≥ standby_min and
// r + c ≥ rescuers for c counted instructors:
// c = 0 unless own instructors count, so i + r ≥ k + max(standby_min, rescuers);
// c ≤ i with standby_min = 0, so i + r ≥ max(k, rescuers);
// c ≤ i − k with standby_min > 0, so i + r ≥ k + max(standby_min, rescuers) again.
// Each least number only rises with s, so among sizes that need the same crew the
// largest dominates: it seats more for as much. More instructors than people who
// ever teach the exercise, more staff than people who could stand in it, and more
// heads than the rig bears are impossible.
func (f *facts) crews(e *exercise, s *plan.Station) (out []crew) {
	most := min(s.Places, e.needs)
	if e.GroupMax > 0 {
		most = min(most, e.GroupMax)
	}
	heads := f.headsOn(s)
	teachers, people := 0, 0
	for i := range f.people {
		if e.teacher[i] {
			teachers++
		}
		if e.aids[i] {
			people++
		}
	}
	ratio := ratioOn(e, s)
	seated := 0
	for k := 1; k <= teachers && seated < most; k++ {
		seats, staff := most, staffOf(s, k)
		if k <= most/ratio {
			seats = min(most, k*ratio)
		}
		if heads > 0 {
			seats = min(seats, heads-staff)
		}
		if staff > people || seats <= seated {
			break // a larger crew meets the same limit
		}
		seated = seats
		if seats >= e.GroupMin {
			out = append(out, crew{seats, k, staff})
		}
	}
	return out
}

// staffOf is the least staff in all with k instructors for the ratio.
func staffOf(s *plan.Station, k int) int {
	staff := max(k, s.StaffMin, s.FirstAiders)
	if r := s.Rescue; r != nil {
		switch {
		case r.OwnInstructorsCount && r.StandbyMin == 0:
			staff = max(staff, r.Rescuers)
		default:
			staff = max(staff, k+max(r.StandbyMin, r.Rescuers))
		}
	}
	return staff
}

func ratioOn(e *exercise, s *plan.Station) int {
	ratio := e.Ratio
	for _, r := range e.RatioAt {
		if r.Station == s.ID {
			ratio = min(ratio, r.Ratio)
		}
	}
	return max(1, ratio)
}

// headsOn is the most people on the station's rig; 0 = no limit.
func (f *facts) headsOn(s *plan.Station) int {
	for i := range f.p.Rigs {
		if f.p.Rigs[i].ID == s.Rig {
			return f.p.Rigs[i].PeopleMax
		}
	}
	return 0
}
