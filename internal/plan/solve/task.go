package solve

import (
	"slices"
	"sync"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// task is a problem as the search sees it: the needs, the places where each
// exercise can be held, the starts of each day, and figures that guide. It never
// changes once it is made and is shared by all searches.
type task struct {
	c       *Compiled
	p       *plan.Problem
	weights plan.Weights
	days    int      // searched, from the first of the horizon
	starts  []starts // by day
	words   int      // of a slotSet

	needs   []need
	needsOf [][]int   // by trainee: indexes into needs
	owed    []bool    // by need: a fixed session of the trainee comes after it
	needAt  []int32   // by trainee × exercise: index into needs, −1 = none
	before  [][]after // by exercise: what comes after it, the other way round of exercise.after
	depth   []int     // by exercise: how long a chain of `after` leads to it
	height  []int     // by exercise: how long a chain follows it

	spots   []spot
	spotsOf [][]int // by exercise
	shapes  []shape
	// asTrainee and asStaff are shapes by exercise, on ground and on height.
	asTrainee, asStaff [][2]int
	teachers, standby  [][]int // by exercise: people who teach it; one list of rescuers
	rescuers           []int
	intakes            []intake
	intakeOf           []int // by trainee
	traineeDays        []dayRange
	personDays         []dayRange
	bodyReach          []int   // by body: how many days away a time can still matter
	nearReach          []int   // by body: the same, for rules that look only at a day and its neighbours
	nearOnly           []bool  // by body: no rule looks further
	placeReach         int     // as bodyReach, for stations
	near               [][]int // by station: stations that a session there may shut out, itself among them

	fickle    []bool // by body
	anyFickle bool

	outlineOf []*outline // by trainee; nil = none

	pressure []int64   // by exercise: how much its teachers are asked for
	value    []int64   // by person: how dear it is to use them up
	rest     [][]int64 // by exercise and number of trainees: least staff cost of that many
	worth    int64     // of placing a need, in the search's cost
	debt     int64     // what an owed need that is open costs besides
	scale    int64     // what a need costs besides, as a measure for the acceptance

	contradicted func() map[traineeExercise]string // needs that have no place whatever is planned, and why; worked out when first asked for
}

// need is one exercise that one trainee needs.
type need struct{ trainee, exercise int }

// intake are trainees who come together.
type intake struct {
	alone    bool
	trainees []int
}

// spot is an exercise on one of its stations.
type spot struct {
	exercise, station int
	most              int       // trainees
	hold              int64     // minutes
	staff             []int     // by number of trainees: no team is smaller
	light             []slotSet // by day: the starts that hours, light and shut periods leave
	rescued           bool      // the station asks for more than instructors
}

// shape is what a session is for one of its people: how long it takes them and
// whether at height.
type shape struct {
	before, minutes, after civil.Minutes
	height                 bool
	pauses                 string // equal for equal pauses
	exercise               int    // one that has it
}

// dayRange are days counted from the first of the horizon, [from, to).
type dayRange struct{ from, to int }

const (
	// mostDays is how many days of a horizon are searched; later ones are left empty.
	mostDays = 4000
	// mostPool is how many trainees are looked at together for one session.
	mostPool = 48
)

func newTask(p *plan.Problem, c *Compiled) *task {
	t := &task{c: c, p: p, weights: p.Weights, days: min(p.Days, mostDays)}
	t.compileStarts()
	t.compileNeeds()
	t.compileSpots()
	t.compileShapes()
	t.compileReach()
	t.compileFickle()
	t.compileStaff()
	t.compileGuides()
	t.compileOutlines()
	t.contradicted = sync.OnceValue(newOutlook(p, c).words)
	return t
}

func (t *task) compileStarts() {
	shortest := civil.Minutes(1) << 40
	for i := range t.c.exercises {
		shortest = min(shortest, t.c.exercises[i].minutes)
	}
	t.starts = make([]starts, t.days)
	for d := range t.starts {
		list := t.c.starts(t.c.from+civil.Day(d), shortest)
		slices.Sort(list)
		t.starts[d] = slices.Compact(list)
		t.words = max(t.words, (len(t.starts[d])+63)/64)
	}
	t.words = max(t.words, 1)
}

// day returns the number of a local day from the first of the horizon.
func (t *task) day(d civil.Day) int { return int(d - t.c.from) }

func (t *task) compileNeeds() {
	c := t.c
	of := make(map[string]int)
	t.needAt = make([]int32, len(c.trainees)*len(c.exercises))
	t.needsOf, t.intakeOf = make([][]int, len(c.trainees)), make([]int, len(c.trainees))
	for i := range c.trainees {
		tr := &c.trainees[i]
		in, known := of[tr.intake]
		if !known {
			in = len(t.intakes)
			of[tr.intake] = in
			t.intakes = append(t.intakes, intake{alone: tr.alone})
		}
		t.intakes[in].trainees = append(t.intakes[in].trainees, i)
		t.intakeOf[i] = in
		for e := range c.exercises {
			at := int32(-1)
			if tr.needs[e] {
				at = int32(len(t.needs))
				t.needsOf[i] = append(t.needsOf[i], len(t.needs))
				t.needs = append(t.needs, need{i, e})
			}
			t.needAt[i*len(c.exercises)+e] = at
		}
		t.traineeDays = append(t.traineeDays, t.daysOf(&tr.role, tr.deadline))
	}
	for i := range c.people {
		t.personDays = append(t.personDays, t.daysOf(&c.people[i].role, 0))
	}
	t.before = make([][]after, len(c.exercises))
	for e := range c.exercises {
		for _, a := range c.exercises[e].after {
			t.before[a.exercise] = append(t.before[a.exercise], after{e, a.minGap, a.maxGap})
		}
	}
	t.compileChains()
	t.compileOwed()
}

// compileOwed notes the needs that fixed sessions wait for.
func (t *task) compileOwed() {
	t.owed = make([]bool, len(t.needs))
	for i := range t.p.Fixed {
		f := &t.p.Fixed[i]
		for _, id := range f.Trainees {
			for _, a := range t.c.exercises[t.c.exerciseOf[f.Exercise]].after {
				if n := t.needOf(t.c.traineeOf[id], a.exercise); n >= 0 {
					t.owed[n] = true
				}
			}
		}
	}
}

// compileChains measures the chains of `after`, longest first; there are no cycles.
func (t *task) compileChains() {
	n := len(t.c.exercises)
	t.depth, t.height = make([]int, n), make([]int, n)
	for changed := true; changed; {
		changed = false
		for e := range t.c.exercises {
			for _, a := range t.c.exercises[e].after {
				if t.depth[e] <= t.depth[a.exercise] {
					t.depth[e], changed = t.depth[a.exercise]+1, true
				}
				if t.height[a.exercise] <= t.height[e] {
					t.height[a.exercise], changed = t.height[e]+1, true
				}
			}
		}
	}
}

// spotOf returns the number of an exercise's spot on a station, −1 if it has none.
func (t *task) spotOf(e, station int) int {
	for _, i := range t.spotsOf[e] {
		if t.spots[i].station == station {
			return i
		}
	}
	return -1
}

// needOf returns the index of a trainee's need, −1 if they need no such exercise.
func (t *task) needOf(trainee, exercise int) int {
	return int(t.needAt[trainee*len(t.c.exercises)+exercise])
}

// daysOf returns the days that a role's availability and deadline leave.
func (t *task) daysOf(r *role, last civil.Day) dayRange {
	out := dayRange{0, t.days}
	if r.available != nil {
		from, to := t.days, 0
		for _, p := range r.available {
			// A hold may begin on the day before its session.
			from = min(from, t.day(t.c.zone.DayOf(p.Start)))
			to = max(to, t.day(t.c.zone.DayOf(p.End-1))+2)
		}
		out = dayRange{max(0, from), min(t.days, to)}
	}
	if last != 0 {
		out.to = min(out.to, t.day(last)+1)
	}
	out.to = max(out.to, out.from)
	return out
}

func (t *task) compileSpots() {
	c := t.c
	t.spotsOf = make([][]int, len(c.exercises))
	for e := range c.exercises {
		ex := &c.exercises[e]
		for _, at := range ex.stations {
			st := &c.stations[at]
			s := spot{exercise: e, station: at, most: c.mostTrainees(e, at), hold: int64(ex.setup + ex.minutes + ex.strike)}
			s.rescued = st.rescue != nil || st.firstAiders > 0 || st.staffMin > 1
			for n := range min(s.most, len(c.trainees)) + 1 {
				s.staff = append(s.staff, c.leastStaff(e, at, n))
			}
			s.light = make([]slotSet, t.days)
			for d := range s.light {
				s.light[d] = t.open(e, st, d)
			}
			t.spotsOf[e] = append(t.spotsOf[e], len(t.spots))
			t.spots = append(t.spots, s)
		}
	}
}

// open returns the starts of a day that opening hours, daylight and shut periods
// leave an exercise on a station; nil if none.
func (t *task) open(e int, st *station, d int) slotSet {
	c, ex := t.c, &t.c.exercises[e]
	day := c.from + civil.Day(d)
	var out slotSet
	for i, start := range t.starts[d] {
		span := civil.Period{Start: start, End: start.Add(ex.minutes)}
		hold := ex.hold(span)
		shut := slices.ContainsFunc(st.shut, func(p civil.Period) bool { return p.Overlaps(hold) })
		if shut || !c.openAt(day, span) || st.needsDaylight && !c.lightAt(day, span) {
			continue
		}
		if out == nil {
			out = make(slotSet, t.words)
		}
		out.add(i)
	}
	return out
}

// leastStaff returns a size below which no team for n trainees lacks nothing,
// whoever is in it.
func (c *Compiled) leastStaff(e, at, n int) int {
	st := &c.stations[at]
	teachers, extra := c.exercises[e].instructorsFor(at, n), 0
	if r := st.rescue; r != nil {
		switch {
		case r.OwnInstructorsCount && r.StandbyMin == 0:
			extra = max(0, r.Rescuers-teachers)
		default:
			extra = max(r.StandbyMin, r.Rescuers)
		}
	}
	return min(max(teachers+extra, st.staffMin, st.firstAiders), len(c.people)+1)
}

func (t *task) compileShapes() {
	c := t.c
	known := make(map[shape]int)
	number := func(s shape, e int) int {
		i, ok := known[s]
		if !ok {
			i = len(t.shapes)
			known[s] = i
			s.exercise = e
			t.shapes = append(t.shapes, s)
		}
		return i
	}
	for e := range c.exercises {
		ex := &c.exercises[e]
		key := make([]byte, 0, 16)
		for _, p := range ex.pauses {
			for _, m := range [2]civil.Minutes{p.from, p.to} {
				for range 5 {
					key = append(key, byte(m))
					m >>= 8
				}
			}
		}
		var trainee, staff [2]int
		for height := range 2 {
			s := shape{minutes: ex.minutes, height: height == 1, pauses: string(key)}
			trainee[height] = number(s, e)
			s.before, s.after = ex.setup, ex.strike
			staff[height] = number(s, e)
		}
		t.asTrainee, t.asStaff = append(t.asTrainee, trainee), append(t.asStaff, staff)
	}
}
