package bound

import (
	"slices"
	"strings"

	"rungbook/internal/civil"
)

const (
	mostFull  = 1500 // fullest days of a shift book
	mostKinds = 14   // kinds of parts that are combined one with another
)

// layShifts finds for every person and day the parts they may take, and the
// fullest days that their limits allow.
func (f *facts) layShifts() {
	kinds, kindOf := f.kinds()
	type key struct {
		limits
		rest string
	}
	books := make(map[key]*shiftBook)
	for i := range f.people {
		v := &f.people[i]
		policies := f.policiesOf(v.Rest)
		v.days = make([]*shift, len(f.days))
		for d := range f.days {
			s := &shift{}
			for e := range f.exercises {
				s.parts = append(s.parts, f.partsOf(v, e, d)...)
			}
			if len(s.parts) == 0 {
				continue
			}
			for _, q := range s.parts {
				s.kinds = append(s.kinds, kindOf[q.exercise])
			}
			l := limitsOf(policies, v.Duties, f.days[d].period, f.holdHull(v, d).Length())
			k := key{l, strings.Join(v.Rest, " ")}
			if books[k] == nil {
				books[k] = f.newBook(kinds, l, v.Rest)
			}
			s.book = books[k]
			v.days[d] = s
		}
	}
}

// kinds lists the kinds of parts, and which one each exercise's is.
func (f *facts) kinds() (list []kind, of []int) {
	for i := range f.exercises {
		e := &f.exercises[i]
		k := kind{minutes: max(0, e.hold()-e.pauses), span: e.hold()}
		if e.height {
			k.height = e.net()
		}
		at := slices.Index(list, k)
		if at < 0 {
			at, list = len(list), append(list, k)
		}
		of = append(of, at)
	}
	return list, of
}

// partsOf lists the parts that a person may take in sessions of an exercise on a
// day. A person who is free for no start of it has none.
func (f *facts) partsOf(v *person, e, d int) (out []part) {
	x, at := &f.exercises[e], f.p.From+civil.Day(d)
	if !f.freeFor(v, x, d) {
		return nil
	}
	teaches := false
	for _, t := range v.Teaches {
		teaches = teaches || t.Exercise == x.ID && t.Holds(at)
	}
	rescues := false
	for _, r := range v.Rescuer {
		rescues = rescues || r.Holds(at)
	}
	if teaches {
		out = append(out, part{e, true})
	}
	if teaches || rescues {
		out = append(out, part{e, false})
	}
	return out
}

// freeFor reports whether a person is free for some start of an exercise.
func (f *facts) freeFor(v *person, e *exercise, d int) bool {
	for _, at := range e.places {
		for _, s := range f.places[at].starts[d] {
			if free(v.Available, v.Duties, e.Hold(civil.Period{Start: s, End: s.Add(e.Minutes)})) {
				return true
			}
		}
	}
	return false
}

// holdHull is from the earliest to the latest instant of a day at which a
// person's sessions can be.
func (f *facts) holdHull(v *person, d int) civil.Period {
	hull := civil.Period{Start: 1<<62 - 1, End: 1<<62 - 1}
	for i := range f.places {
		e := &f.exercises[f.places[i].exercise]
		for _, s := range f.places[i].starts[d] {
			h := e.Hold(civil.Period{Start: s, End: s.Add(e.Minutes)})
			if !free(v.Available, v.Duties, h) {
				continue
			}
			if hull.Start == hull.End {
				hull = h
			}
			hull.Start, hull.End = min(hull.Start, h.Start), max(hull.End, h.End)
		}
	}
	return hull
}

// newBook lists the fullest days under limits.
//
// Proof. A body's times of one day don't overlap and lie inside the day's hull
// (and a span limit), so their holds add up to no more, with the breaks that a
// longest stretch asks (see idle); their minutes and height minutes keep the
// limits. Whoever teaches or stands by in a session is there for its whole hold.
// Every valid day is thus at most one of the counts listed, kind by kind.
func (f *facts) newBook(kinds []kind, l limits, rest []string) *shiftBook {
	b := &shiftBook{kinds: kinds, limits: l}
	if len(kinds) > mostKinds || slices.ContainsFunc(kinds, func(k kind) bool { return l.span/k.span > 200 }) {
		return b
	}
	policies := f.policiesOf(rest)
	counts := make([]uint8, len(kinds))
	var fill func(k int, used kind)
	holds := func(u kind) bool {
		return u.minutes <= l.minutes && u.height <= l.height && u.span+idle(policies, u.minutes, u.span-u.minutes) <= l.span
	}
	fill = func(k int, used kind) {
		if len(b.full) > mostFull {
			return
		}
		if k == len(kinds) {
			for _, v := range kinds {
				if holds(kind{used.minutes + v.minutes, used.height + v.height, used.span + v.span}) {
					return // not full
				}
			}
			b.full = append(b.full, slices.Clone(counts))
			return
		}
		v := kinds[k]
		for n := 0; holds(used); n++ {
			counts[k] = uint8(n)
			fill(k+1, used)
			used = kind{used.minutes + v.minutes, used.height + v.height, used.span + v.span}
		}
		counts[k] = 0
	}
	fill(0, kind{})
	b.worth = len(b.full) <= mostFull
	return b
}

// best returns the most that parts are worth on a day and which parts it takes.
// worth holds the value of each part of the shift.
func (s *shift) best(worth []int64, took func(q part, times int64)) int64 {
	var most [mostKinds]int64
	var which [mostKinds]int
	if !s.book.worth {
		return s.byMinutes(worth)
	}
	any := false
	for i, k := range s.kinds {
		if worth[i] > most[k] {
			most[k], which[k], any = worth[i], i, true
		}
	}
	if !any {
		return 0
	}
	var sum int64
	var chosen []uint8
	for _, full := range s.book.full {
		var v int64
		for k, n := range full {
			v += int64(n) * most[k]
		}
		if v > sum {
			sum, chosen = v, full
		}
	}
	for k, n := range chosen {
		if n > 0 && most[k] > 0 {
			took(s.parts[which[k]], int64(n))
		}
	}
	return sum
}

// byMinutes bounds a day's worth by its length: the best rate a minute of hold,
// all day.
func (s *shift) byMinutes(worth []int64) int64 {
	var most int64
	for i, k := range s.kinds {
		if v := s.book.kinds[k]; worth[i] > 0 {
			span := int64(max(1, v.span))
			most = max(most, ceilDiv(worth[i]*int64(s.book.span), span))
		}
	}
	return most
}
