package solve

import "rungbook/internal/civil"

// freeCache remembers, by role, shape and day, the starts at which a time of that
// shape breaks no rule about the role's times. What it remembers holds as long as
// the day's fingerprint does.
type freeCache struct {
	people, trainees [][]freeDays // by role, by shape
	left             int          // words that may still be kept
	day              freeDay
}

// freeDays are the answers of one role and shape. For each day there are two, each
// with the fingerprint under which it was worked out, 0 = not yet, and the words of a
// slotSet: what the rules leave, and what those leave that only look at the days
// next to it. Most changes lie further away, and then only the other rules, which
// mostly forbid the whole day or nothing, are asked again.
type freeDays []uint64

// mostKept is how many words a cache keeps; 128 MB.
const mostKept = 16 << 20

func (f *freeCache) init(t *task) {
	f.people = make([][]freeDays, len(t.c.people))
	f.trainees = make([][]freeDays, len(t.c.trainees))
	f.left = mostKept
}

// personFree returns the starts of a day at which somebody may staff an exercise
// for its whole hold. The caller must not change the set.
func (s *state) personFree(p, shape, d int) slotSet {
	return s.freeAt(&s.free.people[p], &s.c.people[p].role, s.t.personDays[p], shape, d)
}

// traineeFree is the same for a trainee. Order, deadline and what they hold are
// not looked at.
func (s *state) traineeFree(t, shape, d int) slotSet {
	return s.freeAt(&s.free.trainees[t], &s.c.trainees[t].role, s.t.traineeDays[t], shape, d)
}

func (s *state) freeAt(kept *[]freeDays, r *role, days dayRange, shape, d int) slotSet {
	if d < days.from || d >= days.to {
		return nil
	}
	words := s.t.words
	stride := 2 * (1 + words)
	if *kept == nil {
		*kept = make([]freeDays, len(s.t.shapes))
	}
	list := (*kept)[shape]
	if list == nil {
		size := (days.to - days.from) * stride
		if size > s.free.left {
			out := make(slotSet, words)
			s.free.day.workOutNear(s, r, shape, d, out)
			s.free.day.dropFar(out)
			return out
		}
		s.free.left -= size
		list = make(freeDays, size)
		(*kept)[shape] = list
	}
	entry := list[(d-days.from)*stride:][:stride]
	set, near := slotSet(entry[1:1+words]), slotSet(entry[2+words:])
	now := s.bodyMark[r.body].at(d)
	if entry[0] == now {
		return set
	}
	if nearby := s.nearMark[r.body].at(d); entry[1+words] != nearby {
		entry[1+words] = nearby
		clear(near)
		s.free.day.workOutNear(s, r, shape, d, near)
	} else {
		s.free.day.ask(s, r, shape, d)
	}
	entry[0] = now
	copy(set, near)
	s.free.day.dropFar(set)
	return set
}

// worked is the time of a shape without setup, strike and pauses.
func (c *Compiled) worked(sh *shape) civil.Minutes {
	m := sh.minutes
	for _, p := range c.exercises[sh.exercise].pauses {
		m -= max(0, min(p.to, sh.minutes)-p.from)
	}
	return m
}
