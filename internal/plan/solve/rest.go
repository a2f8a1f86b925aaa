package solve

import (
	"cmp"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// bodyFaults reports the rules about times that a body breaks, but for available:
// double-booked and the rest rules under each of its policies. It reads all its
// times and is the slow twin of dayView.judge, which asks what one more time would
// break. What duties alone break is nobody's fault and not reported.
func (b *Board) bodyFaults(i int, f report) {
	bo, times := &b.c.bodies[i], b.bodies[i].list
	for j := range times {
		if times[j].s != nil {
			b.overlaps(i, j, f)
		}
	}
	if !slices.ContainsFunc(times, func(t timeSpan) bool { return t.s != nil }) {
		return
	}
	days := loads(times)
	for k := range bo.policies {
		w := watch{c: b.c, who: bo.id, policy: &bo.policies[k], times: times, days: days, f: f}
		w.eachDay()
		w.runs()
		w.weeks()
		w.blocks()
		w.chains()
	}
}

// overlaps reports double-booked for times[j], a session: if another time is of
// the same session, and if one that is not overlaps it.
func (b *Board) overlaps(i, j int, f report) {
	t, times := &b.bodies[i].list[j], b.bodies[i].list
	var worst civil.Minutes
	for k := range times {
		o := &times[k]
		if k == j {
			continue
		}
		if o.s == t.s {
			f(fault{rule: doubleBooked, session: t.s.id, who: b.c.bodies[i].id, with: "twice", excess: 1})
		} else if o.Length() > 0 && t.Length() > 0 {
			worst = max(worst, min(t.End, o.End).Sub(max(t.Start, o.Start)))
		}
	}
	if worst > 0 {
		f(fault{rule: doubleBooked, session: t.s.id, who: b.c.bodies[i].id, excess: int64(worst)})
	}
}

// watch judges the times of one body under one policy.
type watch struct {
	c      *Compiled
	who    string
	policy *plan.RestPolicy
	times  []timeSpan
	days   []dayLoad
	f      report
}

// over reports a rule about a day, if over is positive.
func (w *watch) over(r rule, d civil.Day, over civil.Minutes) {
	if over > 0 {
		w.f(fault{rule: r, who: w.who, with: w.policy.Name, at: int64(d), excess: int64(over)})
	}
}

// dayLoad is what a body has on one local day.
type dayLoad struct {
	day                       civil.Day
	first, last               civil.Instant // earliest start, latest end
	minutes, height           civil.Minutes
	session                   bool // a session takes part in the day,
	firstSession, lastSession bool // in its start, in its end
}

// add adds a time to the day. The zero dayLoad is a day without any.
func (l *dayLoad) add(t *timeSpan) {
	inSession := t.s != nil
	switch {
	case l.day == 0:
		*l = dayLoad{day: t.day, first: t.Start, last: t.End, firstSession: inSession, lastSession: inSession}
	default:
		if t.Start < l.first {
			l.first, l.firstSession = t.Start, false
		}
		if t.End > l.last {
			l.last, l.lastSession = t.End, false
		}
		l.firstSession = l.firstSession || inSession && t.Start == l.first
		l.lastSession = l.lastSession || inSession && t.End == l.last
	}
	l.session = l.session || inSession
	l.minutes += t.minutes
	l.height += t.height
}

// loads sums times, in order of their starts, up by local day.
func loads(times []timeSpan) []dayLoad {
	var out []dayLoad
	for i := range times {
		if n := len(out); n == 0 || out[n-1].day != times[i].day {
			out = append(out, dayLoad{})
		}
		out[len(out)-1].add(&times[i])
	}
	return out
}

// eachDay reports day-minutes, day-span, height-minutes and daily-rest.
func (w *watch) eachDay() {
	p := w.policy
	for i, l := range w.days {
		if p.DayMinutes > 0 && l.session {
			w.over(dayMinutes, l.day, l.minutes-p.DayMinutes)
		}
		if p.DaySpan > 0 && (l.firstSession || l.lastSession) {
			w.over(daySpan, l.day, l.last.Sub(l.first)-p.DaySpan)
		}
		if p.HeightDay > 0 {
			w.over(heightMinutes, l.day, l.height-p.HeightDay)
		}
		if i > 0 && p.DailyRest > 0 && (w.days[i-1].lastSession || l.firstSession) {
			w.over(dailyRest, l.day, p.DailyRest-l.first.Sub(w.days[i-1].last))
		}
	}
}

// runs reports day-run, at each day of a run from the first too many.
func (w *watch) runs() {
	run, session := 0, false
	for i, l := range w.days {
		if i == 0 || w.days[i-1].day+1 != l.day {
			run, session = 0, false
		}
		run++
		session = session || l.session
		if session && w.policy.RunDays > 0 {
			w.over(dayRun, l.day, civil.Minutes(run-w.policy.RunDays))
		}
	}
}

// weeks reports week-minutes.
func (w *watch) weeks() {
	if w.policy.WeekMinutes == 0 {
		return
	}
	for i := 0; i < len(w.days); {
		monday, session := w.days[i].day.Monday(), false
		var sum civil.Minutes
		for ; i < len(w.days) && w.days[i].day < monday+7; i++ {
			sum += w.days[i].minutes
			session = session || w.days[i].session
		}
		if session {
			w.over(weekMinutes, monday, sum-w.policy.WeekMinutes)
		}
	}
}

// blocks reports weekly-rest.
func (w *watch) blocks() {
	p := w.policy
	if p.WeeklyRest == 0 {
		return
	}
	for d := w.c.from.Monday(); d < w.c.until; d += blockDays(p) {
		if d < w.c.from {
			continue
		}
		var free []civil.Minutes
		mine := w.c.stretches(w.times, nil, w.c.block(d, p), p.WeeklyRest, func(m civil.Minutes) { free = append(free, m) })
		slices.SortFunc(free, func(a, b civil.Minutes) int { return cmp.Compare(b, a) })
		var short civil.Minutes
		for i := range restCount(p) {
			if i < len(free) {
				short += max(0, p.WeeklyRest-free[i])
			} else {
				short += p.WeeklyRest
			}
		}
		if mine {
			w.over(weeklyRest, d, short)
		}
	}
}

// block is the period of the weekly-rest block that begins on day d.
func (c *calendar) block(d civil.Day, p *plan.RestPolicy) civil.Period {
	return civil.Period{Start: c.midnight(d), End: c.midnight(d + blockDays(p))}
}

// forEver is the length of a stretch after the last time.
const forEver civil.Minutes = 1 << 40

// stretches calls f with the length of each stretch that begins in a block and is
// free of the times (in order of their starts) and of one more (nil = none). A
// stretch is cut at the block's start and may run on past its end. mine tells
// whether a session takes part: lies in the block, or ends sooner than least a
// stretch that runs on past it.
func (c *calendar) stretches(times []timeSpan, more *timeSpan, block civil.Period, least civil.Minutes, f func(civil.Minutes)) (mine bool) {
	free := block.Start
	for i := 0; free < block.End; {
		var t *timeSpan
		switch {
		case more != nil && (i == len(times) || more.Start <= times[i].Start):
			t, more = more, nil
		case i < len(times):
			t = &times[i]
			i++
		default:
			f(forEver)
			return mine
		}
		if t.End <= block.Start || t.Length() <= 0 {
			continue
		}
		gap := t.Start.Sub(free)
		if gap > 0 {
			f(gap)
		}
		mine = mine || t.s != nil && (t.Start < block.End || gap > 0 && gap < least)
		free = max(free, t.End)
	}
	// A session that lies in the block under something longer takes part too.
	for i := range times {
		t := &times[i]
		if t.Start >= block.End {
			break
		}
		mine = mine || t.s != nil && t.Length() > 0 && t.Overlaps(block)
	}
	return mine || more != nil && more.Overlaps(block)
}

// chains reports break for each session in a chain of pieces, with less than a
// break between them, that spans more than the policy's stretch.
func (w *watch) chains() {
	p := w.policy
	if p.Stretch == 0 {
		return
	}
	w.c.chains(w.times, p.Break, func(ch civil.Period, pieces []piece) {
		if ch.Length() <= p.Stretch {
			return
		}
		for _, pc := range pieces {
			if pc.s != nil {
				w.f(fault{rule: breakRule, session: pc.s.id, who: w.who, with: p.Name, excess: int64(ch.Length() - p.Stretch)})
			}
		}
	})
}

// piece is an uncut part of a time.
type piece struct {
	civil.Period
	s *session
}

// chains calls f with each chain of the times, cut where sessions pause, and its
// pieces.
func (c *Compiled) chains(times []timeSpan, rest civil.Minutes, f func(civil.Period, []piece)) {
	all := make([]piece, 0, 2*len(times))
	for i := range times {
		c.pieces(&times[i], rest, func(p civil.Period) { all = append(all, piece{p, times[i].s}) })
	}
	slices.SortStableFunc(all, func(a, b piece) int { return cmp.Compare(a.Start, b.Start) })
	for i := 0; i < len(all); {
		ch, first := all[i].Period, i
		for i++; i < len(all) && all[i].Start.Sub(ch.End) < rest; i++ {
			ch.End = max(ch.End, all[i].End)
		}
		f(ch, all[first:i])
	}
}
