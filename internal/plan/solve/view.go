package solve

import (
	"sort"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// dayView is what decides, for one body and one local day, whether one more time
// that starts on that day breaks a rule: worked out once, asked for many starts.
type dayView struct {
	b          *Board
	body       int
	day        civil.Day
	load       dayLoad       // of the day; load.day 0 = no time yet
	prevLast   civil.Instant // latest end of the last day before with any time
	nextFirst  civil.Instant // earliest start of the next day with any time
	prev, next bool          // whether there are such days
	week       civil.Minutes // minutes in the ISO week
	run        int           // consecutive days with times, the day itself among them
	runSession bool          // a session takes part in the run already
	broken     rules         // what the body breaks already
	// rested says, by policy, whether a time of at most restedFor minutes leaves
	// enough weekly rest at whatever time of the day it starts.
	rested    [mostRested]answer
	restedFor civil.Minutes
}

// answer is yes, no, or not asked yet.
type answer uint8

const (
	unasked answer = iota
	yes
	no
)

// mostRested is how many policies of a body are remembered in rested.
const mostRested = 8

// view works a dayView out.
func (b *Board) view(body int, d civil.Day) dayView {
	v := b.cleanView(body, d)
	v.broken = b.brokenBy(body)
	return v
}

// cleanView works a dayView out for a body that is known to break nothing.
func (b *Board) cleanView(body int, d civil.Day) dayView {
	times := b.bodies[body].list
	v := dayView{b: b, body: body, day: d, run: 1}
	lo := sort.Search(len(times), func(i int) bool { return times[i].day >= d })
	hi := lo
	for ; hi < len(times) && times[hi].day == d; hi++ {
		v.load.add(&times[hi])
	}
	v.runSession = v.load.session
	monday := d.Monday()
	v.week = v.load.minutes
	v.back(times[:lo], monday)
	v.forth(times[hi:], monday)
	return v
}

// back reads the times of earlier days, the latest first.
func (v *dayView) back(times []timeSpan, monday civil.Day) {
	running, last := true, v.day
	for i := len(times) - 1; i >= 0 && (running || times[i].day >= monday || !v.prev || times[i].day == last); i-- {
		t := &times[i]
		if !v.prev {
			v.prev, v.prevLast = true, t.End
		}
		if i == len(times)-1 || t.day == times[len(times)-1].day {
			v.prevLast = max(v.prevLast, t.End)
		}
		if t.day >= monday {
			v.week += t.minutes
		}
		if t.day != last {
			running = running && t.day == last-1
			last = t.day
			v.run += count(running)
		}
		v.runSession = v.runSession || running && t.s != nil
	}
}

// forth reads the times of later days.
func (v *dayView) forth(times []timeSpan, monday civil.Day) {
	running, last := true, v.day
	if len(times) > 0 {
		v.next, v.nextFirst = true, times[0].Start
	}
	for i := 0; i < len(times) && (running || times[i].day < monday+7); i++ {
		t := &times[i]
		if t.day < monday+7 {
			v.week += t.minutes
		}
		if t.day != last {
			running = running && t.day == last+1
			last = t.day
			v.run += count(running)
		}
		v.runSession = v.runSession || running && t.s != nil
	}
}

// brokenBy returns the rules about times that a body breaks as it stands.
func (b *Board) brokenBy(body int) rules {
	var out rules
	for _, f := range b.faultsOf(body) {
		out |= f.rule.set()
	}
	return out
}

// faultsOf returns bodyFaults as a list, worked out once as long as the body's
// times stay.
func (b *Board) faultsOf(body int) []fault {
	bt := &b.bodies[body]
	if !bt.judged {
		bt.faults = nil
		b.bodyFaults(body, func(f fault) { bt.faults = append(bt.faults, f) })
		bt.judged = true
	}
	return bt.faults
}

// judge returns the rules about times that one more time t of a session, which
// starts on the view's day, would break. It is exact for a body that breaks none
// of them already; for others the caller compares the faults before and after.
func (v *dayView) judge(t *timeSpan) rules {
	var out rules
	bt := &v.b.bodies[v.body]
	for i, near := 0, bt.near(t.Period, 0); i < len(near); i++ {
		out |= doubleBooked.when(near[i].Overlaps(t.Period) && near[i].Length() > 0)
	}
	policies := v.b.c.bodies[v.body].policies
	for i := range policies {
		out |= v.limits(&policies[i], t)
		if policies[i].WeeklyRest > 0 && !v.restedWith(i, t) {
			out |= v.blocks(&policies[i], t)
		}
		if policies[i].Stretch > 0 {
			out |= v.chain(&policies[i], t)
		}
	}
	return out
}

// limits judges the day, the week and the days around it under one policy.
func (v *dayView) limits(p *plan.RestPolicy, t *timeSpan) rules {
	return v.nearLimits(p, t) | v.farLimits(p, t)
}

// farLimits are those that do not hang on the time of the day.
func (v *dayView) farLimits(p *plan.RestPolicy, t *timeSpan) rules {
	return weekMinutes.when(p.WeekMinutes > 0 && v.week+t.minutes > p.WeekMinutes) |
		dayRun.when(p.RunDays > 0 && v.run > p.RunDays && (v.load.day == 0 || !v.runSession))
}

// nearLimits are those about the day and its neighbours.
func (v *dayView) nearLimits(p *plan.RestPolicy, t *timeSpan) rules {
	l := &v.load
	none := l.day == 0
	// An end of the day that stays as it is was judged without t.
	opens, closes := none || t.Start <= l.first, none || t.End >= l.last
	first, last := t.Start, t.End
	if !none {
		first, last = min(first, l.first), max(last, l.last)
	}
	out := dayMinutes.when(p.DayMinutes > 0 && l.minutes+t.minutes > p.DayMinutes) |
		daySpan.when(p.DaySpan > 0 && (opens || closes) && last.Sub(first) > p.DaySpan) |
		heightMinutes.when(p.HeightDay > 0 && t.height > 0 && l.height+t.height > p.HeightDay)
	if p.DailyRest > 0 {
		out |= dailyRest.when(opens && v.prev && t.Start.Sub(v.prevLast) < p.DailyRest ||
			closes && v.next && v.nextFirst.Sub(t.End) < p.DailyRest)
	}
	return out
}

// restedWith reports whether the weekly rest under a policy is enough whenever on
// the day a time as long as t starts: if it is enough with all of these taken at
// once, a shorter time inside leaves each stretch as long or longer.
func (v *dayView) restedWith(policy int, t *timeSpan) bool {
	if policy >= mostRested {
		return false
	}
	if t.Length() > v.restedFor {
		v.restedFor, v.rested = t.Length(), [mostRested]answer{}
	}
	if v.rested[policy] == unasked {
		c := v.b.c
		all := timeSpan{Period: civil.Period{Start: c.midnight(v.day), End: c.midnight(v.day + 1).Add(v.restedFor)}, day: v.day, s: t.s}
		v.rested[policy] = yes
		if v.blocks(&v.b.c.bodies[v.body].policies[policy], &all) != 0 {
			v.rested[policy] = no
		}
	}
	return v.rested[policy] == yes
}

// blocks judges weekly-rest in the blocks that t can touch: those it lies in and
// those with a stretch that it ends too soon.
func (v *dayView) blocks(p *plan.RestPolicy, t *timeSpan) rules {
	c, n := v.b.c, blockDays(p)
	monday := c.from.Monday()
	d := c.dayNear(t.Start.Add(-p.WeeklyRest))
	for d = monday + max(0, d-monday)/n*n; d < c.until && c.midnight(d) < t.End; d += n {
		if d < c.from {
			continue
		}
		block, rests := c.block(d, p), 0
		bt := &v.b.bodies[v.body]
		times := bt.list[bt.from(block.Start.Add(-bt.longest)):]
		mine := c.stretches(times, t, block, p.WeeklyRest, func(m civil.Minutes) { rests += count(m >= p.WeeklyRest) })
		if mine && rests < restCount(p) {
			return weeklyRest.set()
		}
	}
	return 0
}

// chain judges break for the chains that t's pieces are in. Times further away
// than a stretch and a break don't matter: a chain that reaches them is too long
// before it does.
func (v *dayView) chain(p *plan.RestPolicy, t *timeSpan) rules {
	c, bt := v.b.c, &v.b.bodies[v.body]
	var out rules
	if near := bt.near(t.Period, p.Break); len(near) == 0 {
		// A session's own pieces lie a break apart, so each is its own chain.
		c.pieces(t, p.Break, func(q civil.Period) { out |= breakRule.when(q.Length() > p.Stretch) })
		return out
	}
	around := append([]timeSpan{*t}, bt.near(t.Period, p.Stretch+p.Break)...)
	c.chains(around, p.Break, func(ch civil.Period, pieces []piece) {
		for i := range pieces {
			out |= breakRule.when(pieces[i].s == t.s && ch.Length() > p.Stretch)
		}
	})
	return out
}
