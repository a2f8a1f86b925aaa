package solve

import (
	"cmp"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// blame gathers the causes that keep one session off a board.
type blame struct {
	c       *Compiled
	p       *plan.Problem
	b       *Board
	s       *session
	causes  []Cause
	unknown bool // something stands in the way that can't be lifted
}

// causesAt lists all that stands in the way of a session refused; nil if some of it
// can't be lifted. A team that is short is filled up with those whom least stops.
func (x *explainer) causesAt(board *Board, refused *plan.Session) []Cause {
	told := refused.Clone()
	if told.ID == "" {
		told.ID = unusedID(x.sessions)
	}
	s, ok := board.c.session(&told)
	if !ok {
		return nil
	}
	gone := board.standing([]string{told.ID}) // the session joined
	board.swap(gone, nil)
	b := &blame{c: board.c, p: x.p, b: board, s: s}
	b.fillTeam()
	sc := board.scopeOf(s, nil)
	before := board.faults(sc)
	board.put(s)
	after := board.faults(sc)
	board.take(s)
	for _, f := range after {
		if !slices.ContainsFunc(before, func(o fault) bool { return o.excess >= f.excess && o.subject() == f.subject() }) {
			b.fault(f)
		}
	}
	board.swap(nil, gone)
	if b.unknown {
		return nil
	}
	return b.causes
}

// unusedID returns an id that no session has.
func unusedID(sessions []plan.Session) string {
	id := "new"
	for slices.ContainsFunc(sessions, func(s plan.Session) bool { return s.ID == id }) {
		id += "-"
	}
	return id
}

// fillTeam adds people to the session's staff until nothing is short or nobody is
// left.
func (b *blame) fillTeam() {
	s, ex, st := b.s, &b.c.exercises[b.s.exercise], &b.c.stations[b.s.station]
	need := team{teachers: ex.instructorsFor(s.station, len(s.trainees)), staff: st.staffMin, aiders: st.firstAiders, rescue: st.rescue}
	for range len(b.c.people) {
		counted := 0
		for _, p := range s.instructors {
			counted += count(validOn(b.c.people[p].rescuer, s.day))
		}
		// First aid is lifted for those who are there, so it is not what people are added for.
		short := need.short(len(s.instructors), len(s.rescuers), len(s.rescuers), need.aiders, counted)
		if need.aiders > len(s.instructors)+len(s.rescuers) {
			short.staff++
		}
		as := asRescuer
		switch {
		case short.teachers > 0:
			as = asInstructor
		case short.sum() == 0:
			return
		}
		p := b.leastStopped(as)
		if p < 0 {
			return
		}
		if as == asInstructor {
			s.instructors = append(s.instructors, p)
		} else {
			s.rescuers = append(s.rescuers, p)
		}
	}
}

// leastStopped finds who is stopped by least from taking a part in the session; −1
// if everybody takes part already.
func (b *blame) leastStopped(as part) int {
	var bodies []int
	b.c.roll(b.s, func(r *role, _ part) { bodies = append(bodies, r.body) })
	best, least := -1, 0
	tm := b.c.timeOf(b.s, as)
	for p := range b.c.people {
		pe := &b.c.people[p]
		if slices.Contains(bodies, pe.body) {
			continue
		}
		able := validOn(pe.rescuer, b.s.day)
		if as == asInstructor {
			able = validOn(pe.teaches[b.s.exercise], b.s.day)
		}
		stops := (available.when(!pe.freeFor(tm.Period)) | b.b.wouldBreak(pe.body, tm, b.b.faultsOf(pe.body))).count() + 2*count(!able)
		if best < 0 || cmp.Or(cmp.Compare(stops, least), cmp.Compare(pe.id, b.c.people[best].id)) < 0 {
			best, least = p, stops
		}
	}
	return best
}

// add notes a cause, or one more rule of one that is known.
func (b *blame) add(r rule, weight int, key, words string, lift func(*relaxed)) {
	for i := range b.causes {
		if k := &b.causes[i]; k.key == key {
			if !slices.Contains(k.Rules, ruleNames[r]) {
				k.Rules = append(k.Rules, ruleNames[r])
			}
			return
		}
	}
	b.causes = append(b.causes, Cause{Rules: []string{ruleNames[r]}, Words: words, weight: weight, key: key, lift: lift})
}

// fault notes the causes of one fault.
func (b *blame) fault(f fault) {
	switch f.rule {
	case openHours:
		b.hours()
	case daylight:
		b.dark()
	case stationShut:
		b.shut()
	case stationClash, zoneClash, energyClash:
		b.neighbours(f.rule)
	case rigHeadcount:
		b.headcount(int(f.at))
	case groupSize:
		b.groupSize()
	case ratio, staffMin, firstAid, rescueCover, qualified:
		b.staff(f)
	case entitled:
		b.holding(f.who, f.with)
	case kitUse:
		b.kit(int(f.at))
	case available:
		b.absence(f.who)
	case doubleBooked:
		b.overlaps(f)
	case order:
		b.order(f)
	case courseSpan:
		b.course(int(f.at))
	case deadline:
		b.deadline(f.who)
	case dailyRest, weeklyRest, dayRun, dayMinutes, daySpan, weekMinutes, heightMinutes, breakRule:
		b.rest(f)
	default:
		b.unknown = true
	}
}

// neighbours: sessions too near on the station, its ground or its energy.
func (b *blame) neighbours(r rule) {
	see := func(o *session, hit bool) {
		if hit && o != b.s {
			b.session(r, o, "holds "+b.c.stations[o.station].id)
		}
	}
	for _, id := range sortedKeys(b.b.byID) {
		o := b.b.byID[id]
		probe := func(f fault) { see(o, f.rule == r) }
		switch r {
		case stationClash:
			if o.station == b.s.station {
				b.b.tooClose(r, b.s, o, 0, b.c.stations[b.s.station].turnaround, probe)
			}
		case zoneClash:
			if o.station != b.s.station && slices.ContainsFunc(b.c.stations[o.station].zones, func(z int) bool { return slices.Contains(b.c.stations[b.s.station].zones, z) }) {
				b.b.tooClose(r, b.s, o, 0, 0, probe)
			}
		case energyClash:
			for _, n := range b.c.exercises[b.s.exercise].energy {
				if b.c.needsOther(o, n) {
					b.b.tooClose(r, b.s, o, 0, b.c.circuits[n.circuit], probe)
				}
			}
		}
	}
}

// overlaps: other times of a body at the time of the session.
func (b *blame) overlaps(f fault) {
	if f.with != "" || f.session != b.s.id {
		b.unknown = true // twice in one session
		return
	}
	b.c.roll(b.s, func(r *role, as part) {
		tm := b.c.timeOf(b.s, as)
		for _, o := range b.b.bodies[r.body].near(tm.Period, 0) {
			switch {
			case b.c.bodies[r.body].id != f.who || !o.Overlaps(tm.Period):
			case o.s == nil:
				b.duty(r.body, o.Period)
			default:
				b.session(doubleBooked, o.s, "takes "+r.id+" along")
			}
		}
	})
}

// period words a period.
func (b *blame) period(p civil.Period) string {
	return b.c.zone.Format(p.Start) + " to " + b.c.zone.Format(p.End)
}

func sortedKeys[V any](m map[string]V) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}
