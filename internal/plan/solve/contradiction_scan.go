package solve

import (
	"slices"

	"rungbook/internal/civil"
)

// test is what a start must pass for one trainee, one after another.
type test uint8

const (
	byOffer test = iota // nothing is offered on the day
	byHoldings
	byCourse
	byOrder
	byAvailability
	byTimes
	passes
)

// scan finds the first start at which a trainee can do an exercise; if there is
// none it looks at all days again to say why.
func (o *outlook) scan(t, e int, at *prospect) {
	to := o.lastDay(t)
	for d := o.c.from; d <= to && !o.spent(); d++ {
		o.work++
		if !o.mayCome(t, d, at) {
			continue
		}
		if got, first, _ := o.tryDay(t, e, d, at); got == passes {
			at.first = first
			return
		}
	}
	var far test
	var broken rules
	for d := o.c.from; d <= to; d++ {
		if o.spent() {
			return
		}
		o.work++
		if got, _, rules := o.tryDay(t, e, d, at); got > far {
			far, broken = got, rules
		}
	}
	at.barred = o.noStart(t, e, far, broken, at)
}

// mayCome reports whether a day has to do with a trainee's availability and with the
// window that what must come before leaves.
func (o *outlook) mayCome(t int, d civil.Day, at *prospect) bool {
	whole := civil.Period{Start: o.c.midnight(d), End: o.c.midnight(d + 1)}
	if whole.End <= at.window.lo || whole.Start > at.window.hi {
		return false
	}
	list := o.c.trainees[t].available
	return list == nil || slices.ContainsFunc(list, whole.Overlaps)
}

// tryDay returns the first start of a day that passes all tests, or how far the
// best of them comes.
func (o *outlook) tryDay(t, e int, d civil.Day, at *prospect) (far test, first civil.Instant, broken rules) {
	on := o.on(e, d)
	if len(on) == 0 {
		return byOffer, 0, 0
	}
	if far = o.dayTest(t, e, d); far < byOrder {
		return far, 0, 0
	}
	for i := range on {
		got, rules := o.startTest(t, e, &on[i], at)
		if got == passes {
			return got, on[i].at, 0
		}
		if got >= far {
			far, broken = got, rules
		}
	}
	return far, 0, broken
}

// dayTest tests what hangs on the day alone.
func (o *outlook) dayTest(t, e int, d civil.Day) test {
	c, tr := o.c, &o.c.trainees[t]
	for _, name := range c.exercises[e].requires {
		if !tr.has(name, d) {
			return byHoldings
		}
	}
	for _, k := range c.exercises[e].courses {
		if o.b.courseSpan(t, k).with(d).days() > c.courses[k].days {
			return byCourse
		}
	}
	return byOrder
}

// startTest tests one start, and returns the rules broken if it is the trainee's
// times that stop it.
func (o *outlook) startTest(t, e int, on *chance, at *prospect) (test, rules) {
	c, tr, ex := o.c, &o.c.trainees[t], &o.c.exercises[e]
	end := on.at.Add(ex.minutes)
	o.work++
	if on.at < at.window.lo || on.at > at.window.hi || !o.follows(t, e, on.at) {
		return byOrder, 0
	}
	if !tr.freeFor(civil.Period{Start: on.at, End: end}) {
		return byAvailability, 0
	}
	broken := rules(0)
	for kind, there := range on.kinds {
		if !there {
			continue
		}
		x := o.trial[kind]
		x.exercise, x.station = e, o.stationOfKind(e, kind)
		c.setTime(x, on.at, end)
		tm := c.timeOf(x, asTrainee)
		if broken = o.bars(&tr.role, &tm, &o.view); broken == 0 {
			return passes, 0
		}
	}
	return byTimes, broken
}

// follows reports whether what is done already is neither too near before a start
// nor too far.
func (o *outlook) follows(t, e int, start civil.Instant) bool {
	tr := &o.c.trainees[t]
	for _, a := range o.c.exercises[e].after {
		if tr.needs[a.exercise] {
			continue
		}
		short := neverBefore
		for _, at := range tr.done[a.exercise] {
			short = min(short, a.short(at, start))
		}
		if short > 0 {
			return false
		}
	}
	return true
}

// stationOfKind returns a station of an exercise on ground or at height.
func (o *outlook) stationOfKind(e, kind int) int {
	for _, at := range o.c.exercises[e].stations {
		if count(o.c.stations[at].height) == kind {
			return at
		}
	}
	panic("a start on a kind of station is offered by a station of that kind")
}

// latest returns the latest start at which a trainee can do an exercise that has a
// first; the end of the horizon where that is not known.
func (o *outlook) latest(t, e int, at *prospect) civil.Instant {
	if at.last != 0 {
		return at.last
	}
	at.last = o.c.midnight(o.c.until)
	for d := o.lastDay(t); d >= o.c.from; d-- {
		if o.spent() {
			return at.last
		}
		o.work++
		if !o.mayCome(t, d, at) {
			continue
		}
		on := o.on(e, d)
		if len(on) == 0 || o.dayTest(t, e, d) < byOrder {
			continue
		}
		for i := len(on) - 1; i >= 0; i-- {
			if got, _ := o.startTest(t, e, &on[i], at); got == passes {
				at.last = on[i].at
				return at.last
			}
		}
	}
	return at.last
}

// noStart words why no start that is offered can be a trainee's.
func (o *outlook) noStart(t, e int, far test, broken rules, at *prospect) *Contradiction {
	c, z := o.c, o.c.zone
	switch far {
	case byOffer:
		return o.contradiction(t, e, deadline, "nothing is offered up to the deadline "+o.lastDay(t).String(), "trainees", t, "deadline")
	case byHoldings:
		return o.contradiction(t, e, entitled, "the trainee does not hold all it requires on any day on which it is offered", "trainees", t, "holds")
	case byCourse:
		return o.contradiction(t, e, courseSpan, "with what is done or fixed its course would last longer than it may on every day left", "trainees", t, "done")
	case byOrder:
		words := "what must come first leaves no start: nothing is left from " + z.Format(at.window.lo)
		switch {
		case at.window.hi < c.midnight(c.until):
			words += " to " + z.Format(at.window.hi)
		case at.window.lo == c.midnight(c.from):
			words = "what is done is too recent, or too long ago, at every start left"
		}
		return o.contradiction(t, e, order, words, "exercises", e, "after")
	case byAvailability:
		return o.contradiction(t, e, available, "the trainee is not available for so long at any start left", "trainees", t, "available")
	}
	words := "the trainee's duties, fixed sessions and rest limits leave no start (" + listed(broken) + ")"
	if limit := o.tooLong(t, e, lowest(broken)); limit != "" {
		words = limit
	}
	return o.contradiction(t, e, lowest(broken), words, "trainees", t, "rest")
}

// tooLong words that an exercise by itself is longer than a rest policy allows; ""
// if it is not.
func (o *outlook) tooLong(t, e int, r rule) string {
	ex := &o.c.exercises[e]
	minutes := ex.minutes
	for _, p := range ex.pauses {
		minutes -= max(0, min(p.to, ex.minutes)-p.from)
	}
	policies := o.c.bodies[o.c.trainees[t].body].policies
	for i := range policies {
		p := &policies[i]
		for _, limit := range []struct {
			rule rule
			most civil.Minutes
			is   civil.Minutes
			of   string
		}{
			{dayMinutes, p.DayMinutes, minutes, "in a day"}, {daySpan, p.DaySpan, ex.minutes, "from start to end of a day"},
			{weekMinutes, p.WeekMinutes, minutes, "in a week"}, {heightMinutes, p.HeightDay, minutes, "at height in a day"},
			{breakRule, p.Stretch, unbroken(ex), "without a break"},
		} {
			if limit.rule == r && limit.most > 0 && limit.is > limit.most {
				return "it takes " + limit.is.String() + ", and rest policy " + quoted(p.Name) + " allows " + limit.most.String() + " " + limit.of
			}
		}
	}
	return ""
}

// unbroken is how long an exercise without pauses lasts in one piece; 0 of others.
func unbroken(ex *exercise) civil.Minutes {
	if len(ex.pauses) > 0 {
		return 0
	}
	return ex.minutes
}
