package demo

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/session"
)

// starts are the times at which sessions begin, earliest first.
var starts = func() (out []civil.Minutes) {
	for c := 8 * clock; c <= 11*clock; c += grid {
		out = append(out, c)
	}
	for c := 12*clock + 45; c <= 16*clock; c += grid {
		out = append(out, c)
	}
	return out
}()

// The morning ends by half past twelve and the day by a quarter past five.
const (
	noon     = 12*clock + 30
	lastEnd  = 17*clock + 15
	longStop = 30 // a pause that makes a lunch
)

// wish is a session that wants a place in the diary.
type wish struct {
	exercise    *exercise
	group       []*enrolment
	from, until civil.Day
	after       civil.Instant
	turn        int // which of the exercise's stations is tried first
}

// slot is one time at which a wish might come true.
type slot struct {
	day          civil.Day
	session      civil.Period
	hold         civil.Period
	pauses       []civil.Period
	station      rig.Station
	instructors  []id.Person
	rescuers     []id.Person
	others       []id.Person
	usefulLength civil.Minutes
}

// place finds the earliest time, station and staff for a wish and takes them.
func (b *builder) place(w wish) (slot, bool) {
	for day := w.from; day <= w.until; day++ {
		if !b.open(day) {
			continue
		}
		light, lit := b.light(day)
		for _, c := range starts {
			s := b.slotAt(w.exercise, day, c)
			if s.session.Start < w.after || !tidy(w.exercise, c) || !b.groupReady(w, s) {
				continue
			}
			for i := range w.exercise.stations {
				s.station = b.stationOf(w.exercise.stations[(i+w.turn)%len(w.exercise.stations)])
				if len(w.group) > s.station.Places || s.station.NeedsDaylight && !(lit && light.Covers(s.session)) {
					continue
				}
				if b.staffed(w, &s) {
					b.watched(w, &s)
					b.take(w, s)
					return s, true
				}
			}
		}
	}
	return slot{}, false
}

// tidy reports whether a start leaves people their lunch and their evening.
func tidy(e *exercise, c civil.Minutes) bool {
	end := c + e.minutes
	if end > lastEnd {
		return false
	}
	lunch := slices.ContainsFunc(e.record.Pauses, func(p curriculum.Pause) bool { return p.Minutes >= longStop })
	return c > noon || end <= noon || lunch
}

func (b *builder) slotAt(e *exercise, day civil.Day, c civil.Minutes) slot {
	at := b.at(day, c)
	s := slot{
		day:     day,
		session: civil.Period{Start: at, End: at.Add(e.minutes)},
		hold:    civil.Period{Start: at.Add(-e.setup), End: at.Add(e.minutes + e.strike)},
	}
	s.usefulLength = e.minutes
	for _, p := range e.record.Pauses {
		from := at.Add(p.After)
		s.pauses = append(s.pauses, civil.Period{Start: from, End: from.Add(p.Minutes)})
		s.usefulLength -= p.Minutes
	}
	return s
}

// stationOf returns the record of the station that the tables call key.
func (b *builder) stationOf(key string) rig.Station {
	sid := idOf[id.Station](b, "station", key)
	i := slices.IndexFunc(b.records.Stations, func(s rig.Standing[rig.Station]) bool { return s.Value.ID == sid })
	return b.records.Stations[i].Value
}

// groupReady reports whether each of the group may do the exercise then: order,
// what they must hold, and their time.
func (b *builder) groupReady(w wish, s slot) bool {
	for _, t := range w.group {
		if !t.inOrder(w.exercise, s.session.Start) || !t.entitled(w.exercise, s.day) ||
			!b.diary.free(t.person.id, s.day, s.asTrainee(w.exercise)) {
			return false
		}
	}
	return true
}

// atHeight is the minutes at height that the slot asks of everybody in it.
func (s slot) atHeight() civil.Minutes {
	if s.station.Height {
		return s.usefulLength
	}
	return 0
}

// asTrainee is the slot as a trainee's time. Before a station is chosen, an
// exercise that asks for fitness for height counts as height.
func (s slot) asTrainee(e *exercise) spell {
	t := spell{Period: s.session, pauses: s.pauses, height: s.atHeight()}
	if s.station.ID == "" && slices.Contains(e.requires, fitForHeight) {
		t.height = s.usefulLength
	}
	return t
}

func (s slot) asStaff() spell { return spell{Period: s.hold, pauses: s.pauses, height: s.atHeight()} }

// staffed fills in instructors and standby rescuers and reports whether they and
// the ground are free.
func (b *builder) staffed(w wish, s *slot) bool {
	ratio := w.exercise.ratio
	if at, ok := w.exercise.ratioAt[b.keyOf(s.station.ID)]; ok {
		ratio = min(ratio, at)
	}
	instructors, rescuers := (len(w.group)+ratio-1)/ratio, 0
	if s.station.Rescue != nil {
		rescuers = s.station.Rescue.Rescuers
	}
	grip := held{exercise: w.exercise, station: s.station, hold: s.hold, people: len(w.group) + instructors + rescuers}
	if !b.diary.ground(s.day, grip) {
		return false
	}
	s.instructors = b.choose(*s, instructors, nil, credential.ToTeach, w.exercise.record.ID)
	s.rescuers = b.choose(*s, rescuers, s.instructors, credential.ToRescue, "")
	return len(s.instructors) == instructors && len(s.rescuers) == rescuers
}

// watched lets the candidate watch a session on the tower now and then, if there
// is room and she is free.
func (b *builder) watched(w wish, s *slot) {
	who := b.person(candidate)
	m := b.staff[slices.IndexFunc(b.staff, func(m *member) bool { return m.person == who })]
	grip := held{w.exercise, s.station, s.hold, len(w.group) + len(s.instructors) + len(s.rescuers) + 1}
	if w.exercise.family == "tower" && b.chance(watchChance) && !slices.Contains(s.rescuers, who) &&
		slices.Contains(m.weekdays, s.day.Weekday()) && b.diary.free(who, s.day, s.asTrainee(w.exercise)) && b.diary.ground(s.day, grip) {
		s.others = []id.Person{who}
	}
}

// keyOf returns the tables' key of a station.
func (b *builder) keyOf(s id.Station) string {
	for _, row := range stations {
		if idOf[id.Station](b, "station", row.key) == s {
			return row.key
		}
	}
	panic("demo: a station that no table names")
}

// choose picks n members of staff who hold the certificate and are free, those
// first who can do little else, then those with the lightest week.
func (b *builder) choose(s slot, n int, taken []id.Person, k credential.Kind, e id.Exercise) []id.Person {
	type candidate struct {
		person id.Person
		load   civil.Minutes
	}
	var can []candidate
	for _, m := range b.staff {
		if n == 0 || slices.Contains(taken, m.person) || !slices.Contains(m.weekdays, s.day.Weekday()) ||
			!m.may(k, e, s.day) || !b.diary.free(m.person, s.day, s.asStaff()) {
			continue
		}
		load := b.diary.weeks[personWeek{m.person, s.day.Monday()}]
		if spare := m.rescuer && !s.station.Height || k == credential.ToRescue && len(m.teaches) > 0; spare {
			load += 10 * clock
		}
		can = append(can, candidate{m.person, load})
	}
	slices.SortStableFunc(can, func(x, y candidate) int { return int(x.load - y.load) })
	out := []id.Person{}
	for _, c := range can[:min(n, len(can))] {
		out = append(out, c.person)
	}
	slices.Sort(out)
	return out
}

// take writes the slot into the diary.
func (b *builder) take(w wish, s slot) {
	b.diary.page(s.day).held = append(b.diary.page(s.day).held,
		held{w.exercise, s.station, s.hold, len(w.group) + len(s.instructors) + len(s.rescuers) + len(s.others)})
	for _, t := range w.group {
		b.diary.note(t.person.id, s.asTrainee(w.exercise))
	}
	for _, p := range slices.Concat(s.instructors, s.rescuers) {
		b.diary.note(p, s.asStaff())
	}
	for _, p := range s.others {
		b.diary.note(p, s.asTrainee(w.exercise))
	}
}

// booked turns a slot into a session.
func (b *builder) booked(w wish, s slot) session.Session {
	out := session.Session{
		ID: fresh[id.Session](b), State: session.Booked, Exercise: w.exercise.record.ID, Station: s.station.ID,
		Start: s.session.Start, End: s.session.End, Instructors: s.instructors, Rescuers: s.rescuers, Others: s.others,
	}
	for _, t := range w.group {
		out.Trainees = append(out.Trainees, t.trainee.ID)
	}
	slices.Sort(out.Trainees)
	return out
}
