package bound

import "slices"

// stay is where one need of a class can be, whose trainees may share sessions.
//
// Proof that staff minutes follow. While an intake's last day is at most L and all
// that a trainee of it needs is placed, the need lies between the stay's first day
// and latest[L] (see reach). Choose stretches of days that share no day: sessions
// within one seat all trainees whose stay lies in it, but for those that leave some
// need out, and cost at least the cover of their number (see newCover); each one
// left out saves at most steepest. Sessions of different stretches are different,
// so the sum over stretches bounds the staff minutes of the exercise.
type stay struct {
	class, intake, count int
	first                int
	begin                int   // the day of latest[0]
	latest               []int // by last day of the intake; −1 = not all can be placed by then
}

// at is the last day of the stay if the intake ends on a day, −1 = not possible.
func (s *stay) at(end int) int {
	k := min(end-s.begin, len(s.latest)-1)
	if k < 0 {
		return -1
	}
	return s.latest[k]
}

// stays lists the stays of an exercise, for classes that mix and can be placed whole.
func (f *facts) stays(e int, reaches []reach) (out []stay) {
	if len(f.exercises[e].places) == 0 {
		return nil
	}
	for c := range f.classes {
		v := &f.classes[c]
		i := slices.Index(v.needs, e)
		if i < 0 || v.alone || !reaches[c].whole || len(v.dropped) > 0 {
			continue
		}
		s := stay{class: c, intake: v.intake, count: v.count, begin: v.first, first: v.earliest(i, &reaches[c])}
		for k := range v.can {
			at := v.latest(i, v.first+k, &reaches[c])
			if at < s.first {
				at = -1
			}
			s.latest = append(s.latest, at)
		}
		if n := len(s.latest); s.first >= 0 && n > 0 && s.latest[n-1] >= 0 {
			out = append(out, s)
		}
	}
	return out
}

// steepest is the largest slope of a cover.
func (c *cover) steepest() (out int64) {
	for _, v := range c.slope {
		out = max(out, v)
	}
	return out
}

// sharing works out what staff minutes stays ask of an exercise.
type sharing struct {
	spans []span // by last day
	best  []int64
}

// span is a stay for the ends of now.
type span struct{ first, last, count int }

// minutes is the largest sum of least staff minutes over stretches of days that
// share no day, if intakes end on the days that ends tells: the textbook recursion
// over the first day of the last stretch, best[d] being the sum before day d.
func (w *sharing) minutes(c *cover, list []stay, ends []int, days int) int64 {
	w.spans = w.spans[:0]
	for i := range list {
		if at := list[i].at(ends[list[i].intake]); at >= 0 {
			w.spans = append(w.spans, span{list[i].first, at, list[i].count})
		}
	}
	slices.SortFunc(w.spans, func(a, b span) int { return a.last - b.last })
	if len(w.best) <= days {
		w.best = make([]int64, days+1)
	}
	clear(w.best)
	carried, a := 0, -1
	for {
		if a = w.firstAfter(a); a < 0 {
			break
		}
		for ; carried < a; carried++ {
			w.best[carried+1] = max(w.best[carried+1], w.best[carried])
		}
		n := 0
		for _, v := range w.spans {
			if v.first >= a {
				n += v.count
				w.best[v.last+1] = max(w.best[v.last+1], w.best[a]+c.of(n))
			}
		}
	}
	return slices.Max(w.best[:days+1])
}

// firstAfter is the next first day of a span after a day, −1 for none.
func (w *sharing) firstAfter(day int) int {
	next := -1
	for _, v := range w.spans {
		if v.first > day && (next < 0 || v.first < next) {
			next = v.first
		}
	}
	return next
}
