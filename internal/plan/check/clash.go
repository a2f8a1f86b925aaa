package check

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
	"rungbook/internal/verdict"
)

// span is a period that must keep away from spans of other classes.
type span struct {
	civil.Period
	class int
	index int // of what it stands for
}

// clash is a span that is nearer than allowed to another.
type clash struct {
	index, other int
	short        civil.Minutes // how much more distance they need; ≥ 1
}

// tooNear returns, for each span that lies less than gap from spans of other
// classes, the worst of those that start before it and the worst of those that
// start after it. So whoever starts too early is found, though others clash
// worse, and so is either side of the worst pair, whichever is moved. spans are
// sorted by start; those of no length count as nothing.
func (v *view) tooNear(spans []span, gap civil.Minutes) []clash {
	found := v.clashes[:0]
	// What ends latest so far, and what ends latest of any other class than that.
	var best, second *span
	nextOther := v.nextOfOtherClass(spans)
	for i := range spans {
		s := &spans[i]
		if s.Length() <= 0 {
			continue
		}
		before := best
		if best != nil && best.class == s.class {
			before = second
		}
		if before != nil {
			if short := before.End.Sub(s.Start) + gap; short > 0 {
				found = append(found, clash{s.index, before.index, short})
			}
		}
		if n := nextOther[i]; n >= 0 {
			if short := s.End.Sub(spans[n].Start) + gap; short > 0 {
				found = append(found, clash{s.index, spans[n].index, short})
			}
		}
		switch {
		case best == nil || (best.class == s.class && s.End > best.End):
			best = s
		case s.End > best.End:
			best, second = s, best
		case best.class != s.class && (second == nil || s.End > second.End):
			second = s
		}
	}
	v.clashes = found
	return found
}

// nextOfOtherClass returns for each span the index of the next one of another
// class that has a length, −1 for none.
func (v *view) nextOfOtherClass(spans []span) []int {
	v.next = slices.Grow(v.next[:0], len(spans))[:len(spans)]
	next := v.next
	after := -1 // the next span with a length
	for i := len(spans) - 1; i >= 0; i-- {
		next[i] = after
		if after >= 0 && spans[after].class == spans[i].class {
			next[i] = next[after]
		}
		if spans[i].Length() > 0 {
			after = i
		}
	}
	return next
}

// holdsBy returns the holds of the view's sessions, classed.
func (v *view) holdsBy(class func(i int, s *sess) int) []span {
	v.spanned = v.spanned[:0]
	for i, s := range v.sessions {
		v.spanned = append(v.spanned, span{s.hold, class(i, s), i})
	}
	return v.spanned
}

// pair is the one thing that two sessions of a clash tell of.
func pair(c clash) (a, b int64) {
	return int64(min(c.index, c.other)), int64(max(c.index, c.other))
}

// stationClash: on one station, the next hold starts no earlier than the last
// one's end + turnaround.
func stationClash(v *view) {
	if len(v.sessions) < 2 {
		return
	}
	st := v.j.stations[v.at]
	for _, c := range v.tooNear(v.holdsBy(func(i int, _ *sess) int { return i }), st.Turnaround) {
		at := plan.Pointer("stations", v.at, "turnaround_minutes")
		if c.short > st.Turnaround {
			at = plan.Pointer("stations", v.at)
		}
		a, b := pair(c)
		v.stopOne(verdict.StationClash(v.sessions[c.index].ID, v.sessions[c.other].ID, st.ID, c.short, st.Turnaround, at), a, b, c.index)
	}
}

// zoneClash: holds on different stations that share a zone never overlap.
func zoneClash(v *view) {
	if len(v.sessions) < 2 {
		return
	}
	for _, c := range v.tooNear(v.holdsBy(func(_ int, s *sess) int { return s.station.index }), 0) {
		s, o := v.sessions[c.index], v.sessions[c.other]
		a, b := pair(c)
		v.stopOne(verdict.ZoneClash(s.ID, o.ID, v.j.zones[v.at], s.Station, o.Station, c.short,
			plan.Pointer("stations", s.station.index, "zones")), a, b, c.index)
	}
}

// energyClash: holds that need one circuit in different states lie at least the
// changeover apart.
func energyClash(v *view) {
	if len(v.sessions) < 2 {
		return
	}
	circuit := v.j.p.Circuits[v.at]
	state := func(s *sess) plan.EnergyState {
		for _, n := range s.exercise.energy {
			if n.circuit == v.at {
				return n.state
			}
		}
		return ""
	}
	class := func(_ int, s *sess) int {
		if state(s) == plan.Live {
			return 1
		}
		return 0
	}
	for _, c := range v.tooNear(v.holdsBy(class), circuit.Changeover) {
		s, o := v.sessions[c.index], v.sessions[c.other]
		a, b := pair(c)
		v.stopOne(verdict.EnergyClash(s.ID, o.ID, circuit.ID, string(state(s)), string(state(o)), c.short, circuit.Changeover,
			plan.Pointer("circuits", v.at, "changeover_minutes")), a, b, c.index)
	}
}

// doubleBooked: nobody's times overlap, in whatever part, nor is anyone in one
// session twice; a duty may overlap a duty.
func doubleBooked(v *view) {
	if len(v.times) < 2 {
		return
	}
	who := v.j.bodies[v.at].ref
	v.spanned = v.spanned[:0]
	for i, t := range v.times {
		class := i
		if t.session == nil {
			class = -1
		} else if k := earlierOf(v.times[:i], t.session); k >= 0 {
			class = k
			v.stop(verdict.InTwice(who, t.session.ID, ""))
		}
		v.spanned = append(v.spanned, span{t.Period, class, i})
	}
	for _, c := range v.tooNear(v.spanned, 0) {
		t, o := v.times[c.index], v.times[c.other]
		if t.session == nil {
			continue // told from the session's side
		}
		a, b := pair(c)
		other, at := verdict.Say(verdict.Ref{Kind: verdict.Session, ID: idOf(o.session)}), ""
		if o.session == nil {
			other, at = verdict.Say("a duty ", o.Period), plan.Pointer(o.duty...)
		}
		v.stopOne(verdict.DoubleBooked(who, t.session.ID, t.Period, other, c.short, at), a, b, c.index)
	}
}

// earlierOf returns the first of a body's times that is of session s, −1 for
// none. Times of one session lie close together, so it looks back from the end.
func earlierOf(times []timed, s *sess) int {
	first := -1
	for i := len(times) - 1; i >= 0 && times[i].Start >= s.hold.Start; i-- {
		if times[i].session == s {
			first = i
		}
	}
	return first
}
