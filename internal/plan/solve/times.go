package solve

import (
	"slices"
	"sort"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// timeSpan is one of a body's times: its part in a session, or a duty.
type timeSpan struct {
	civil.Period
	day     civil.Day     // on which it starts
	minutes civil.Minutes // length less the session's pauses
	height  civil.Minutes // of them in [start, end) of a session on a height station
	s       *session      // nil = a duty
	as      part
}

// timeOf returns the time that a part in a session takes: staff are taken for
// the hold, everybody else for [start, end).
func (c *Compiled) timeOf(s *session, as part) timeSpan {
	t := timeSpan{Period: s.span, day: s.day, minutes: s.minutes, s: s, as: as}
	if as == asInstructor || as == asRescuer {
		t.Period = s.hold
		t.minutes += s.hold.Length() - s.span.Length()
		if c.exercises[s.exercise].setup > 0 {
			t.day = c.zone.DayOf(s.hold.Start)
		}
	}
	if c.stations[s.station].height {
		t.height = s.minutes
	}
	return t
}

// pieces calls f with what is left of a time when it is cut where its session
// pauses for at least rest; nothing of no length.
func (c *Compiled) pieces(t *timeSpan, rest civil.Minutes, f func(civil.Period)) {
	left := t.Period
	if t.s != nil {
		for _, p := range c.exercises[t.s.exercise].pauses {
			from := t.s.span.Start.Add(p.from)
			to := min(t.s.span.Start.Add(p.to), t.s.span.End)
			if to.Sub(from) < rest || from >= left.End {
				continue
			}
			if left.Start < from {
				f(civil.Period{Start: left.Start, End: from})
			}
			left.Start = max(left.Start, to)
		}
	}
	if left.Start < left.End {
		f(left)
	}
}

// bodyTimes are all times of a body, in order of their starts; of those that
// start together the sessions come first.
type bodyTimes struct {
	list    []timeSpan
	longest civil.Minutes // no time is longer
	// faults are what the standing sessions break of the rules about times;
	// judged says whether they have been worked out since the last change.
	faults []fault
	judged bool
}

func newBodyTimes(c *Compiled, b *body) bodyTimes {
	var t bodyTimes
	for _, p := range b.duties {
		t.put(timeSpan{Period: p, day: c.zone.DayOf(p.Start), minutes: p.Length()})
	}
	return t
}

// from returns the index of the first time that starts at t or later.
func (b *bodyTimes) from(t civil.Instant) int {
	return sort.Search(len(b.list), func(i int) bool { return b.list[i].Start >= t })
}

func (b *bodyTimes) put(t timeSpan) {
	i := b.from(t.Start)
	for i < len(b.list) && b.list[i].Start == t.Start && b.list[i].s != nil {
		i++
	}
	b.list = slices.Insert(b.list, i, t)
	b.longest = max(b.longest, t.Length())
	b.judged = false
}

func (b *bodyTimes) take(t timeSpan) {
	i := b.from(t.Start)
	for b.list[i].s != t.s || b.list[i].as != t.as {
		i++
	}
	b.list = slices.Delete(b.list, i, i+1)
	b.judged = false
}

// near returns the times that may touch [p.Start − slack, p.End + slack].
func (b *bodyTimes) near(p civil.Period, slack civil.Minutes) []timeSpan {
	return b.list[b.from(p.Start.Add(-slack-b.longest)):b.from(p.End.Add(slack+1))]
}

// blockDays is the length of a policy's weekly-rest blocks.
func blockDays(p *plan.RestPolicy) civil.Day {
	if p.WeeklyRestDays < 1 {
		return 7
	}
	return civil.Day(p.WeeklyRestDays)
}

// restCount is how many weekly rests a policy wants in each block.
func restCount(p *plan.RestPolicy) int { return max(1, p.WeeklyRestCount) }
