package rig

import (
	"cmp"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/rulebook"
	"rungbook/internal/verdict"
)

// StormLine is the rule-book line of the inspection after a storm. No record names
// it: every rig outdoors needs it, once a storm has passed.
const StormLine = "inspection.storm"

// stormGust stands in where a rule book has no line of a storm, in tenths of a metre
// per second: common practice, no source, just below a gale.
const stormGust = 170

// StormFrom returns the gust from which rigs outdoors are inspected, in tenths of a
// metre per second at 10 m above the ground; stated is false where no rule book in
// force holds it and a value on the safe side stands in.
func StormFrom(book rulebook.Version, inForce bool) (gust int64, stated bool) {
	if line, ok := book.Strictest(rulebook.StormGust); inForce && ok {
		return line.Value, true
	}
	return stormGust, false
}

// Blow is wind that blew over the yard: a reading, or a storm that somebody told of
// afterwards.
type Blow struct {
	From, Until civil.Instant // of a reading the same moment
	Gust        int64         // tenths of a metre per second at 10 m; 0 = not read
	Told        bool          // told as a storm, which it is whatever its gust
}

// storm is a time in which a rig waited for its inspection after one or several
// storms: from the first until one passed after the last. End 0 = it still waits.
type storm struct {
	civil.Period
	gust int64
}

// addStorms works out when each rig outdoors waited for its inspection after a storm.
// What blew on a day is judged by the rule book of that day.
func (g *Register) addStorms(r Records) {
	blows := slices.DeleteFunc(slices.Clone(r.Blows), func(b Blow) bool {
		least, _ := StormFrom(g.book(g.zone.DayOf(b.Until)))
		return !b.Told && b.Gust < least
	})
	slices.SortStableFunc(blows, func(a, b Blow) int { return cmp.Compare(a.From, b.From) })
	for of := range g.rigs {
		if waits := g.stormsOf(of, blows); len(waits) > 0 {
			g.storms[of] = waits
		}
	}
}

func (g *Register) stormsOf(of id.Rig, blows []Blow) []storm {
	passes := g.stormPasses(of)
	var out []storm
	var last civil.Instant // when the last storm of the wait under way was over
	for _, b := range blows {
		if !g.OutdoorRig(of, g.zone.DayOf(b.Until)) {
			continue
		}
		if n := len(out); n > 0 && (out[n-1].End == 0 || b.From < out[n-1].End) {
			last = max(last, b.Until)
			out[n-1].gust = max(out[n-1].gust, b.Gust)
		} else {
			last = b.Until
			out = append(out, storm{civil.Period{Start: b.From}, b.Gust})
		}
		out[len(out)-1].End = firstAfter(passes, last)
	}
	return out
}

// firstAfter returns the first moment after another, 0 where there is none.
func firstAfter(sorted []civil.Instant, t civil.Instant) civil.Instant {
	for _, p := range sorted {
		if p > t {
			return p
		}
	}
	return 0
}

// stormPasses returns the moments at which inspections after a storm passed. One
// whose time is not recorded counts from the end of its day: that it was done after
// the storm, and not before, was not stated.
func (g *Register) stormPasses(of id.Rig) []civil.Instant {
	var out []civil.Instant
	for _, i := range g.inspections[clockKey{string(of), StormLine}] {
		switch {
		case !i.Passed:
		case i.At != 0:
			out = append(out, i.At)
		default:
			out = append(out, g.zone.StartOfDay(i.Done+1))
		}
	}
	slices.Sort(out)
	return out
}

// OutdoorRig reports whether a storm counts for a rig on a day.
func (g *Register) OutdoorRig(of id.Rig, d civil.Day) bool {
	r, ok := g.RigOn(of, d)
	if !ok {
		return false
	}
	var stations []Station
	for s := range g.stations {
		if st, ok := g.StationOn(s, d); ok {
			stations = append(stations, st)
		}
	}
	return OutdoorRig(r, stations)
}

// StormsOf returns the waits of a rig for its inspection after a storm that overlap a
// period, as causes.
func (g *Register) StormsOf(of id.Rig, p civil.Period) []Cause {
	var out []Cause
	for _, s := range g.storms[of] {
		if s.Start < p.End && (s.End == 0 || p.Start < s.End) {
			out = append(out, Cause{Kind: AfterStorm, Subject: rigRef(of), Line: StormLine, Start: s.Start, End: s.End, Gust: s.gust})
		}
	}
	return out
}

// StormsIn returns those of a station: of the rigs it stood on in the period.
func (g *Register) StormsIn(s id.Station, p civil.Period) []Cause {
	var out []Cause
	for _, of := range g.kept(s, g.zone.DayOf(p.Start), g.zone.DayOf(p.End-1)+1) {
		if of.Kind == verdict.Rig {
			out = append(out, g.StormsOf(id.Rig(of.ID), p)...)
		}
	}
	return out
}

// RigAt returns the causes for which no station of a rig may be used at a moment:
// those of the day, its quarantines and storms.
func (g *Register) RigAt(of id.Rig, at civil.Instant) []Cause {
	out := append(g.Rig(of, g.zone.DayOf(at)), g.Quarantined(rigRef(of), at)...)
	return append(out, g.StormsOf(of, civil.Period{Start: at, End: at + 1})...)
}
