package solve

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// Ask asks for times for an exercise and a group.
type Ask struct {
	Exercise string
	Trainees []string    // the whole group; all of them take part
	Days     []civil.Day // days to look at, in order of preference; empty = whole horizon
	Stations []string    // empty = the exercise's
	// Instructors and Rescuers are people already chosen: they take part in any
	// case, others join them where more are needed. Empty = free choice.
	Instructors, Rescuers []string
	NotBefore             civil.Instant // no session starts earlier (usually now)
	Remove                []string      // session ids to think away (a move)
	Most                  int           // most offers and most refusals to return; 0 = all
}

// Offer is a session that would break nothing, and what it costs.
type Offer struct {
	// Session carries the id of the session it moves, and takes those who watch
	// it along, if Remove names just one; otherwise its id is empty and the
	// caller's to give.
	Session      plan.Session
	TraineeDays  int           // days on which a trainee would come in only for it, over all trainees
	Idle         civil.Minutes // waiting between the sessions of its trainees on that day, over all trainees
	StaffMinutes civil.Minutes // hold minutes × staff
	StaffDays    int           // staff who would come in only for it
}

// Refusal is the least bad proposal on a station and a day without an offer.
type Refusal struct {
	Session plan.Session // with the best staff found, or as many as there are
	// Rules are those it would break, spec names in the order of the spec; also
	// those that a session it moves breaks to the same degree, if there are no others.
	Rules []string
}

// inquiry is an Ask in dense numbers, and what was found so far.
type inquiry struct {
	b     *Board
	c     *Compiled
	ask   *Ask
	e     int // the exercise
	ex    *exercise
	id    string
	group []int // trainees

	chosen   staffing // staff who take part in any case, and the bodies of all who do
	others   []*role  // who watch the session that is moved
	stations []int
	days     []civil.Day
	gone     []*session
	before   map[int][]fault // of bodies in gone: their faults with these standing
	depends  []dependent
	always   rules // broken whatever the time and place

	views   []dayView   // by body
	trial   [2]*session // the session being tried, on ground and on height stations
	day     *dayInquiry // being looked at
	offers  []proposal
	refused []proposal
}

// dependent is a trainee's session that comes after one of those thought away.
type dependent struct {
	trainee        int
	session        *session
	after          after
	short, without civil.Minutes // how far out of order it is with those and without
}

// Insertions finds times, stations and staff for a group. Offers break nothing on
// this board; they are ranked, best first, and diverse (see the package's
// comment). For each station and day that was looked at in vain there is one
// refusal. Ids that the problem lacks give no offers and no refusals.
func (b *Board) Insertions(a Ask) (offers []Offer, refused []Refusal) {
	q, ok := b.inquire(&a)
	if !ok {
		return nil, nil
	}
	b.swap(q.gone, nil)
	q.prepare()
	for preference, d := range q.days {
		q.lookAt(d, preference)
	}
	b.swap(nil, q.gone)
	return q.answer()
}

// inquire looks the ids up; ok is false if the problem lacks one.
func (b *Board) inquire(a *Ask) (q *inquiry, ok bool) {
	c := b.c
	q = &inquiry{b: b, c: c, ask: a, gone: b.standing(a.Remove), days: a.Days}
	if q.e, ok = c.exerciseOf[a.Exercise]; !ok {
		return nil, false
	}
	q.ex = &c.exercises[q.e]
	var all [4]bool
	q.group, all[0] = numbers(a.Trainees, c.traineeOf)
	q.chosen.instructors, all[1] = numbers(a.Instructors, c.personOf)
	q.chosen.rescuers, all[2] = numbers(a.Rescuers, c.personOf)
	q.stations, all[3] = numbers(a.Stations, c.stationOf)
	if all != [4]bool{true, true, true, true} {
		return nil, false
	}
	if len(a.Stations) == 0 {
		q.stations = q.ex.stations
	}
	q.stations, q.days = once(q.stations), once(q.days)
	if len(q.gone) == 1 {
		q.id, q.others = q.gone[0].id, q.gone[0].others
	}
	if len(a.Days) == 0 {
		for d := c.from; d < c.until; d++ {
			q.days = append(q.days, d)
		}
	}
	q.before = make(map[int][]fault)
	for _, s := range q.gone {
		c.roll(s, func(r *role, _ part) {
			// What hangs on the moved session itself is judged afresh.
			q.before[r.body] = slices.DeleteFunc(slices.Clone(b.faultsOf(r.body)), func(f fault) bool {
				return slices.ContainsFunc(q.gone, func(o *session) bool { return o.id == f.session })
			})
		})
		q.depends = append(q.depends, b.dependents(s)...)
	}
	return q, true
}

// once returns a list without repetitions, in its order.
func once[T comparable](list []T) []T {
	var out []T
	for _, v := range list {
		if !slices.Contains(out, v) {
			out = append(out, v)
		}
	}
	return out
}

// dependents lists the sessions that come after s.
func (b *Board) dependents(s *session) []dependent {
	var out []dependent
	for _, t := range s.trainees {
		for _, o := range b.byTrainee[t] {
			for _, a := range b.c.exercises[o.exercise].after {
				if a.exercise == s.exercise {
					out = append(out, dependent{trainee: t, session: o, after: a, short: b.outOfOrder(t, o, a)})
				}
			}
		}
	}
	return out
}

// prepare works out what does not hang on time and place. The sessions to think
// away are off the board.
func (q *inquiry) prepare() {
	c := q.c
	q.views = make([]dayView, len(c.bodies))
	for i := range q.trial {
		q.trial[i] = &session{id: q.id, exercise: q.e, trainees: q.group}
	}
	for _, s := range q.gone {
		q.always |= fixed.when(c.fixed[s.id] != nil)
	}
	q.depends = slices.DeleteFunc(q.depends, func(d dependent) bool { return slices.Contains(q.gone, d.session) })
	for i, d := range q.depends {
		q.depends[i].without = q.b.outOfOrder(d.trainee, d.session, d.after)
	}
	for _, t := range q.group {
		q.always |= alone.when(c.strangers(t, q.group) > 0) |
			neededOnce.when(!c.trainees[t].needs[q.e] || q.b.byTrainee[t].hasExercise(q.e))
		q.join(c.trainees[t].body)
	}
	for _, list := range [2][]int{q.chosen.instructors, q.chosen.rescuers} {
		for _, p := range list {
			q.join(c.people[p].body)
		}
	}
	for _, r := range q.others {
		q.join(r.body)
	}
	// Without the sessions thought away nobody's rest gets worse, but for bodies
	// whose runs or stretches are counted anew.
	for body, before := range q.before {
		if !slices.Contains(q.chosen.bodies, body) {
			q.always |= worse(before, q.b.faultsOf(body), nil)
		}
	}
}

// join notes that a body takes part in any case.
func (q *inquiry) join(body int) {
	q.always |= doubleBooked.when(slices.Contains(q.chosen.bodies, body))
	q.chosen.bodies = append(q.chosen.bodies, body)
}
