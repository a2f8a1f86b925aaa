package check

import (
	"cmp"
	"slices"
	"sync/atomic"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
	"rungbook/internal/verdict"
)

// Judge is a compiled problem. It is immutable and safe for concurrent use.
type Judge struct {
	p         *plan.Problem
	last      civil.Day // of the horizon; before From when there are no days
	exercises []exercise
	stations  []station
	people    []role
	trainees  []role
	bodies    []body
	policies  map[string]int
	closed    map[civil.Day]int   // index into closed_days
	light     map[civil.Day][]int // indexes into daylight
	intakes   map[string]int

	exerciseOf, stationOf, personOf, traineeOf map[string]int
	zones                                      []string

	firstSlot civil.Day
	slots     []atomic.Pointer[dayFacts] // days near the horizon, worked out when first asked for
}

// exercise is an exercise with its references resolved.
type exercise struct {
	*plan.Exercise
	index   int
	pauses  []pause // merged, in order, none empty
	uses    []use
	energy  []energy
	courses []int
}

// pause is [from, to) in minutes since a session's start.
type pause struct{ from, to civil.Minutes }

type use struct{ kit, count int }

type energy struct {
	circuit int
	state   plan.EnergyState
}

// station is a station with its references resolved.
type station struct {
	*plan.Station
	index, rig int
	zones      []int // indexes into Judge.zones
	rescueKit  int   // −1 = none
}

// role is one record of a body: a member of staff or a trainee.
type role struct {
	ref       verdict.Ref
	pointer   []any // of the record in the problem
	body      int
	available []civil.Period // nil = always
}

// body is one human being over all roles.
type body struct {
	ref      verdict.Ref
	duties   []timed // by start, each period once
	policies []int   // of all roles, each once
}

// dayFacts is what the judge needs to know of a local day.
type dayFacts struct {
	start   civil.Instant
	windows []civil.Period // opening windows, in the problem's order
}

// New compiles a problem. Precondition: p.Usable() is nil.
func New(p *plan.Problem) *Judge {
	j := &Judge{p: p, last: p.From + civil.Day(p.Days) - 1,
		exerciseOf: indexOf(p.Exercises, func(e *plan.Exercise) string { return e.ID }),
		stationOf:  indexOf(p.Stations, func(s *plan.Station) string { return s.ID }),
		personOf:   indexOf(p.People, func(v *plan.Person) string { return v.ID }),
		traineeOf:  indexOf(p.Trainees, func(t *plan.Trainee) string { return t.ID }),
		policies:   indexOf(p.RestPolicies, func(r *plan.RestPolicy) string { return r.Name }),
		intakes:    indexOf(p.Intakes, func(v *plan.Intake) string { return v.ID }),
		closed:     make(map[civil.Day]int),
		light:      make(map[civil.Day][]int),
	}
	for i, d := range p.ClosedDays {
		j.closed[d] = i
	}
	for i := range p.Daylight {
		j.light[p.Daylight[i].Day] = append(j.light[p.Daylight[i].Day], i)
	}
	const margin, mostSlots = 40, 5000
	j.firstSlot = p.From - margin
	j.slots = make([]atomic.Pointer[dayFacts], min(p.Days+2*margin, mostSlots))
	j.compileYard()
	j.compileBodies()
	return j
}

func indexOf[T any](list []T, id func(*T) string) map[string]int {
	m := make(map[string]int, len(list))
	for i := range list {
		m[id(&list[i])] = i
	}
	return m
}

func (j *Judge) compileYard() {
	p := j.p
	rigs := indexOf(p.Rigs, func(r *plan.Rig) string { return r.ID })
	kits := indexOf(p.Kits, func(k *plan.Kit) string { return k.ID })
	circuits := indexOf(p.Circuits, func(c *plan.Circuit) string { return c.ID })
	zones := make(map[string]int)
	j.stations = make([]station, len(p.Stations))
	for i := range p.Stations {
		s := station{Station: &p.Stations[i], index: i, rig: rigs[p.Stations[i].Rig], rescueKit: -1}
		if s.Rescue != nil && s.Rescue.Kit != "" {
			s.rescueKit = kits[s.Rescue.Kit]
		}
		for _, z := range s.Zones {
			n, ok := zones[z]
			if !ok {
				n = len(j.zones)
				zones[z], j.zones = n, append(j.zones, z)
			}
			s.zones = append(s.zones, n)
		}
		j.stations[i] = s
	}
	j.exercises = make([]exercise, len(p.Exercises))
	for i := range p.Exercises {
		e := exercise{Exercise: &p.Exercises[i], index: i, pauses: mergePauses(p.Exercises[i].Pauses)}
		for _, u := range e.Uses {
			e.uses = append(e.uses, use{kits[u.Kit], u.Count})
		}
		for _, n := range e.Energy {
			e.energy = append(e.energy, energy{circuits[n.Circuit], n.State})
		}
		for c := range p.Courses {
			if slices.Contains(p.Courses[c].Exercises, e.ID) {
				e.courses = append(e.courses, c)
			}
		}
		j.exercises[i] = e
	}
}

// mergePauses joins pauses that touch or overlap, so that no minute is taken off
// twice.
func mergePauses(list []plan.Pause) []pause {
	var out []pause
	for _, p := range list {
		if p.Minutes > 0 {
			out = append(out, pause{p.After, p.After + p.Minutes})
		}
	}
	slices.SortFunc(out, func(a, b pause) int { return cmp.Compare(a.from, b.from) })
	n := 0
	for i, p := range out {
		if i > 0 && p.from <= out[n-1].to {
			out[n-1].to = max(out[n-1].to, p.to)
			continue
		}
		out[n] = p
		n++
	}
	return out[:n]
}

func (j *Judge) compileBodies() {
	p := j.p
	bodies := make(map[string]int)
	add := func(kind verdict.RefKind, list string, i int, id, person string, available, duties []civil.Period, policies []string) role {
		name := cmp.Or(person, id)
		n, ok := bodies[name]
		if !ok {
			n = len(j.bodies)
			bodies[name] = n
			j.bodies = append(j.bodies, body{ref: verdict.Ref{Kind: kind, ID: id}})
		} else {
			j.bodies[n].ref = verdict.Ref{Kind: verdict.Body, ID: name}
		}
		b := &j.bodies[n]
		for k, d := range duties {
			t := timed{Period: d, day: p.Zone.DayOf(d.Start), minutes: d.Length(), duty: []any{list, i, "duties", k}}
			if !slices.ContainsFunc(b.duties, func(o timed) bool { return o.Period == d }) {
				b.duties = append(b.duties, t)
			}
		}
		for _, name := range policies {
			if at := j.policies[name]; !slices.Contains(b.policies, at) {
				b.policies = append(b.policies, at)
			}
		}
		return role{ref: verdict.Ref{Kind: kind, ID: id}, pointer: []any{list, i}, body: n, available: available}
	}
	for i := range p.People {
		v := &p.People[i]
		j.people = append(j.people, add(verdict.Person, "people", i, v.ID, v.Body, v.Available, v.Duties, v.Rest))
	}
	for i := range p.Trainees {
		v := &p.Trainees[i]
		j.trainees = append(j.trainees, add(verdict.Trainee, "trainees", i, v.ID, v.Body, v.Available, v.Duties, v.Rest))
	}
	for i := range j.bodies {
		sortTimes(j.bodies[i].duties)
	}
}

// day returns the facts of a local day.
func (j *Judge) day(d civil.Day) *dayFacts {
	slot := int(d - j.firstSlot)
	if slot < 0 || slot >= len(j.slots) {
		return j.workOutDay(d)
	}
	if f := j.slots[slot].Load(); f != nil {
		return f
	}
	f := j.workOutDay(d) // the same whoever works it out
	j.slots[slot].Store(f)
	return f
}

func (j *Judge) workOutDay(d civil.Day) *dayFacts {
	f := &dayFacts{start: j.p.Zone.StartOfDay(d)}
	for _, w := range j.p.Open {
		if slices.Contains(w.Weekdays, d.Weekday()) {
			f.windows = append(f.windows, civil.Period{Start: j.p.Zone.At(d, w.From), End: j.p.Zone.At(d, w.To)})
		}
	}
	return f
}

// blockDays is the length of a weekly-rest block.
func blockDays(r *plan.RestPolicy) int {
	if r.WeeklyRestDays < 1 {
		return 7
	}
	return r.WeeklyRestDays
}
