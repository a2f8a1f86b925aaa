package bound

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// facts are a problem in dense numbers: exercises, stations and people are
// indexes of the problem's lists, days count from the first of the horizon.
type facts struct {
	p         *plan.Problem
	days      []day
	exercises []exercise
	places    []place // every exercise on every station it may use
	people    []person
	classes   []class
	intakes   [][]int       // classes of each intake
	sunk      sunk          // what fixed sessions have paid for
	reached   []int64       // by intake: index of the day that its fixed sessions reach
	own       bool          // one intake alone stands here for all (see ownDays)
	grid      civil.Minutes // two starts of one day lie a multiple of it apart
}

// day is a local day and the starts that its opening hours leave.
type day struct {
	period civil.Period
	starts []start
}

// start is a time on the grid; a session must end by the end of its window.
type start struct{ at, until civil.Instant }

// exercise is what the bounds need of an exercise.
type exercise struct {
	*plan.Exercise
	pauses  civil.Minutes // of all its pauses; what overlaps counts twice
	height  bool          // every station it may use is at height
	places  []int
	needs   int    // how many trainees need it
	teacher []bool // by person: teaches it on some day
	aids    []bool // by person: may stand in a session of it on some day, in whatever part
	cover   cover
}

// net is at least how many minutes a session counts in a trainee's day.
func (e *exercise) net() civil.Minutes { return max(0, e.Minutes-e.pauses) }

// hold is how long a session takes its station and staff.
func (e *exercise) hold() civil.Minutes { return e.Setup + e.Minutes + e.Strike }

// place is an exercise on a station.
type place struct {
	exercise, station int
	crews             []crew
	starts            [][]civil.Instant // by day, in order: where station, light and the free staff allow it
}

// mostWork is the size of a problem beyond which no bound is worked out: days
// times exercises times places. A bound of 0 is always true.
const mostWork = 60_000_000

// newFacts returns nil where the problem is too large to be looked at.
func newFacts(p *plan.Problem, sunk sunk) *facts {
	f := &facts{p: p, sunk: sunk, grid: max(1, p.Grid)}
	perDay := 1
	for _, w := range p.Open {
		perDay += int(max(0, w.To-w.From)/f.grid) + 1
	}
	berths := len(p.People) + len(p.Trainees)/8 + 1
	for i := range p.Exercises {
		berths += len(p.Exercises[i].Stations)
	}
	if p.Days > mostWork/perDay || p.Days*perDay > mostWork/berths || len(p.Trainees) > mostWork/100 {
		return nil
	}
	f.layDays()
	f.layExercises()
	f.layPeople()
	f.layPlaces()
	f.layClasses()
	return f
}

// layDays finds the starts of every day of the horizon.
func (f *facts) layDays() {
	p, closed := f.p, make(map[civil.Day]bool)
	for _, d := range p.ClosedDays {
		closed[d] = true
	}
	step := f.grid
	f.days = make([]day, p.Days)
	for i := range f.days {
		at := p.From + civil.Day(i)
		d := day{period: p.Zone.DayPeriod(at)}
		if closed[at] {
			f.days[i] = d
			continue
		}
		steady := p.Zone.Offset(d.period.Start) == p.Zone.Offset(d.period.End.Add(-1))
		for _, w := range p.Open {
			if slices.Contains(w.Weekdays, at.Weekday()) {
				open := civil.Period{Start: p.Zone.At(at, w.From), End: p.Zone.At(at, w.To)}
				d.starts = append(d.starts, startsIn(p.Zone, open, d.period.Start, step, steady)...)
			}
		}
		slices.SortFunc(d.starts, func(a, b start) int { return int(a.at - b.at) })
		if !steady && len(d.starts) > 0 && p.Zone.Offset(d.starts[0].at) != p.Zone.Offset(d.starts[len(d.starts)-1].at) {
			f.grid = 1 // the clock changes between two starts
		}
		f.days[i] = d
	}
}

// startsIn lists the starts on the grid in one opening window.
func startsIn(zone civil.Zone, open civil.Period, midnight civil.Instant, step civil.Minutes, steady bool) (out []start) {
	if !steady { // on the day of a clock change the clock is read every minute
		for t := open.Start; t < open.End; t++ {
			if zone.Clock(t)%step == 0 {
				out = append(out, start{t, open.End})
			}
		}
		return out
	}
	first := open.Start
	if late := first.Sub(midnight) % step; late > 0 {
		first = first.Add(step - late)
	}
	for t := first; t < open.End; t = t.Add(step) {
		out = append(out, start{t, open.End})
	}
	return out
}

// layExercises resolves exercises and counts who needs them.
func (f *facts) layExercises() {
	p := f.p
	index := make(map[string]int, len(p.Exercises))
	height := make(map[string]bool)
	for i := range p.Stations {
		height[p.Stations[i].ID] = p.Stations[i].Height
	}
	f.exercises = make([]exercise, len(p.Exercises))
	for i := range p.Exercises {
		e := exercise{Exercise: &p.Exercises[i], height: true}
		for _, v := range e.Pauses {
			e.pauses += v.Minutes
		}
		for _, s := range e.Stations {
			e.height = e.height && height[s]
		}
		index[e.ID], f.exercises[i] = i, e
	}
	for i := range p.Trainees {
		for _, n := range p.Trainees[i].Needs {
			f.exercises[index[n]].needs++
		}
	}
}

// layPlaces finds what crews and which starts each exercise has on each station.
func (f *facts) layPlaces() {
	p := f.p
	light := make(map[civil.Day]civil.Period)
	for _, l := range p.Daylight {
		light[l.Day] = civil.Period{Start: p.Zone.At(l.Day, l.From), End: p.Zone.At(l.Day, l.To)}
	}
	for i := range f.exercises {
		e := &f.exercises[i]
		if e.needs == 0 {
			continue
		}
		for s := range p.Stations {
			if !slices.Contains(e.Stations, p.Stations[s].ID) {
				continue
			}
			at := place{exercise: i, station: s, crews: f.crews(e, &p.Stations[s]), starts: make([][]civil.Instant, len(f.days))}
			if len(at.crews) == 0 {
				continue
			}
			for d := range f.days {
				at.starts[d] = f.startsAt(e, &p.Stations[s], at.crews[0], d, light)
			}
			e.places = append(e.places, len(f.places))
			f.places = append(f.places, at)
		}
		e.cover = f.newCover(e)
	}
}

// startsAt lists the starts of a day at which the station is open for the
// exercise and people enough for its least crew are free.
func (f *facts) startsAt(e *exercise, s *plan.Station, least crew, d int, light map[civil.Day]civil.Period) (out []civil.Instant) {
	day := &f.days[d]
	lit, isLit := light[f.p.From+civil.Day(d)]
	if len(day.starts) == 0 || (s.NeedsDaylight && !isLit) {
		return nil
	}
	for _, at := range day.starts {
		session := civil.Period{Start: at.at, End: at.at.Add(e.Minutes)}
		if session.End > at.until || (s.NeedsDaylight && !lit.Covers(session)) {
			continue
		}
		hold := e.Hold(session)
		if slices.ContainsFunc(s.Shut, hold.Overlaps) || !f.manned(e, least, d, hold) {
			continue
		}
		out = append(out, at.at)
	}
	return out
}

// manned reports whether enough people for a crew are free during hold: those who
// teach the exercise on that day, and those who may stand in it in whatever part.
// Times of two roles of one body count for each of them, which is never too few.
func (f *facts) manned(e *exercise, least crew, d int, hold civil.Period) bool {
	at := f.p.From + civil.Day(d)
	teachers, staff := 0, 0
	for i := range f.people {
		v := &f.people[i]
		if !e.aids[i] || !free(v.Available, v.Duties, hold) {
			continue
		}
		switch {
		case slices.ContainsFunc(v.Teaches, func(t plan.Teaches) bool { return t.Exercise == e.ID && t.Holds(at) }):
			teachers, staff = teachers+1, staff+1
		case slices.ContainsFunc(v.Rescuer, func(r plan.Validity) bool { return r.Holds(at) }):
			staff++
		}
		if teachers >= least.teachers && staff >= least.staff {
			return true
		}
	}
	return false
}

// free reports whether a time lies inside one available period and beside all
// duties. nil available = always.
func free(available, duties []civil.Period, t civil.Period) bool {
	if slices.ContainsFunc(duties, t.Overlaps) {
		return false
	}
	return available == nil || slices.ContainsFunc(available, func(a civil.Period) bool { return a.Covers(t) })
}
