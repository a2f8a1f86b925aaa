package check

import (
	"cmp"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// sess is a session with its references resolved.
type sess struct {
	*plan.Session
	exercise *exercise
	station  *station
	period   civil.Period // [start, end), empty when it ends no later than it starts
	hold     civil.Period
	day      civil.Day     // on which it starts
	minutes  civil.Minutes // of the period less pauses

	trainees, instructors, rescuers []int // indexes into the problem
	others                          []*role
}

// resolve looks up what a session names. It returns what the problem lacks, ""
// if nothing.
func (j *Judge) resolve(session *plan.Session) (s *sess, lacks, name string) {
	e, ok := j.exerciseOf[session.Exercise]
	if !ok {
		return nil, "exercise", session.Exercise
	}
	st, ok := j.stationOf[session.Station]
	if !ok {
		return nil, "station", session.Station
	}
	s = &sess{Session: session, exercise: &j.exercises[e], station: &j.stations[st],
		period: civil.Period{Start: session.Start, End: max(session.Start, session.End)},
		day:    j.p.Zone.DayOf(session.Start)}
	s.hold = s.exercise.Hold(s.period)
	s.minutes = s.period.Length()
	for _, p := range s.exercise.pauses {
		s.minutes -= max(0, min(p.to, s.period.Length())-p.from)
	}
	all := make([]int, 0, len(session.Trainees)+len(session.Instructors)+len(session.Rescuers))
	for _, part := range []struct {
		ids   []string
		known map[string]int
		what  string
		to    *[]int
	}{
		{session.Trainees, j.traineeOf, "trainee", &s.trainees},
		{session.Instructors, j.personOf, "person", &s.instructors},
		{session.Rescuers, j.personOf, "person", &s.rescuers},
	} {
		from := len(all)
		for _, id := range part.ids {
			n, ok := part.known[id]
			if !ok {
				return nil, part.what, id
			}
			all = append(all, n)
		}
		*part.to = all[from:len(all):len(all)]
	}
	for _, id := range session.Others {
		if n, ok := j.personOf[id]; ok {
			s.others = append(s.others, &j.people[n])
		} else if n, ok := j.traineeOf[id]; ok {
			s.others = append(s.others, &j.trainees[n])
		} else {
			return nil, "person", id
		}
	}
	return s, "", ""
}

// heads returns how many people a session brings for its period and how many
// staff for its hold.
func (s *sess) heads() (guests, staff int) {
	return len(s.trainees) + len(s.others), len(s.instructors) + len(s.rescuers)
}

// timed is one of a body's times: in a session, or a duty.
type timed struct {
	civil.Period
	day     civil.Day     // on which it starts
	minutes civil.Minutes // less pauses
	height  civil.Minutes // of them on a height station
	session *sess         // nil = a duty
	duty    []any         // JSON pointer of the duty
}

func sortTimes(list []timed) {
	slices.SortFunc(list, func(a, b timed) int {
		return cmp.Or(cmp.Compare(a.Start, b.Start), cmp.Compare(a.End, b.End), cmp.Compare(idOf(a.session), idOf(b.session)))
	})
}

func idOf(s *sess) string {
	if s == nil {
		return ""
	}
	return s.ID
}

// eachTime hands out the times that a session gives to bodies: trainees and
// others are there for the period, staff for the hold.
func (j *Judge) eachTime(s *sess, give func(r *role, t timed)) {
	inside := timed{Period: s.period, day: s.day, minutes: s.minutes, session: s}
	if s.station.Height {
		inside.height = s.minutes
	}
	staffed := inside
	staffed.Period, staffed.day = s.hold, j.p.Zone.DayOf(s.hold.Start)
	staffed.minutes = s.hold.Length() - (s.period.Length() - s.minutes)
	for _, n := range s.trainees {
		give(&j.trainees[n], inside)
	}
	for _, n := range s.instructors {
		give(&j.people[n], staffed)
	}
	for _, n := range s.rescuers {
		give(&j.people[n], staffed)
	}
	for _, r := range s.others {
		give(r, inside)
	}
}

// dayLoad is what a body's times of one local day come to.
type dayLoad struct {
	day                       civil.Day
	first, last               civil.Instant // earliest start, latest end
	minutes, height           civil.Minutes
	sessions                  bool // a session of the plan takes part in the day,
	firstSession, lastSession bool // in its start, in its end
}

// dayLoads returns the days with any time, in order.
func (v *view) dayLoads() []dayLoad {
	if !v.days.start() {
		return v.days.list
	}
	list := v.days.list
	for _, t := range v.times {
		n := len(list)
		if n == 0 || list[n-1].day != t.day {
			list = append(list, dayLoad{day: t.day, first: t.Start, last: t.End})
			n++
		}
		d := &list[n-1]
		inSession := t.session != nil
		d.firstSession = d.firstSession || inSession && t.Start == d.first
		if t.End > d.last {
			d.last, d.lastSession = t.End, false
		}
		d.lastSession = d.lastSession || inSession && t.End == d.last
		d.sessions = d.sessions || inSession
		d.minutes += t.minutes
		d.height += t.height
	}
	v.days.list = list
	return list
}
