package solve

import (
	"slices"
	"sort"
	"strings"

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
	byTrainee [][]*session // where a trainee takes part as trainee, by start
	bodies    []bodyTimes
	longest   civil.Minutes // no hold on the board is longer
}

// row is a list of sessions in order of their holds' starts.
type row []*session

// session is a session in dense numbers.
type session struct {
	id                               string
	exercise, station                int
	span, hold                       civil.Period
	day                              civil.Day // on which it starts
	trainees, instructors, rescuers  []int
	others                           []int // bodies
	watching                         []string
}

// Board lays standing sessions out. Precondition: no two have the same id, and
// the problem knows every id they name; a session that names something unknown
// stops whatever it touches.
func (c *Compiled) Board(sessions []plan.Session) *Board {
	b := &Board{
		c: c, byID: make(map[string]*session, len(sessions)),
		byStation: make([]row, len(c.stations)), byZone: make([]row, c.zones), byCircuit: make([]row, len(c.circuits)),
		byKit: make([]row, len(c.kits)), byRig: make([]row, len(c.rigs)),
		byTrainee: make([][]*session, len(c.trainees)), bodies: make([]bodyTimes, len(c.bodies)),
	}
	for i := range c.bodies {
		b.bodies[i] = newBodyTimes(c, &c.bodies[i])
	}
	order := make([]*session, len(sessions))
	for i := range sessions {
		order[i] = c.session(&sessions[i])
	}
	// In order of time each one goes to the end of its rows.
	slices.SortFunc(order, bySpan)
	for _, s := range order {
		b.put(s)
	}
	return b
}

func bySpan(s, t *session) int {
	if s.hold.Start != t.hold.Start {
		return int(s.hold.Start - t.hold.Start)
	}
	return strings.Compare(s.id, t.id)
}

// session turns a session into dense numbers.
func (c *Compiled) session(s *plan.Session) *session {
	e := c.exerciseAt(s.Exercise)
	d := &session{
		id: s.ID, exercise: e, station: c.stationAt(s.Station), span: s.Period(),
		hold: c.exercises[e].hold(s.Period()), day: c.zone.DayOf(s.Start), watching: s.Others,
	}
	d.trainees = numbers(s.Trainees, c.traineeAt)
	d.instructors = numbers(s.Instructors, c.personAt)
	d.rescuers = numbers(s.Rescuers, c.personAt)
	d.others = numbers(s.Others, c.bodyOf)
	return d
}

func numbers(ids []string, number func(string) int) []int {
	out := make([]int, len(ids))
	for i, id := range ids {
		out[i] = number(id)
	}
	return out
}

// bodyOf returns the body behind the id of a person or trainee.
func (c *Compiled) bodyOf(id string) int {
	if t, ok := c.traineeOf[id]; ok {
		return c.trainees[t].body
	}
	return c.people[c.personAt(id)].body
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
	if st.rig >= 0 {
		f(&b.byRig[st.rig])
	}
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

// roll calls f with every body of the session and its part, one by one.
func (c *Compiled) roll(s *session, f func(body int, as part)) {
	for _, t := range s.trainees {
		f(c.trainees[t].body, asTrainee)
	}
	for _, p := range s.instructors {
		f(c.people[p].body, asInstructor)
	}
	for _, p := range s.rescuers {
		f(c.people[p].body, asRescuer)
	}
	for _, o := range s.others {
		f(o, asOther)
	}
}

// put adds a session to the board. Precondition: its id is not on it.
func (b *Board) put(s *session) {
	b.byID[s.id] = s
	b.longest = max(b.longest, s.hold.Length())
	b.rows(s, func(r *row) { r.put(s) })
	for _, t := range s.trainees {
		b.byTrainee[t] = append(b.byTrainee[t], s)
	}
	b.c.roll(s, func(body int, as part) { b.bodies[body].put(b.c.timeOf(s, as)) })
}

// take removes a session from the board. Precondition: it is on it.
func (b *Board) take(s *session) {
	delete(b.byID, s.id)
	b.rows(s, func(r *row) { r.take(s) })
	for _, t := range s.trainees {
		list := b.byTrainee[t]
		i := slices.Index(list, s)
		b.byTrainee[t] = slices.Delete(list, i, i+1)
	}
	b.c.roll(s, func(body int, as part) { b.bodies[body].take(b.c.timeOf(s, as)) })
}

// from returns the index of the first session whose hold starts at t or later.
func (r row) from(t civil.Instant) int {
	return sort.Search(len(r), func(i int) bool { return r[i].hold.Start >= t })
}

func (r *row) put(s *session) {
	i := r.from(s.hold.Start + 1)
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
