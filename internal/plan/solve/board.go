package solve

import (
	"cmp"
	"slices"
	"sort"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// Board holds standing sessions, sorted by what they take: station, zone,
// circuit, kit, rig and body. A Board belongs to one goroutine: even asking it
// (Fits, Insertions) puts sessions on it and takes them off again.
type Board struct {
	c         *Compiled
	byID      map[string]*session
	byStation []row
	byZone    []row
	byCircuit []row
	byKit     []row
	byRig     []row
	byTrainee []row // where a trainee takes part as trainee
	bodies    []bodyTimes
	longest   civil.Minutes // no hold on the board is longer
}

// row is a list of sessions in order of their holds' starts.
type row []*session

// session is a session in dense numbers.
type session struct {
	id                              string
	exercise, station               int
	span                            civil.Period // [start, end), empty when it ends no later than it starts
	hold                            civil.Period
	day                             civil.Day     // on which it starts
	minutes                         civil.Minutes // of the span less pauses
	trainees, instructors, rescuers []int
	others                          []*role
	told                            *plan.Session // as it came in, nil if a search made it

	// What only a search asks for (state.go).
	spot, slot int  // its place among the task's spots and the day's starts
	serial     int  // its place in the state's list
	old        int  // 1 + its place in the plan that is repaired, 0 = none
	same       bool // it stands as it did in that plan
	bound      bool // it is fixed and may not be touched
}

// Board lays standing sessions out. Precondition: no two have the same id, and
// the problem knows every id they name (plan.Problem.Knows); one that names
// something unknown can't be laid out and is left off.
func (c *Compiled) Board(sessions []plan.Session) *Board {
	b := &Board{
		c: c, byID: make(map[string]*session, len(sessions)),
		byStation: make([]row, len(c.stations)), byZone: make([]row, c.zones), byCircuit: make([]row, len(c.circuits)),
		byKit: make([]row, len(c.kits)), byRig: make([]row, len(c.rigs)),
		byTrainee: make([]row, len(c.trainees)), bodies: make([]bodyTimes, len(c.bodies)),
	}
	for i := range c.bodies {
		b.bodies[i] = newBodyTimes(c, &c.bodies[i])
	}
	order := make([]*session, 0, len(sessions))
	for i := range sessions {
		if s, ok := c.session(&sessions[i]); ok {
			order = append(order, s)
		}
	}
	// In order of time each one goes to the end of its rows.
	slices.SortFunc(order, bySpan)
	for _, s := range order {
		b.put(s)
	}
	return b
}

func bySpan(s, t *session) int {
	return cmp.Or(cmp.Compare(s.hold.Start, t.hold.Start), cmp.Compare(s.id, t.id))
}

// session turns a session into dense numbers; ok is false if it names what the
// problem lacks.
func (c *Compiled) session(s *plan.Session) (d *session, ok bool) {
	e, known := c.exerciseOf[s.Exercise]
	st, knownToo := c.stationOf[s.Station]
	if !known || !knownToo {
		return nil, false
	}
	d = &session{id: s.ID, exercise: e, station: st, told: s}
	c.setTime(d, s.Start, max(s.Start, s.End))
	var all [3]bool
	d.trainees, all[0] = numbers(s.Trainees, c.traineeOf)
	d.instructors, all[1] = numbers(s.Instructors, c.personOf)
	d.rescuers, all[2] = numbers(s.Rescuers, c.personOf)
	for _, id := range s.Others {
		if p, ok := c.personOf[id]; ok {
			d.others = append(d.others, &c.people[p].role)
		} else if t, ok := c.traineeOf[id]; ok {
			d.others = append(d.others, &c.trainees[t].role)
		} else {
			return nil, false
		}
	}
	return d, all == [3]bool{true, true, true}
}

func numbers(ids []string, of map[string]int) ([]int, bool) {
	out := make([]int, 0, len(ids))
	for _, id := range ids {
		n, ok := of[id]
		if !ok {
			return nil, false
		}
		out = append(out, n)
	}
	return out, true
}

// setTime gives a session its time and all that follows from it.
func (c *Compiled) setTime(s *session, start, end civil.Instant) {
	e := &c.exercises[s.exercise]
	s.span = civil.Period{Start: start, End: end}
	s.hold, s.day = e.hold(s.span), c.zone.DayOf(start)
	s.minutes = s.span.Length()
	for _, p := range e.pauses {
		s.minutes -= max(0, min(p.to, s.span.Length())-p.from)
	}
}

// rows calls f with every row a session stands in.
func (b *Board) rows(s *session, f func(*row)) {
	st, e := &b.c.stations[s.station], &b.c.exercises[s.exercise]
	f(&b.byStation[s.station])
	for _, z := range st.zones {
		f(&b.byZone[z])
	}
	for _, n := range e.energy {
		f(&b.byCircuit[n.circuit])
	}
	for k := range b.c.kits {
		if b.c.takes(s, k) > 0 {
			f(&b.byKit[k])
		}
	}
	f(&b.byRig[st.rig])
}

// takes returns how many pieces of a kit a session's hold takes.
func (c *Compiled) takes(s *session, kit int) int {
	n := 0
	if c.stations[s.station].rescueKit == kit {
		n = 1
	}
	for _, u := range c.exercises[s.exercise].uses {
		if u.kit == kit {
			n += u.count
		}
	}
	return n
}

// part is what somebody does in a session.
type part uint8

const (
	duty part = iota // no session at all
	asTrainee
	asInstructor
	asRescuer
	asOther
)

// roll calls f with every role that takes part in the session, one by one.
func (c *Compiled) roll(s *session, f func(r *role, as part)) {
	for _, t := range s.trainees {
		f(&c.trainees[t].role, asTrainee)
	}
	for _, p := range s.instructors {
		f(&c.people[p].role, asInstructor)
	}
	for _, p := range s.rescuers {
		f(&c.people[p].role, asRescuer)
	}
	for _, r := range s.others {
		f(r, asOther)
	}
}

// put adds a session to the board. Precondition: its id is not on it.
func (b *Board) put(s *session) {
	b.byID[s.id] = s
	b.longest = max(b.longest, s.hold.Length())
	b.rows(s, func(r *row) { r.put(s) })
	for i, t := range s.trainees {
		if !slices.Contains(s.trainees[:i], t) {
			b.byTrainee[t].put(s)
		}
	}
	b.c.roll(s, func(r *role, as part) { b.bodies[r.body].put(b.c.timeOf(s, as)) })
}

// take removes a session from the board. Precondition: it is on it.
func (b *Board) take(s *session) {
	delete(b.byID, s.id)
	b.rows(s, func(r *row) { r.take(s) })
	for i, t := range s.trainees {
		if !slices.Contains(s.trainees[:i], t) {
			b.byTrainee[t].take(s)
		}
	}
	b.c.roll(s, func(r *role, as part) { b.bodies[r.body].take(b.c.timeOf(s, as)) })
}

// from returns the index of the first session whose hold starts at t or later.
func (r row) from(t civil.Instant) int {
	return sort.Search(len(r), func(i int) bool { return r[i].hold.Start >= t })
}

func (r *row) put(s *session) {
	i := r.from(s.hold.Start)
	for i < len(*r) && bySpan((*r)[i], s) < 0 {
		i++
	}
	*r = slices.Insert(*r, i, s)
}

func (r *row) take(s *session) {
	i := r.from(s.hold.Start)
	for (*r)[i] != s {
		i++
	}
	*r = slices.Delete(*r, i, i+1)
}

// near returns the part of a row whose holds may overlap [p.Start − slack,
// p.End + slack). No hold is longer than longest.
func (r row) near(p civil.Period, slack, longest civil.Minutes) row {
	return r[r.from(p.Start.Add(-slack-longest)):r.from(p.End.Add(slack))]
}
