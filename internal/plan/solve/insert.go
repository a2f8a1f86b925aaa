package solve

import (
	"cmp"
	"slices"

	"rungbook/internal/civil"
)

// dayInquiry is one day of an inquiry.
type dayInquiry struct {
	day         civil.Day
	preference  int
	always      rules // broken at any time and place of the day
	traineeDays int
	slots       []slot // by start
	mates       []mate // who could join the staff that day, cheapest first
	chosen      staffing
	price       price // of those who take part in any case
}

// slot is a start on a day. What it holds for people is worked out when first
// asked for, once for ground and once for height stations: times at height count
// apart, and nothing else about a station matters to a person.
type slot struct {
	start civil.Instant
	idle  civil.Minutes
	crews [2]*crew
}

// crew is what people make of a slot.
type crew struct {
	span, hold civil.Period
	broken     rules   // by trainees and by staff that take part in any case
	free       mateSet // of the day's mates
}

// mateSet is a set of a day's mates.
type mateSet [4]uint64

func (m *mateSet) set(i int)      { m[i>>6] |= 1 << (i & 63) }
func (m *mateSet) has(i int) bool { return m[i>>6]&(1<<(i&63)) != 0 }

// mostMates is how many people a mateSet holds. Of more, the cheapest are asked.
const mostMates = 256

// proposal is a session that could be held, with what it breaks.
type proposal struct {
	station int
	day     *dayInquiry
	slot    *slot
	hold    civil.Period
	broken  rules
	staff   *crewed
}

// lookAt looks for offers on a day.
func (q *inquiry) lookAt(d civil.Day, preference int) {
	day := &dayInquiry{day: d, preference: preference, always: q.always}
	starts := q.c.starts(d, q.ex.minutes)
	if len(starts) == 0 {
		starts = q.c.anyStarts(d, q.ex.minutes)
	}
	for _, t := range starts {
		if t >= q.ask.NotBefore {
			day.slots = append(day.slots, slot{start: t})
		}
	}
	if len(day.slots) == 0 {
		return
	}
	q.day = day
	q.countTrainees()
	q.countStaff()
	for _, s := range q.stations {
		q.tryStation(s)
	}
}

// countTrainees works out what a day means to the trainees.
func (q *inquiry) countTrainees() {
	c, day := q.c, q.day
	for _, t := range q.group {
		tr := &c.trainees[t]
		for _, name := range q.ex.requires {
			day.always |= entitled.when(!tr.has(name, day.day))
		}
		for _, k := range q.ex.courses {
			was := q.b.courseSpan(t, k)
			day.always |= courseSpan.when(was.with(day.day).days() > c.courses[k].days && !(was.here && was.with(day.day) == was))
		}
		var first, last civil.Instant
		var busy civil.Minutes
		for _, s := range q.b.byTrainee[t] {
			if s.day != day.day {
				continue
			}
			if busy == 0 {
				first, last = s.span.Start, s.span.End
			}
			first, last = min(first, s.span.Start), max(last, s.span.End)
			busy += s.span.Length()
		}
		if busy == 0 {
			day.traineeDays++
			continue
		}
		for i := range day.slots {
			start := day.slots[i].start
			whole := max(last, start.Add(q.ex.minutes)).Sub(min(first, start))
			day.slots[i].idle += max(0, whole-busy-q.ex.minutes)
		}
	}
}

// countStaff works out who could join the staff on a day, and at what price.
func (q *inquiry) countStaff() {
	c, day := q.c, q.day
	day.chosen = staffing{instructors: q.chosen.instructors, rescuers: q.chosen.rescuers, bodies: q.chosen.bodies}
	for _, p := range q.chosen.instructors {
		m := q.mate(p)
		day.always |= qualified.when(!m.teaches)
		day.chosen.counted += count(m.rescues)
		day.chosen.aiders += count(m.aids)
		day.price += m.price
	}
	for _, p := range q.chosen.rescuers {
		m := q.mate(p)
		day.always |= rescueCover.when(!m.rescues)
		day.chosen.aiders += count(m.aids)
		day.price += m.price
	}
	for p := range c.people {
		if m := q.mate(p); (m.teaches || m.rescues) && !slices.Contains(q.chosen.bodies, m.body) {
			day.mates = append(day.mates, m)
		}
	}
	slices.SortFunc(day.mates, func(a, b mate) int {
		return cmp.Or(cmp.Compare(a.price, b.price), cmp.Compare(c.people[a.person].id, c.people[b.person].id))
	})
	day.mates = day.mates[:min(len(day.mates), mostMates)]
}

// mate says what somebody can do on the day, and at what price.
func (q *inquiry) mate(p int) mate {
	pe, d := &q.c.people[p], q.day.day
	v := q.view(pe.body, d)
	m := mate{
		person: p, body: pe.body, shared: q.c.bodies[pe.body].staff > 1,
		teaches: validOn(pe.teaches[q.e], d), rescues: validOn(pe.rescuer, d), aids: validOn(pe.firstAid, d),
		price: price(v.week),
	}
	if v.load.day == 0 {
		m.price += comesIn
	}
	return m
}

// view returns the day of a body, worked out once for each day.
func (q *inquiry) view(body int, d civil.Day) *dayView {
	if q.views[body].day != d {
		q.views[body] = q.b.view(body, d)
	}
	return &q.views[body]
}

// crew works out what people make of a slot on ground or height stations.
func (q *inquiry) crew(s *slot, st int) *crew {
	kind := count(q.c.stations[st].height)
	if s.crews[kind] != nil {
		return s.crews[kind]
	}
	trial := q.trial[kind]
	trial.station = st
	q.c.setTime(trial, s.start, s.start.Add(q.ex.minutes))
	cr := &crew{span: trial.span, hold: trial.hold}
	s.crews[kind] = cr

	inside := q.c.timeOf(trial, asTrainee)
	for _, t := range q.group {
		tr := &q.c.trainees[t]
		cr.broken |= deadline.when(tr.deadline != 0 && trial.span.End > q.c.midnight(tr.deadline+1))
		for _, a := range q.ex.after {
			cr.broken |= order.when(q.b.outOfOrder(t, trial, a) > 0)
		}
		cr.broken |= q.bears(&tr.role, &inside)
	}
	for _, r := range q.others {
		cr.broken |= q.bears(r, &inside)
	}
	for _, d := range q.depends {
		short := d.without
		if d.after.exercise == q.e && slices.Contains(q.group, d.trainee) {
			short = min(short, d.after.short(trial.span.End, d.session.span.Start))
		}
		cr.broken |= order.when(short > d.short)
	}
	staffed := q.c.timeOf(trial, asInstructor)
	for _, list := range [2][]int{q.chosen.instructors, q.chosen.rescuers} {
		for _, p := range list {
			cr.broken |= q.bears(&q.c.people[p].role, &staffed)
		}
	}
	for i := range q.day.mates {
		if q.bears(&q.c.people[q.day.mates[i].person].role, &staffed) == 0 {
			cr.free.set(i)
		}
	}
	return cr
}

// bears returns the rules that a role would break with one more time.
func (q *inquiry) bears(r *role, t *timeSpan) rules {
	out := available.when(!r.freeFor(t.Period))
	v := q.view(r.body, t.day)
	before, moved := q.before[r.body]
	if moved && (len(before) > 0 || v.broken != 0) {
		return out | q.b.wouldBreak(r.body, *t, before)
	}
	broken := v.judge(t)
	if broken&v.broken != 0 {
		broken = q.b.wouldBreak(r.body, *t, q.b.faultsOf(r.body))
	}
	return out | broken
}
