package check

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
	"rungbook/internal/verdict"
)

func (w *twin) people(s *plan.Session) {
	p, e, st := w.p, w.exercise(s), w.station(s)
	day, n := p.Zone.DayOf(s.Start), len(s.Trainees)
	most := st.Places
	if e.GroupMax > 0 {
		most = min(most, e.GroupMax)
	}
	w.out.add(int64(e.GroupMin-n), "group-size", s.ID)
	if n >= e.GroupMin {
		w.out.add(int64(n-most), "group-size", s.ID)
	}
	intakes := make(map[string]int)
	for _, id := range s.Trainees {
		t := find(p.Trainees, func(t plan.Trainee) bool { return t.ID == id })
		intakes[t.Intake]++
		for _, name := range e.Requires {
			if !slices.ContainsFunc(t.Holds, func(h plan.Hold) bool { return h.Name == name && h.From <= day && day <= h.Until }) {
				w.out.add(1, "entitled", s.ID, id, name)
			}
		}
	}
	for _, in := range p.Intakes {
		if in.Alone && intakes[in.ID] > 0 {
			w.out.add(int64(n-intakes[in.ID]), "alone", s.ID, in.ID)
		}
	}
	ratio := e.Ratio
	for _, r := range e.RatioAt {
		if r.Station == s.Station {
			ratio = min(ratio, r.Ratio)
		}
	}
	needed := 1
	for needed*ratio < n {
		needed++
	}
	w.out.add(int64(needed-len(s.Instructors)), "ratio", s.ID)
	for _, id := range s.Instructors {
		if !slices.ContainsFunc(w.person(id).Teaches, func(t plan.Teaches) bool { return t.Exercise == s.Exercise && t.From <= day && day <= t.Until }) {
			w.out.add(1, "qualified", s.ID, id)
		}
	}
	w.cover(s, st, day, needed)
}

func (w *twin) cover(s *plan.Session, st plan.Station, day civil.Day, needed int) {
	valid := func(list []plan.Validity) bool {
		return slices.ContainsFunc(list, func(v plan.Validity) bool { return v.From <= day && day <= v.Until })
	}
	aiders, standby, own := 0, 0, 0
	for _, id := range slices.Concat(s.Instructors, s.Rescuers) {
		if valid(w.person(id).FirstAid) {
			aiders++
		}
	}
	for _, id := range s.Instructors {
		if valid(w.person(id).Rescuer) {
			own++
		}
	}
	for _, id := range s.Rescuers {
		if valid(w.person(id).Rescuer) {
			standby++
		} else {
			w.out.add(1, "rescue-cover", s.ID, id)
		}
	}
	w.out.add(int64(st.StaffMin-len(s.Instructors)-len(s.Rescuers)), "staff-min", s.ID)
	w.out.add(int64(st.FirstAiders-aiders), "first-aid", s.ID)
	if r := st.Rescue; r != nil {
		if !r.OwnInstructorsCount {
			own = 0
		}
		if r.StandbyMin > 0 {
			own = min(own, max(0, len(s.Instructors)-needed))
		}
		w.out.add(int64(max(0, r.StandbyMin-standby)+max(0, r.Rescuers-standby-own)), "rescue-cover", s.ID)
	}
}

func (w *twin) trainee(t *plan.Trainee) {
	z := w.p.Zone
	var mine []*plan.Session
	for i := range w.list {
		if slices.Contains(w.list[i].Trainees, t.ID) {
			mine = append(mine, &w.list[i])
		}
	}
	earlier := func(a, b *plan.Session) bool {
		x, y := w.hold(a).Start, w.hold(b).Start
		return x < y || x == y && a.ID < b.ID
	}
	for _, s := range mine {
		again := slices.ContainsFunc(mine, func(o *plan.Session) bool { return o.Exercise == s.Exercise && earlier(o, s) })
		if again || !slices.Contains(t.Needs, s.Exercise) {
			w.out.add(1, "needed-once", t.ID, s.ID)
		}
		if t.Deadline != 0 {
			w.out.add(int64(s.End-z.StartOfDay(t.Deadline+1)), "deadline", t.ID, s.ID)
		}
		for _, a := range w.exercise(s).After {
			ends := []civil.Instant{}
			for _, d := range t.Done {
				if d.Exercise == a.Exercise {
					ends = append(ends, d.At)
				}
			}
			for _, o := range mine {
				if o.ID != s.ID && o.Exercise == a.Exercise {
					ends = append(ends, o.End)
				}
			}
			best := int64(verdict.NeverBefore)
			for _, end := range ends {
				gap := int64(s.Start - end)
				miss := max(0, int64(a.MinGap)-gap)
				if a.MaxGap > 0 {
					miss = max(miss, gap-int64(a.MaxGap))
				}
				best = min(best, miss)
			}
			w.out.add(best, "order", t.ID, s.ID, a.Exercise)
		}
	}
	w.courses(t, mine)
}

func (w *twin) courses(t *plan.Trainee, mine []*plan.Session) {
	z := w.p.Zone
	for _, c := range w.p.Courses {
		var days []civil.Day
		for _, s := range mine {
			if slices.Contains(c.Exercises, s.Exercise) {
				days = append(days, z.DayOf(s.Start))
			}
		}
		if len(days) == 0 {
			continue
		}
		for _, d := range t.Done {
			if slices.Contains(c.Exercises, d.Exercise) {
				days = append(days, z.DayOf(d.At))
			}
		}
		w.out.add(int64(slices.Max(days)-slices.Min(days))+1-int64(c.Days), "course-span", t.ID, c.ID)
	}
}

// slot is one of a body's times.
type slot struct {
	civil.Period
	s *plan.Session // nil = duty
	n int           // tells the times of a body apart
}

func (w *twin) bodyNames() (out []string) {
	for _, v := range w.p.People {
		out = append(out, v.ID)
	}
	for _, v := range w.p.Trainees {
		if v.Body == "" {
			out = append(out, v.ID)
		}
	}
	return out
}

// body judges one body, whose name is that of its first role.
func (w *twin) body(name string) {
	var slots []slot
	var policies []string
	roles := 0
	role := func(id string, available, duties []civil.Period, rest []string) {
		roles++
		policies = append(policies, rest...)
		for _, d := range duties {
			if !slices.ContainsFunc(slots, func(s slot) bool { return s.s == nil && s.Period == d }) {
				slots = append(slots, slot{d, nil, len(slots)})
			}
		}
		for i := range w.list {
			s := &w.list[i]
			for _, part := range []struct {
				ids []string
				p   civil.Period
			}{{s.Trainees, w.period(s)}, {s.Others, w.period(s)}, {s.Instructors, w.hold(s)}, {s.Rescuers, w.hold(s)}} {
				for _, who := range part.ids {
					if who != id {
						continue
					}
					slots = append(slots, slot{part.p, s, len(slots)})
					if available != nil && !slices.ContainsFunc(available, func(a civil.Period) bool { return a.Start <= part.p.Start && part.p.End <= a.End }) {
						w.out.add(1, "available", id, s.ID)
					}
				}
			}
		}
	}
	for _, v := range w.p.People {
		if v.ID == name {
			role(v.ID, v.Available, v.Duties, v.Rest)
		}
	}
	for _, v := range w.p.Trainees {
		if v.ID == name && v.Body == "" || v.Body == name {
			role(v.ID, v.Available, v.Duties, v.Rest)
		}
	}
	if !slices.ContainsFunc(slots, func(s slot) bool { return s.s != nil }) {
		return
	}
	w.booked(name, slots)
	slices.Sort(policies)
	for _, policy := range slices.Compact(policies) {
		w.rest(name, slots, find(w.p.RestPolicies, func(r plan.RestPolicy) bool { return r.Name == policy }))
	}
}

func (w *twin) booked(name string, slots []slot) {
	for _, a := range slots {
		for _, b := range slots {
			switch {
			case a.n == b.n || a.s == nil:
			case b.s == a.s:
				w.out.add(1, "double-booked", name, a.s.ID, a.s.ID)
			default:
				// How much later whichever starts second should start.
				first, second := a, b
				if b.Start < a.Start || b.Start == a.Start && b.End < a.End {
					first, second = b, a
				}
				if a.Length() > 0 && b.Length() > 0 {
					w.out.add(int64(first.End-second.Start), "double-booked", name, a.s.ID)
				}
			}
		}
	}
}
