package solve

import (
	"cmp"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// Compiled is a problem in dense numbers: every station, exercise, person,
// trainee and body is an index into a list. It never changes once it is made
// and may be used by many goroutines at once.
type Compiled struct {
	calendar
	exercises []exercise
	stations  []station
	circuits  []civil.Minutes
	kits      []kit
	rigs      []int // people_max, 0 = no limit
	courses   []course
	people    []person
	trainees  []trainee
	bodies    []body
	zones     int // how many zones there are
	fixed     map[string]*plan.Session

	exerciseOf, stationOf, personOf, traineeOf map[string]int
}

type exercise struct {
	id                     string
	minutes, setup, strike civil.Minutes
	pauses                 []pause // merged, in order, none empty
	stations               []int
	groupMin, groupMax     int // groupMax 0 = no limit but the places
	ratio                  int
	ratioAt                map[int]int // by station
	after                  []after
	requires               []string
	uses                   []use
	energy                 []energy
	courses                []int // those it belongs to
}

// pause is [from, to) in minutes since a session's start.
type pause struct{ from, to civil.Minutes }

type after struct {
	exercise       int
	minGap, maxGap civil.Minutes
}

type use struct{ kit, count int }

type energy struct {
	circuit int
	state   plan.EnergyState
}

type station struct {
	id            string
	rig           int
	places        int
	zones         []int
	height        bool
	needsDaylight bool
	turnaround    civil.Minutes
	shut          []civil.Period
	staffMin      int
	firstAiders   int
	rescue        *plan.Rescue
	rescueKit     int // -1 = none
}

type kit struct {
	id    string
	count int
	shut  []plan.KitShut
}

type course struct {
	exercises []int
	days      int
}

// role is one record of a body: a member of staff or a trainee.
type role struct {
	id        string
	body      int
	available []civil.Period // nil = always
}

// freeFor reports whether the role is available for the whole of p.
func (r *role) freeFor(p civil.Period) bool { return r.available == nil || inOne(r.available, p) }

// person is a member of staff.
type person struct {
	role
	teaches  [][]plan.Validity // by exercise
	rescuer  []plan.Validity
	firstAid []plan.Validity
}

type trainee struct {
	role
	intake   string
	alone    bool                    // of an intake that shares no session
	needs    []bool                  // by exercise
	done     map[int][]civil.Instant // by exercise
	holds    []plan.Hold
	deadline civil.Day // 0 = none
}

// body is one human being over all roles: the rules about a person's times are
// judged on it.
type body struct {
	id       string
	staff    int               // how many members of staff it is
	policies []plan.RestPolicy // of all roles, each once
	duties   []civil.Period    // of all roles, each once
}

// Compile turns a problem into dense numbers. Precondition: p.Usable() is nil,
// and p does not change while the result is in use.
func Compile(p *plan.Problem) *Compiled {
	c := &Compiled{
		exerciseOf: make(map[string]int, len(p.Exercises)), stationOf: make(map[string]int, len(p.Stations)),
		personOf: make(map[string]int, len(p.People)), traineeOf: make(map[string]int, len(p.Trainees)),
		fixed: make(map[string]*plan.Session, len(p.Fixed)),
	}
	for i := range p.Fixed {
		c.fixed[p.Fixed[i].ID] = &p.Fixed[i]
	}
	c.compileStations(p)
	c.compileExercises(p)
	c.compilePeople(p)
	c.calendar = newCalendar(p)
	return c
}

// index numbers a list by its ids.
func index[T any](list []T, id func(*T) string) map[string]int {
	m := make(map[string]int, len(list))
	for i := range list {
		m[id(&list[i])] = i
	}
	return m
}

func (c *Compiled) compileStations(p *plan.Problem) {
	rigs := index(p.Rigs, func(r *plan.Rig) string { return r.ID })
	kits := index(p.Kits, func(k *plan.Kit) string { return k.ID })
	for i := range p.Rigs {
		c.rigs = append(c.rigs, p.Rigs[i].PeopleMax)
	}
	for i := range p.Kits {
		c.kits = append(c.kits, kit{p.Kits[i].ID, p.Kits[i].Count, p.Kits[i].Shut})
	}
	for i := range p.Circuits {
		c.circuits = append(c.circuits, p.Circuits[i].Changeover)
	}
	zones := make(map[string]int)
	for i := range p.Stations {
		s := &p.Stations[i]
		st := station{
			id: s.ID, rig: rigs[s.Rig], places: s.Places, height: s.Height, needsDaylight: s.NeedsDaylight,
			turnaround: s.Turnaround, shut: s.Shut, staffMin: s.StaffMin, firstAiders: s.FirstAiders,
			rescue: s.Rescue, rescueKit: -1,
		}
		for _, z := range s.Zones {
			if _, ok := zones[z]; !ok {
				zones[z] = len(zones)
			}
			st.zones = append(st.zones, zones[z])
		}
		if s.Rescue != nil && s.Rescue.Kit != "" {
			st.rescueKit = kits[s.Rescue.Kit]
		}
		c.stationOf[s.ID] = i
		c.stations = append(c.stations, st)
	}
	c.zones = len(zones)
}

func (c *Compiled) compileExercises(p *plan.Problem) {
	circuits := index(p.Circuits, func(v *plan.Circuit) string { return v.ID })
	kits := index(p.Kits, func(v *plan.Kit) string { return v.ID })
	c.exerciseOf = index(p.Exercises, func(e *plan.Exercise) string { return e.ID })
	for i := range p.Exercises {
		e := &p.Exercises[i]
		ex := exercise{
			id: e.ID, minutes: e.Minutes, setup: e.Setup, strike: e.Strike, pauses: mergePauses(e.Pauses),
			groupMin: e.GroupMin, groupMax: e.GroupMax, ratio: e.Ratio, requires: e.Requires,
		}
		for _, s := range e.Stations {
			ex.stations = append(ex.stations, c.stationOf[s])
		}
		for _, r := range e.RatioAt {
			if ex.ratioAt == nil {
				ex.ratioAt = make(map[int]int, len(e.RatioAt))
			}
			ex.ratioAt[c.stationOf[r.Station]] = r.Ratio
		}
		for _, a := range e.After {
			ex.after = append(ex.after, after{c.exerciseOf[a.Exercise], a.MinGap, a.MaxGap})
		}
		for _, u := range e.Uses {
			ex.uses = append(ex.uses, use{kits[u.Kit], u.Count})
		}
		for _, n := range e.Energy {
			ex.energy = append(ex.energy, energy{circuits[n.Circuit], n.State})
		}
		c.exercises = append(c.exercises, ex)
	}
	for i := range p.Courses {
		co := course{days: p.Courses[i].Days}
		for _, id := range p.Courses[i].Exercises {
			e := c.exerciseOf[id]
			co.exercises = append(co.exercises, e)
			c.exercises[e].courses = append(c.exercises[e].courses, i)
		}
		c.courses = append(c.courses, co)
	}
}

func (c *Compiled) compilePeople(p *plan.Problem) {
	reg := registry{c: c, p: p, bodies: make(map[string]int), policies: index(p.RestPolicies, func(r *plan.RestPolicy) string { return r.Name })}
	for i := range p.People {
		s := &p.People[i]
		pe := person{
			role:    role{s.ID, reg.body(s.ID, s.Body, s.Rest, s.Duties), s.Available},
			rescuer: s.Rescuer, firstAid: s.FirstAid, teaches: make([][]plan.Validity, len(c.exercises)),
		}
		c.bodies[pe.body].staff++
		for _, t := range s.Teaches {
			e := c.exerciseOf[t.Exercise]
			pe.teaches[e] = append(pe.teaches[e], t.Validity)
		}
		c.personOf[s.ID] = i
		c.people = append(c.people, pe)
	}
	aloneIntake := make(map[string]bool)
	for _, in := range p.Intakes {
		aloneIntake[in.ID] = in.Alone
	}
	for i := range p.Trainees {
		t := &p.Trainees[i]
		tr := trainee{
			role: role{t.ID, reg.body(t.ID, t.Body, t.Rest, t.Duties), t.Available}, intake: t.Intake, alone: aloneIntake[t.Intake], holds: t.Holds, deadline: t.Deadline,
			needs: make([]bool, len(c.exercises)),
		}
		for _, id := range t.Needs {
			tr.needs[c.exerciseOf[id]] = true
		}
		for _, d := range t.Done {
			e := c.exerciseOf[d.Exercise]
			if tr.done == nil {
				tr.done = make(map[int][]civil.Instant, len(t.Done))
			}
			tr.done[e] = append(tr.done[e], d.At)
		}
		c.traineeOf[t.ID] = i
		c.trainees = append(c.trainees, tr)
	}
}

// registry gathers the roles of each body.
type registry struct {
	c        *Compiled
	p        *plan.Problem
	bodies   map[string]int
	policies map[string]int
}

// body numbers the body of a role and adds what the role brings to it.
func (r *registry) body(id, bodyID string, rest []string, duties []civil.Period) int {
	if bodyID == "" {
		bodyID = id
	}
	i, known := r.bodies[bodyID]
	if !known {
		i = len(r.c.bodies)
		r.bodies[bodyID] = i
		r.c.bodies = append(r.c.bodies, body{id: bodyID})
	}
	b := &r.c.bodies[i]
	for _, name := range rest {
		if !slices.ContainsFunc(b.policies, func(q plan.RestPolicy) bool { return q.Name == name }) {
			b.policies = append(b.policies, r.p.RestPolicies[r.policies[name]])
		}
	}
	for _, d := range duties {
		if !slices.Contains(b.duties, d) {
			b.duties = append(b.duties, d)
		}
	}
	return i
}

// hold returns [start − setup, end + strike): how long a session takes its
// station, zones, circuits, kits and staff.
func (e *exercise) hold(p civil.Period) civil.Period {
	return civil.Period{Start: p.Start.Add(-e.setup), End: p.End.Add(e.strike)}
}

// ratioOn returns the most trainees an instructor may take on a station.
func (e *exercise) ratioOn(station int) int {
	if r, ok := e.ratioAt[station]; ok {
		return min(r, e.ratio)
	}
	return e.ratio
}

// mergePauses joins pauses that touch or overlap, so that no minute counts twice.
func mergePauses(list []plan.Pause) []pause {
	var all, out []pause
	for _, p := range list {
		if p.Minutes > 0 {
			all = append(all, pause{p.After, p.After + p.Minutes})
		}
	}
	slices.SortFunc(all, func(a, b pause) int { return cmp.Compare(a.from, b.from) })
	for _, p := range all {
		if n := len(out); n > 0 && p.from <= out[n-1].to {
			out[n-1].to = max(out[n-1].to, p.to)
			continue
		}
		out = append(out, p)
	}
	return out
}

// instructorsFor returns how many instructors n trainees need on a station.
func (e *exercise) instructorsFor(station, n int) int {
	r := e.ratioOn(station)
	return max(1, (n+r-1)/r)
}

// validOn reports whether one of the spans holds on day d.
func validOn(list []plan.Validity, d civil.Day) bool {
	for _, v := range list {
		if v.Holds(d) {
			return true
		}
	}
	return false
}
