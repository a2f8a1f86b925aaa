package solve

import "rungbook/internal/civil"

// path reports the rules of a trainee's way through their exercises: needed-once,
// order, course-span.
func (b *Board) path(t int, f report) {
	tr, list := &b.c.trainees[t], b.byTrainee[t]
	for i, s := range list {
		if !tr.needs[s.exercise] || list[:i].hasExercise(s.exercise) {
			f(fault{rule: neededOnce, session: s.id, who: tr.id, excess: 1})
		}
		for _, a := range b.c.exercises[s.exercise].after {
			if short := b.outOfOrder(t, s, a); short > 0 {
				f(fault{rule: order, session: s.id, who: tr.id, with: b.c.exercises[a.exercise].id, excess: int64(short)})
			}
		}
	}
	for k := range b.c.courses {
		span := b.courseSpan(t, k)
		if most := b.c.courses[k].days; span.here && span.days() > most {
			f(fault{rule: courseSpan, who: tr.id, at: int64(k), excess: int64(span.days() - most)})
		}
	}
}

func (r row) hasExercise(e int) bool {
	for _, s := range r {
		if s.exercise == e {
			return true
		}
	}
	return false
}

// neverBefore is how far an exercise is out of order when what must come before
// it was never done.
const neverBefore civil.Minutes = 1 << 40

// outOfOrder returns by how much the best completion of a.exercise, done or the
// end of another of the trainee's sessions, lies too near before s or too far; 0
// if one satisfies a.
func (b *Board) outOfOrder(t int, s *session, a after) civil.Minutes {
	short := neverBefore
	for _, at := range b.c.trainees[t].done[a.exercise] {
		short = min(short, a.short(at, s.span.Start))
	}
	for _, o := range b.byTrainee[t] {
		if o != s && o.exercise == a.exercise {
			short = min(short, a.short(o.told.End, s.span.Start))
		}
	}
	return short
}

// short returns by how much a start lies too near after a completion, or too far.
func (a after) short(done, start civil.Instant) civil.Minutes {
	gap := start.Sub(done)
	short := max(0, a.minGap-gap)
	if a.maxGap > 0 {
		short = max(short, gap-a.maxGap)
	}
	return short
}

// courseDays are the local days from the first to the last of a trainee's
// exercises of one course, what is done included.
type courseDays struct {
	first, last civil.Day
	here        bool // one of them is a session on the board
}

func (s courseDays) days() int { return int(s.last-s.first) + 1 }

// with returns the span with one more day.
func (s courseDays) with(d civil.Day) courseDays {
	if s.first == 0 {
		return courseDays{d, d, s.here}
	}
	return courseDays{min(s.first, d), max(s.last, d), s.here}
}

func (b *Board) courseSpan(t, k int) courseDays {
	var span courseDays
	co := &b.c.courses[k]
	for _, s := range b.byTrainee[t] {
		if co.has(s.exercise) {
			span = span.with(s.day)
			span.here = true
		}
	}
	for _, e := range co.exercises {
		for _, at := range b.c.trainees[t].done[e] {
			span = span.with(b.c.zone.DayOf(at))
		}
	}
	return span
}

func (co *course) has(exercise int) bool {
	for _, e := range co.exercises {
		if e == exercise {
			return true
		}
	}
	return false
}
