package solve

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// beyond is a number that no limit of a usable problem exceeds.
const beyond = 1_000_000_000

// session: lifted, the session is gone.
func (b *blame) session(r rule, o *session, does string) {
	id, kind := o.id, "session "
	if b.c.fixed[id] != nil {
		kind = "fixed session "
	}
	words := kind + id + " (" + b.c.exercises[o.exercise].id + " on " + b.c.stations[o.station].id + ", " + b.period(o.span) + ") " + does
	b.add(r, ofPlan, "session "+id, words, func(x *relaxed) {
		gone := func(s plan.Session) bool { return s.ID == id }
		x.sessions, x.p.Fixed = slices.DeleteFunc(x.sessions, gone), slices.DeleteFunc(x.p.Fixed, gone)
	})
}

// duty: lifted, the body has no such duty in any role.
func (b *blame) duty(body int, p civil.Period) {
	id := b.c.bodies[body].id
	b.add(doubleBooked, ofMeans, "duty "+id+b.period(p), id+" has a duty "+b.period(p), func(x *relaxed) {
		without := func(list []civil.Period) []civil.Period {
			return slices.DeleteFunc(slices.Clone(list), func(o civil.Period) bool { return o == p })
		}
		x.roles(id, func(d *[]civil.Period, _ *[]string) { *d = without(*d) })
	})
}

// roles calls f with the duties and the rest of every role of a body.
func (x *relaxed) roles(body string, f func(duties *[]civil.Period, rest *[]string)) {
	for i := range x.p.People {
		if v := &x.p.People[i]; v.Body == body || v.Body == "" && v.ID == body {
			f(&v.Duties, &v.Rest)
		}
	}
	for i := range x.p.Trainees {
		if v := &x.p.Trainees[i]; v.Body == body || v.Body == "" && v.ID == body {
			f(&v.Duties, &v.Rest)
		}
	}
}

// hours: lifted, the day is not closed, and its weekday is open as another is, or
// round the clock if none would do.
func (b *blame) hours() {
	d, weekday := b.s.day, b.s.day.Weekday()
	if b.c.closed[d] {
		b.add(openHours, ofLimits, "closed "+d.String(), d.String()+" is a closed day", func(x *relaxed) {
			x.p.ClosedDays = slices.DeleteFunc(x.p.ClosedDays, func(o civil.Day) bool { return o == d })
		})
	}
	if inOne(b.c.hours(d, weekday), b.s.span) {
		return
	}
	b.add(openHours, ofOrder, "hours "+number(weekday), "no opening window of weekday "+number(weekday)+" (1 = Monday) holds "+b.period(b.s.span), func(x *relaxed) {
		like := b.openLike()
		for i := range x.p.Open {
			w := &x.p.Open[i]
			w.Weekdays = slices.DeleteFunc(slices.Clone(w.Weekdays), func(o int) bool { return o == weekday })
			if slices.Contains(w.Weekdays, like) {
				w.Weekdays = append(w.Weekdays, weekday)
			}
		}
		if like == 0 {
			x.p.Open = append(x.p.Open, plan.Window{Weekdays: []int{weekday}, From: 0, To: 24 * 60})
		}
	})
}

// openLike returns the first weekday whose hours would hold the session; 0 if none.
func (b *blame) openLike() int {
	for weekday := 1; weekday <= 7; weekday++ {
		if inOne(b.c.hours(b.s.day, weekday), b.s.span) {
			return weekday
		}
	}
	return 0
}

// dark: lifted, the day is light round the clock.
func (b *blame) dark() {
	d := b.s.day
	b.add(daylight, ofLimits, "light "+d.String(), "the daylight stated for "+d.String()+" does not hold "+b.period(b.s.span)+" ("+b.c.stations[b.s.station].id+")", func(x *relaxed) {
		x.p.Daylight = append(slices.DeleteFunc(x.p.Daylight, func(l plan.Daylight) bool { return l.Day == d }), plan.Daylight{Day: d, From: 0, To: 24 * 60})
	})
}

// shut: lifted, the station has no such shut period.
func (b *blame) shut() {
	at := b.s.station
	for _, p := range b.c.stations[at].shut {
		if !p.Overlaps(b.s.hold) {
			continue
		}
		b.add(stationShut, ofMeans, "shut "+b.c.stations[at].id+b.period(p), b.c.stations[at].id+" is shut "+b.period(p), func(x *relaxed) {
			st := &x.p.Stations[at]
			st.Shut = slices.DeleteFunc(slices.Clone(st.Shut), func(o civil.Period) bool { return o == p })
		})
	}
}

// headcount: lifted, the rig bears any number.
func (b *blame) headcount(rig int) {
	id := b.p.Rigs[rig].ID
	b.add(rigHeadcount, ofLimits, "rig "+id, id+" bears "+number(b.c.rigs[rig])+" people, and with "+b.period(b.s.hold)+" it would be more", func(x *relaxed) { x.p.Rigs[rig].PeopleMax = 0 })
}

// groupSize: lifted, a group may have any size.
func (b *blame) groupSize() {
	e, at := b.s.exercise, b.s.station
	ex := &b.c.exercises[e]
	if n := len(b.s.trainees); n < ex.groupMin {
		b.add(groupSize, ofLimits, "least "+ex.id, "the smallest group of "+ex.id+" is "+number(ex.groupMin)+", and "+number(n)+" who may share a session wait for it", func(x *relaxed) { x.p.Exercises[e].GroupMin = 1 })
		return
	}
	b.add(groupSize, ofLimits, "most "+ex.id+" "+b.c.stations[at].id, "a session of "+ex.id+" on "+b.c.stations[at].id+" takes "+number(b.c.mostTrainees(e, at)), func(x *relaxed) {
		x.p.Exercises[e].GroupMax, x.p.Stations[at].Places = 0, beyond
	})
}

// kit: lifted, there is enough of it.
func (b *blame) kit(k int) {
	id := b.c.kits[k].id
	b.add(kitUse, ofMeans, "kit "+id, "of "+id+" there are not "+number(b.c.takes(b.s, k))+" more "+b.period(b.s.hold), func(x *relaxed) {
		x.p.Kits[k].Count, x.p.Kits[k].Shut = beyond, nil
	})
}

// holding: lifted, the trainee holds it that day.
func (b *blame) holding(trainee, name string) {
	d, t := b.s.day, b.c.traineeOf[trainee]
	b.add(entitled, ofSkill, "holds "+trainee+name+d.String(), trainee+" does not hold "+quoted(name)+" on "+d.String(), func(x *relaxed) {
		v := &x.p.Trainees[t]
		v.Holds = append(slices.Clone(v.Holds), plan.Hold{Name: name, Validity: plan.Validity{From: d, Until: d}})
	})
}

// absence: lifted, they are available all of that day.
func (b *blame) absence(id string) {
	c, d := b.c, b.s.day
	of := func(p *plan.Problem) *[]civil.Period {
		if t, ok := c.traineeOf[id]; ok {
			return &p.Trainees[t].Available
		}
		return &p.People[c.personOf[id]].Available
	}
	b.add(available, ofMeans, "available "+id+d.String(), id+" is not available "+b.period(b.s.hold), func(x *relaxed) {
		list := of(&x.p)
		whole := civil.Period{Start: min(c.midnight(d), b.s.hold.Start), End: max(c.midnight(d+1), b.s.hold.End)}
		*list = append(slices.Clone(*list), whole)
	})
}

// order: lifted, what must come before need not.
func (b *blame) order(f fault) {
	c, s := b.c, b.s
	e, before := c.exercises[s.exercise].id, f.with
	if f.session != s.id {
		s = b.b.byID[f.session]
		e = c.exercises[s.exercise].id
	}
	b.add(order, ofOrder, "order "+e+" "+before, f.who+": "+b.outOfOrder(s, c.traineeOf[f.who], f), func(x *relaxed) {
		v := &x.p.Exercises[s.exercise]
		v.After = slices.DeleteFunc(slices.Clone(v.After), func(a plan.After) bool { return a.Exercise == before })
	})
}

// outOfOrder words an order fault of a trainee about s, which starts too soon or too
// late after what must come before.
func (b *blame) outOfOrder(s *session, t int, f fault) string {
	c := b.c
	words := c.exercises[s.exercise].id + " at " + c.zone.Format(s.span.Start)
	if f.excess >= int64(neverBefore) {
		return words + " has no " + f.with + " before it"
	}
	ends := slices.Clone(c.trainees[t].done[c.exerciseOf[f.with]])
	for _, o := range append(slices.Clone(b.b.byTrainee[t]), b.s) {
		if c.exercises[o.exercise].id == f.with {
			ends = append(ends, o.span.End)
		}
	}
	for _, a := range c.exercises[s.exercise].after {
		for _, end := range ends {
			if c.exercises[a.exercise].id != f.with || int64(a.short(end, s.span.Start)) != f.excess {
				continue
			}
			by := " is " + civil.Minutes(f.excess).String()
			switch {
			case s.span.Start < end:
				by = " is before"
			case s.span.Start.Sub(end) < a.minGap:
				by += " too soon after"
			default:
				by += " too late after"
			}
			return words + by + " the end of " + f.with + ", " + c.zone.Format(end)
		}
	}
	return words + " is not in order after " + f.with
}

// course: lifted, it may last any number of days.
func (b *blame) course(k int) {
	id := b.p.Courses[k].ID
	b.add(courseSpan, ofLimits, "course "+id, "with "+b.s.day.String()+" course "+id+" would last more than "+number(b.c.courses[k].days)+" days", func(x *relaxed) { x.p.Courses[k].Days = beyond })
}

// deadline: lifted, the trainee has none.
func (b *blame) deadline(trainee string) {
	t := b.c.traineeOf[trainee]
	b.add(deadline, ofLimits, "deadline "+trainee, "the deadline of "+trainee+" is "+b.c.trainees[t].deadline.String(), func(x *relaxed) { x.p.Trainees[t].Deadline = 0 })
}
