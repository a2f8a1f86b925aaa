package solve

import "rungbook/internal/civil"

// window is when a session of one exercise may start for a trainee, both ends
// included, by order, deadline and course as the rest of their plan stands.
type window struct {
	lo, hi civil.Instant
	days   dayRange
}

func (w *window) none() bool { return w.lo > w.hi || w.days.from >= w.days.to }

// ready reports whether all that must come before a need is done or placed.
func (s *state) ready(t, e int) bool {
	for _, a := range s.c.exercises[e].after {
		n := s.t.needOf(t, a.exercise)
		if n >= 0 && s.where[n] == nil || n < 0 && len(s.c.trainees[t].done[a.exercise]) == 0 {
			return false
		}
	}
	return true
}

// windowOf works out a trainee's window. What must come before and is not placed
// does not count.
func (s *state) windowOf(t, e int) window {
	c, tr, ex := s.c, &s.c.trainees[t], &s.c.exercises[e]
	w := window{lo: c.midnight(c.from), hi: c.midnight(c.until), days: s.t.traineeDays[t]}
	for _, a := range ex.after {
		if n := s.t.needOf(t, a.exercise); n >= 0 {
			if x := s.where[n]; x != nil {
				w.after(x.span.End, a)
			}
			continue
		}
		w.afterDone(tr.done[a.exercise], a)
	}
	for _, b := range s.t.before[e] {
		n := s.t.needOf(t, b.exercise)
		if n < 0 || s.where[n] == nil {
			continue
		}
		start := s.where[n].span.Start
		w.hi = min(w.hi, start.Add(-b.minGap-ex.minutes))
		if b.maxGap > 0 {
			w.lo = max(w.lo, start.Add(-b.maxGap-ex.minutes))
		}
	}
	if tr.deadline != 0 {
		w.hi = min(w.hi, c.midnight(tr.deadline+1).Add(-ex.minutes))
	}
	for _, k := range ex.courses {
		if span := s.courseSpan(t, k); span.first != 0 {
			// What is done may spread over more days than the course has.
			w.days.from = max(w.days.from, s.t.day(span.last)-c.courses[k].days+1)
			w.days.to = min(w.days.to, s.t.day(span.first)+c.courses[k].days)
		}
	}
	if w.lo <= w.hi && w.days.from < w.days.to {
		w.days.from = max(w.days.from, s.t.day(c.dayNear(w.lo))-1)
		w.days.to = min(w.days.to, s.t.day(c.dayNear(w.hi))+2)
	}
	return w
}

// after narrows the window to what one completion leaves.
func (w *window) after(end civil.Instant, a after) {
	w.lo = max(w.lo, end.Add(a.minGap))
	if a.maxGap > 0 {
		w.hi = min(w.hi, end.Add(a.maxGap))
	}
}

// afterDone narrows the window to that which the last useful completion leaves.
// Of several with a longest gap between, only the latest is used: a plan that
// needs an earlier one is not looked for.
func (w *window) afterDone(done []civil.Instant, a after) {
	if len(done) == 0 {
		w.hi = w.lo - 1
		return
	}
	best := done[0]
	for _, at := range done {
		if a.maxGap > 0 {
			best = max(best, at)
		} else {
			best = min(best, at)
		}
	}
	w.after(best, a)
}

// slots returns the starts [from, to) of day d that lie in the window.
func (w *window) slots(t *task, d int) (from, to int) {
	list := t.starts[d]
	return list.from(w.lo), list.from(w.hi + 1)
}

// entitledOn reports whether a trainee holds on day d what an exercise requires.
func (s *state) entitledOn(t, e, d int) bool {
	for _, name := range s.c.exercises[e].requires {
		if !s.c.trainees[t].has(name, s.c.from+civil.Day(d)) {
			return false
		}
	}
	return true
}

// mayJoin reports whether a trainee may share a session with those in a list.
func (s *state) mayJoin(t int, list []int) bool {
	for _, u := range list {
		if !s.t.mix(t, u) {
			return false
		}
	}
	return true
}

// mix reports whether two trainees may share a session.
func (t *task) mix(a, b int) bool {
	i, j := t.intakeOf[a], t.intakeOf[b]
	return i == j || !t.intakes[i].alone && !t.intakes[j].alone
}
