package rig

import (
	"cmp"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/rulebook"
)

// DaySpan is a run of local days [From, Until) on which something may not be
// used, from the same causes throughout.
type DaySpan struct {
	From, Until civil.Day
	Causes      []Cause
}

// Closed is a period in which something may not be used, and why.
type Closed struct {
	civil.Period
	Causes []Cause
}

// NotUsable returns the spans of days in [from, until) on which a station may
// not be used, in order, without its shut periods.
func (g *Register) NotUsable(s id.Station, from, until civil.Day) []DaySpan {
	days := newDays(from, until)
	g.bookDays(days)
	for _, st := range g.stations[s] {
		days.add(st.From, st.Until, st.Value.Retired)
		g.clockDays(days, string(s), st.Value.Inspections)
		g.rigDays(days, st.Value.Rig)
		if st.Value.Rescue != nil {
			g.kitDays(days, st.Value.Rescue.Kit)
		}
	}
	g.planDays(days, s)
	return merge(days, func(d civil.Day) []Cause { return g.Station(s, d) })
}

// KitNotUsable returns the spans of days in [from, until) on which a kit may not
// be used, in order.
func (g *Register) KitNotUsable(k id.Kit, from, until civil.Day) []DaySpan {
	days := newDays(from, until)
	g.bookDays(days)
	g.kitDays(days, k)
	return merge(days, func(d civil.Day) []Cause { return g.Kit(k, d) })
}

// Closed returns the periods within the local days [from, until) in which a
// station may not be used: spans of days, shut periods, quarantines and storms, by start.
// They may overlap. A shut period is cut at the horizon; its cause keeps its own ends.
func (g *Register) Closed(s id.Station, from, until civil.Day) []Closed {
	horizon := civil.Period{Start: g.zone.StartOfDay(from), End: g.zone.StartOfDay(until)}
	out := g.Periods(g.NotUsable(s, from, until))
	for _, c := range g.ShutIn(s, horizon) {
		p := civil.Period{Start: max(c.Start, horizon.Start), End: horizon.End}
		if c.End != 0 {
			p.End = min(c.End, horizon.End)
		}
		out = append(out, Closed{p, []Cause{c}})
	}
	for _, c := range append(g.QuarantinedIn(s, horizon), g.StormsIn(s, horizon)...) {
		p := civil.Period{Start: max(c.Start, horizon.Start), End: horizon.End}
		if end := g.end(c); end != 0 {
			p.End = min(end, horizon.End)
		}
		out = append(out, Closed{p, []Cause{c}})
	}
	slices.SortStableFunc(out, func(a, b Closed) int {
		return cmp.Or(cmp.Compare(a.Start, b.Start), cmp.Compare(a.End, b.End))
	})
	return out
}

// Periods turns spans of local days into periods of the yard's zone.
func (g *Register) Periods(spans []DaySpan) []Closed {
	out := make([]Closed, 0, len(spans))
	for _, s := range spans {
		out = append(out, Closed{civil.Period{Start: g.zone.StartOfDay(s.From), End: g.zone.StartOfDay(s.Until)}, s.Causes})
	}
	return out
}

// days collects the days in [from, until) on which an answer may change, so that
// a horizon is asked there only and not day by day.
type days struct {
	from, until civil.Day
	at          []civil.Day
}

func newDays(from, until civil.Day) *days { return &days{from: from, until: until} }

func (d *days) add(list ...civil.Day) {
	for _, day := range list {
		if d.from < day && day < d.until {
			d.at = append(d.at, day)
		}
	}
}

type daySpan struct{ from, until civil.Day }

func (d *days) spans() []daySpan {
	if d.from >= d.until {
		return nil
	}
	at := append([]civil.Day{d.from}, d.at...)
	slices.Sort(at)
	at = slices.Compact(at)
	out := make([]daySpan, len(at))
	for i, day := range at {
		out[i] = daySpan{day, d.until}
		if i+1 < len(at) {
			out[i].until = at[i+1]
		}
	}
	return out
}

// merge asks at each change and joins neighbours with equal causes.
func merge(d *days, causes func(civil.Day) []Cause) []DaySpan {
	var out []DaySpan
	for _, span := range d.spans() {
		found := causes(span.from)
		if len(found) == 0 {
			continue
		}
		if n := len(out); n > 0 && out[n-1].Until == span.from && slices.Equal(out[n-1].Causes, found) {
			out[n-1].Until = span.until
			continue
		}
		out = append(out, DaySpan{span.from, span.until, found})
	}
	return out
}

func (g *Register) bookDays(d *days) {
	for _, b := range g.books {
		d.add(b.From)
	}
}

func (g *Register) rigDays(d *days, r id.Rig) {
	g.evidenceDays(d, r)
	for _, s := range g.rigs[r] {
		d.add(s.From, s.Until)
		g.clockDays(d, string(r), s.Value.Inspections)
	}
}

func (g *Register) kitDays(d *days, k id.Kit) {
	for _, s := range g.kits[k] {
		d.add(s.From, s.Until)
		d.add(s.Value.Retired)
		if s.Value.LastValid != 0 {
			d.add(s.Value.LastValid + 1)
		}
		g.clockDays(d, string(k), s.Value.Inspections)
	}
	g.itemDays(d, k)
}

// clockDays adds the days of inspections and those on which they run out. Of
// inspections before the horizon only the last passed one can still matter.
func (g *Register) clockDays(d *days, subject string, lines []string) {
	for _, line := range g.inspected[subject] {
		key := clockKey{subject, line}
		if !slices.Contains(lines, line) {
			for _, i := range g.inspections[key] {
				d.add(i.Done)
			}
			continue
		}
		for _, i := range slices.Backward(g.inspections[key]) {
			d.add(i.Done)
			if !i.Passed {
				continue
			}
			for _, b := range g.books {
				if l, ok := g.interval(key, b); ok {
					d.add(lastValid(i.Done, l) + 1)
				}
			}
			if i.Done <= d.from {
				break
			}
		}
	}
}

func (g *Register) planDays(d *days, s id.Station) {
	for _, p := range g.planOf[s] {
		for _, v := range g.plans[p] {
			d.add(v.InForce, v.Withdrawn)
			if v.ReviewBy != 0 {
				d.add(v.ReviewBy + 1)
			}
		}
		for _, drill := range g.refused[p] {
			d.add(drill.Day)
		}
		for _, drill := range slices.Backward(g.drills[p]) {
			d.add(drill.Day)
			for _, b := range g.books {
				if l, ok := b.Strictest(rulebook.DrillAge); ok {
					d.add(drill.Day.AddMonths(int(l.Value)) + 1)
				}
			}
			if drill.Day <= d.from {
				break
			}
		}
	}
}
