package solve

import (
	"slices"

	"rungbook/internal/civil"
)

// state is a plan in the making: sessions on a board that break nothing, what
// they cost, and a log by which the last changes can be taken back. Every change
// costs what it touches. The lists of a session are never changed in place, so a
// copy of the session keeps them.
type state struct {
	*Board
	t          *task
	sessions   []*session // in no particular order
	byExercise []row
	where      []*session // by need: the session that fills it, nil = unplaced
	open       []int      // the needs unplaced
	openAt     []int      // by need: its place in open, −1 = placed
	lastDay    []int      // by intake: day of its last session, 0 where it has none
	sums       sums
	owed       int              // open needs that a fixed session waits for: no plan without them is valid
	oldAt      map[oldKey][]int // sessions of the plan that is repaired
	old        []*session
	standing   []bool // by old session: it stands, changed or not

	log      []change
	bodyMark []marks // by body
	nearMark []marks // by body: of what lies near
	berths   []marks // by station
	free     freeCache
	placed   []placeCache // by spot
	made     int
}

// sums are the terms of the cost.
type sums struct {
	staffMinutes, traineeDays, intakeDays, moved int64
}

// change is one entry of the log.
type change struct {
	kind                  changeKind
	s                     *session
	trainee               int
	trainees              []int
	instructors, rescuers []int
}

type changeKind uint8

const (
	putSession changeKind = iota
	tookSession
	joined
	left
	staffed
)

// oldKey is how a session of an older plan is known again.
type oldKey struct {
	exercise, station int
	start             civil.Instant
}

func newState(t *task) *state {
	c := t.c
	s := &state{
		Board: c.Board(nil), t: t, byExercise: make([]row, len(c.exercises)),
		where: make([]*session, len(t.needs)), openAt: make([]int, len(t.needs)), lastDay: make([]int, len(t.intakes)),
		bodyMark: make([]marks, len(c.bodies)), nearMark: make([]marks, len(c.bodies)), berths: make([]marks, len(c.stations)),
		placed: make([]placeCache, len(t.spots)),
	}
	s.free.init(t)
	for n := range t.needs {
		s.openAt[n] = n
		s.open = append(s.open, n)
		s.owed += count(t.owed[n])
	}
	return s
}

// cost is the cost of the sessions by the problem's definition.
func (s *state) cost() int64 {
	return s.t.weights.Unplaced*int64(len(s.open)) + s.rest()
}

// rest is the cost without that of unplaced needs.
func (s *state) rest() int64 {
	w := &s.t.weights
	return w.StaffMinute*s.sums.staffMinutes + w.TraineeDay*s.sums.traineeDays +
		w.IntakeDay*s.sums.intakeDays + w.Moved*s.sums.moved
}

// guide is the cost that the search goes by: an unplaced need counts what placing
// it is worth at most, so that it does not drown the other terms.
func (s *state) guide() int64 {
	return s.t.worth*int64(len(s.open)) + s.t.debt*int64(s.owed) + s.rest()
}

// mark notes a time of a session in the fingerprints of the days it matters to.
func (s *state) mark(x *session, body int, as part) {
	tm := s.c.timeOf(x, as)
	d, f := s.t.day(tm.day), s.fingerprint(tm.Period, x)
	s.bodyMark[body].flip(s.t, d, s.t.bodyReach[body], f)
	s.nearMark[body].flip(s.t, d, s.t.nearReach[body], f)
}

func (s *state) fingerprint(p civil.Period, x *session) uint64 {
	return scramble(uint64(p.Start) ^ scramble(uint64(p.Length())^scramble(uint64(x.exercise)<<32|uint64(x.station))))
}

func (s *state) markPlace(x *session) {
	f := s.fingerprint(x.hold, x)
	for _, at := range s.t.near[x.station] {
		s.berths[at].flip(s.t, s.t.day(x.day), s.t.placeReach, f)
	}
}

// addTrainee and dropTrainee bring the books up to date for one trainee of x.
func (s *state) addTrainee(x *session, t int) {
	alone := s.onlyOn(t, x)
	s.byTrainee[t].put(x)
	r := &s.c.trainees[t].role
	s.bodies[r.body].put(s.c.timeOf(x, asTrainee))
	s.mark(x, r.body, asTrainee)
	if alone {
		s.sums.traineeDays++
	}
	n := s.t.needOf(t, x.exercise)
	s.where[n] = x
	s.close(n)
	s.owed -= count(s.t.owed[n])
	in := s.t.intakeOf[t]
	if d := s.t.day(x.day); d > s.lastDay[in] {
		s.sums.intakeDays += int64(d - s.lastDay[in])
		s.lastDay[in] = d
	}
}

func (s *state) dropTrainee(x *session, t int) {
	s.byTrainee[t].take(x)
	r := &s.c.trainees[t].role
	s.bodies[r.body].take(s.c.timeOf(x, asTrainee))
	s.mark(x, r.body, asTrainee)
	if s.onlyOn(t, x) {
		s.sums.traineeDays--
	}
	n := s.t.needOf(t, x.exercise)
	s.where[n] = nil
	s.owed += count(s.t.owed[n])
	s.openAt[n] = len(s.open)
	s.open = append(s.open, n)
	in := s.t.intakeOf[t]
	if d := s.t.day(x.day); d == s.lastDay[in] {
		last := s.lastOf(in)
		s.sums.intakeDays -= int64(d - last)
		s.lastDay[in] = last
	}
}

// close takes a need off the open ones.
func (s *state) close(n int) {
	at, last := s.openAt[n], s.open[len(s.open)-1]
	s.open[at], s.openAt[last] = last, at
	s.open, s.openAt[n] = s.open[:len(s.open)-1], -1
}

// onlyOn reports whether x is the only session of a trainee on its day.
func (s *state) onlyOn(t int, x *session) bool {
	for _, o := range s.byTrainee[t] {
		if o != x && o.day == x.day {
			return false
		}
	}
	return true
}

// lastOf returns the day of an intake's last session.
func (s *state) lastOf(in int) int {
	last := 0
	for _, t := range s.t.intakes[in].trainees {
		for _, o := range s.byTrainee[t] {
			last = max(last, s.t.day(o.day))
		}
	}
	return last
}

func (s *state) addStaff(x *session) {
	for i, list := range [2][]int{x.instructors, x.rescuers} {
		for _, p := range list {
			body, as := s.c.people[p].body, asInstructor+part(i)
			s.bodies[body].put(s.c.timeOf(x, as))
			s.mark(x, body, as)
		}
	}
	s.sums.staffMinutes += int64(x.hold.Length()) * int64(len(x.instructors)+len(x.rescuers))
}

func (s *state) dropStaff(x *session) {
	for i, list := range [2][]int{x.instructors, x.rescuers} {
		for _, p := range list {
			body, as := s.c.people[p].body, asInstructor+part(i)
			s.bodies[body].take(s.c.timeOf(x, as))
			s.mark(x, body, as)
		}
	}
	s.sums.staffMinutes -= int64(x.hold.Length()) * int64(len(x.instructors)+len(x.rescuers))
}

// onBoard puts a session with all its people on the board.
func (s *state) onBoard(x *session) {
	s.longest = max(s.longest, x.hold.Length())
	s.rows(x, func(r *row) { r.put(x) })
	s.byExercise[x.exercise].put(x)
	s.markPlace(x)
	x.serial = len(s.sessions)
	s.sessions = append(s.sessions, x)
	for _, t := range x.trainees {
		s.addTrainee(x, t)
	}
	s.addStaff(x)
	for _, r := range x.others {
		s.bodies[r.body].put(s.c.timeOf(x, asOther))
		s.mark(x, r.body, asOther)
	}
	if x.old > 0 {
		s.standing[x.old-1] = true
		s.judgeSame(x)
	}
}

func (s *state) offBoard(x *session) {
	s.rows(x, func(r *row) { r.take(x) })
	s.byExercise[x.exercise].take(x)
	s.markPlace(x)
	last := s.sessions[len(s.sessions)-1]
	s.sessions[x.serial], last.serial = last, x.serial
	s.sessions = s.sessions[:len(s.sessions)-1]
	for _, t := range x.trainees {
		s.dropTrainee(x, t)
	}
	s.dropStaff(x)
	if x.old > 0 {
		s.standing[x.old-1] = false
		if x.same {
			x.same = false
			s.sums.moved++
		}
	}
}

// judgeSame brings the number of moved sessions up to date after a change of x.
func (s *state) judgeSame(x *session) {
	if x.old == 0 {
		return
	}
	o := s.old[x.old-1]
	same := x.exercise == o.exercise && x.station == o.station && x.span.Start == o.span.Start &&
		slices.Equal(x.trainees, o.trainees) && slices.Equal(x.instructors, o.instructors) && slices.Equal(x.rescuers, o.rescuers)
	if same != x.same {
		x.same = same
		if same {
			s.sums.moved--
		} else {
			s.sums.moved++
		}
	}
}

// add puts a new session on the board; drop takes one off.
func (s *state) add(x *session) {
	s.recognise(x)
	s.onBoard(x)
	s.log = append(s.log, change{kind: putSession, s: x})
}

func (s *state) drop(x *session) {
	s.offBoard(x)
	s.log = append(s.log, change{kind: tookSession, s: x})
}

// enter adds a trainee to a session, leave takes one out.
func (s *state) enter(x *session, t int) {
	s.log = append(s.log, change{kind: joined, s: x, trainee: t, trainees: x.trainees})
	s.setTrainees(x, with(x.trainees, t))
	s.addTrainee(x, t)
	s.judgeSame(x)
}

func (s *state) leave(x *session, t int) {
	s.log = append(s.log, change{kind: left, s: x, trainee: t, trainees: x.trainees})
	s.setTrainees(x, without(x.trainees, t))
	s.dropTrainee(x, t)
	s.judgeSame(x)
}

func (s *state) setTrainees(x *session, list []int) { x.trainees = list }

// restaff gives a session other staff.
func (s *state) restaff(x *session, instructors, rescuers []int) {
	s.log = append(s.log, change{kind: staffed, s: x, instructors: x.instructors, rescuers: x.rescuers})
	s.setStaff(x, instructors, rescuers)
}

func (s *state) setStaff(x *session, instructors, rescuers []int) {
	s.dropStaff(x)
	x.instructors, x.rescuers = instructors, rescuers
	s.addStaff(x)
	s.judgeSame(x)
}

// undo takes back the changes since the log had n entries.
func (s *state) undo(n int) {
	for len(s.log) > n {
		ch := s.log[len(s.log)-1]
		s.log = s.log[:len(s.log)-1]
		x := ch.s
		switch ch.kind {
		case putSession:
			s.offBoard(x)
		case tookSession:
			s.onBoard(x)
		case joined:
			s.setTrainees(x, ch.trainees)
			s.dropTrainee(x, ch.trainee)
			s.judgeSame(x)
		case left:
			s.setTrainees(x, ch.trainees)
			s.addTrainee(x, ch.trainee)
			s.judgeSame(x)
		case staffed:
			s.setStaff(x, ch.instructors, ch.rescuers)
		}
	}
}

// with and without return a copy of a sorted list with or without one number.
func with(list []int, n int) []int {
	i, _ := slices.BinarySearch(list, n)
	out := make([]int, 0, len(list)+1)
	return append(append(append(out, list[:i]...), n), list[i:]...)
}

func without(list []int, n int) []int {
	i, _ := slices.BinarySearch(list, n)
	out := make([]int, 0, len(list)-1)
	return append(append(out, list[:i]...), list[i+1:]...)
}
