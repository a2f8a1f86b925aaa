package check

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
	"rungbook/internal/verdict"
)

// neededOnce: a trainee does an exercise only if it is needed, and once.
func neededOnce(v *view) {
	t := &v.j.p.Trainees[v.at]
	for i, s := range v.sessions {
		switch first := firstWith(v.sessions[:i], s.exercise); {
		case !slices.Contains(t.Needs, s.Exercise):
			k := slices.IndexFunc(t.Done, func(d plan.Done) bool { return d.Exercise == s.Exercise })
			at := plan.Pointer("trainees", v.at, "needs")
			if k >= 0 {
				at = plan.Pointer("trainees", v.at, "done", k)
			}
			v.stop(verdict.NotNeeded(t.ID, s.ID, k >= 0, at))
		case first != nil:
			v.stop(verdict.MoreThanOnce(t.ID, s.ID, first.ID, s.Exercise, plan.Pointer("trainees", v.at, "needs")))
		}
	}
}

func firstWith(list []*sess, e *exercise) *sess {
	for _, s := range list {
		if s.exercise == e {
			return s
		}
	}
	return nil
}

// order: for each `after`, some completion (done, or the end of another of the
// trainee's sessions) satisfies both start − end ≥ min_gap and, if set, ≤ max_gap.
func order(v *view) {
	t := &v.j.p.Trainees[v.at]
	for _, s := range v.sessions {
		for i, a := range s.exercise.After {
			ended, short, any := nearest(t, v.sessions, s, a)
			if any && short == 0 {
				continue
			}
			at := plan.Pointer("exercises", s.exercise.index, "after", i)
			if any {
				v.stop(verdict.OrderGap(t.ID, s.ID, a.Exercise, ended, s.Start.Sub(ended), a.MinGap, a.MaxGap, short, at))
			} else {
				v.stop(verdict.OrderMissing(t.ID, s.ID, a.Exercise, at))
			}
		}
	}
}

// nearest returns the completion that comes nearest to satisfy a, and by how
// much it misses; any is false where there is none at all.
func nearest(t *plan.Trainee, sessions []*sess, s *sess, a plan.After) (ended civil.Instant, short civil.Minutes, any bool) {
	try := func(end civil.Instant) {
		gap := s.Start.Sub(end)
		miss := max(0, a.MinGap-gap)
		if a.MaxGap > 0 {
			miss = max(miss, gap-a.MaxGap)
		}
		if !any || miss < short {
			ended, short, any = end, miss, true
		}
	}
	for _, d := range t.Done {
		if d.Exercise == a.Exercise {
			try(d.At)
		}
	}
	for _, o := range sessions {
		if o != s && o.Exercise == a.Exercise {
			try(o.End)
		}
	}
	return ended, short, any
}

// courseSpan: for each course of which the trainee has a session, from the first
// to the last local day of its exercises, those done included, ≤ days.
func courseSpan(v *view) {
	t := &v.j.p.Trainees[v.at]
	var judged []int
	for _, s := range v.sessions {
		for _, c := range s.exercise.courses {
			if slices.Contains(judged, c) {
				continue
			}
			judged = append(judged, c)
			first, last := v.courseDays(t, c)
			if days, most := int(last-first)+1, v.j.p.Courses[c].Days; days > most {
				v.stop(verdict.CourseSpan(t.ID, v.j.p.Courses[c].ID, first, last, days, most, plan.Pointer("courses", c, "days")))
			}
		}
	}
}

func (v *view) courseDays(t *plan.Trainee, course int) (first, last civil.Day) {
	add := func(d civil.Day) {
		if first == 0 || d < first {
			first = d
		}
		if last == 0 || d > last {
			last = d
		}
	}
	for _, s := range v.sessions {
		if slices.Contains(s.exercise.courses, course) {
			add(s.day)
		}
	}
	for _, d := range t.Done {
		if slices.Contains(v.j.p.Courses[course].Exercises, d.Exercise) {
			add(v.j.p.Zone.DayOf(d.At))
		}
	}
	return first, last
}

// deadline: each of a trainee's sessions ends by the end of the deadline day.
func deadline(v *view) {
	t := &v.j.p.Trainees[v.at]
	if t.Deadline == 0 {
		return
	}
	end := v.j.day(t.Deadline + 1).start
	for _, s := range v.sessions {
		if s.End > end {
			v.stop(verdict.Deadline(t.ID, s.ID, s.End, t.Deadline, s.End.Sub(end), plan.Pointer("trainees", v.at, "deadline")))
		}
	}
}
