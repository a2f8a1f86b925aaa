package session

import (
	"cmp"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/curriculum"
	"rungbook/internal/fault"
	"rungbook/internal/id"
)

// PresentMinutes returns the time that presences of one person in one part add
// up to, less the pauses that fell into it (Session.Held). Presences that overlap
// count once; one that is open counts nothing yet.
func PresentMinutes(presences []Presence, pauses []civil.Period) civil.Minutes {
	spans := make([]civil.Period, 0, len(presences))
	for _, p := range presences {
		if p.Mark != DidNotCome && p.Start < p.End {
			spans = append(spans, civil.Period{Start: p.Start, End: p.End})
		}
	}
	slices.SortFunc(spans, func(a, b civil.Period) int { return cmp.Compare(a.Start, b.Start) })
	var sum civil.Minutes
	var done civil.Instant // counted up to here
	for i, s := range spans {
		if i > 0 {
			s.Start = max(s.Start, done)
		}
		if s.Start >= s.End {
			continue
		}
		sum += s.Length()
		for _, p := range pauses {
			sum -= max(0, min(p.End, s.End).Sub(max(p.Start, s.Start)))
		}
		done = s.End
	}
	return sum
}

// Came reports whether a trainee was present for any time of the session.
func (a Attendance) Came(t id.Trainee) bool {
	return slices.ContainsFunc(a.Presences, func(p Presence) bool {
		return p.Part == AsTrainee && p.Who == string(t) && p.Mark != DidNotCome && p.Start < p.End
	})
}

// Completed reports whether a trainee completed the session's exercise: the
// session was signed off or cut short and is no trial, the trainee came, and was
// found competent in every outcome that the exercise delivers. What was not
// assessed is not done.
func Completed(s Session, a Attendance, r Results, e curriculum.Exercise, t id.Trainee) bool {
	if s.Trial || !s.State.Signed() || !slices.Contains(s.Trainees, t) || !a.Came(t) || len(e.Outcomes) == 0 {
		return false
	}
	for _, outcome := range e.Outcomes {
		if r.Of(t, outcome) != Competent {
			return false
		}
	}
	return true
}

// Of returns what a trainee showed of an outcome; not assessed where nothing is
// recorded. Two results of one outcome that differ count as the worse.
func (r Results) Of(t id.Trainee, o id.Outcome) Assessed {
	got := Assessed("")
	for _, one := range r.Results {
		if one.Trainee != t || one.Outcome != o {
			continue
		}
		if got == "" || one.Result != Competent {
			got = one.Result
		}
	}
	if got == "" {
		return NotAssessed
	}
	return got
}

// Check judges a session's own record: what must be so whatever the rules say.
// It returns a form error with one sentence per field.
func (s Session) Check() error {
	bad := fault.Fields{}
	if s.Exercise == "" {
		bad.Add("exercise", "The exercise is not stated.")
	}
	if s.Station == "" {
		bad.Add("station", "The station is not stated.")
	}
	if s.Start == 0 || s.End <= s.Start {
		bad.Add("start", "The session has no time, or ends before it starts.")
	}
	if len(s.Trainees) == 0 && !s.Trial {
		bad.Add("trainees", "The session has no trainees.")
	}
	if !slices.Contains(States(), s.State) {
		bad.Add("state", "%q is not a state of a session.", s.State)
	}
	if (s.State == StoodDown) != (s.Down != "") || (s.Down != "" && !KnownDownReason(s.Down)) {
		bad.Add("reason", "A session that is stood down has a reason of the list, and no other has one.")
	}
	if repeated(s.Trainees) {
		bad.Add("trainees", "A trainee stands in the session twice.")
	}
	if repeated(append(append(slices.Clone(s.Instructors), s.Rescuers...), s.Others...)) {
		bad.Add("instructors", "A person has two parts in the session.")
	}
	s.checkOthers(bad)
	return bad.Err()
}

func repeated[T cmp.Ordered](list []T) bool {
	sorted := slices.Sorted(slices.Values(list))
	return len(slices.Compact(sorted)) < len(list)
}

// Sorted returns the session with its lists of people sorted, as entries keep them.
func (s Session) Sorted() Session {
	s.Trainees = slices.Sorted(slices.Values(s.Trainees))
	s.Instructors = slices.Sorted(slices.Values(s.Instructors))
	s.Rescuers = slices.Sorted(slices.Values(s.Rescuers))
	s.Others = slices.Sorted(slices.Values(s.Others))
	s.Parts = sortedParts(s.Parts, s.Others)
	return s
}
