package rig

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/rulebook"
)

// Approved reports whether somebody other than the author approved the version.
// A version that is not approved counts nowhere.
func (p RescuePlan) Approved() bool { return p.ApprovedBy != "" && p.ApprovedBy != p.Author }

// current returns the version of a plan that stands on a day: the highest
// approved one that has begun. It stands even if it has lapsed or was withdrawn,
// so that an older version never comes back in its place.
func (g *Register) current(p id.RescuePlan, d civil.Day) (RescuePlan, bool) {
	for _, version := range slices.Backward(g.plans[p]) {
		if version.Approved() && version.InForce != 0 && version.InForce <= d {
			return version, true
		}
	}
	return RescuePlan{}, false
}

// ended returns why a version is not in force on a day, and since when.
func (p RescuePlan) ended(d civil.Day) (kind CauseKind, since civil.Day) {
	switch {
	case p.Withdrawn != 0 && p.Withdrawn <= d:
		return RescuePlanWithdrawn, p.Withdrawn
	case p.ReviewBy == 0:
		return NotStated, 0
	case p.ReviewBy < d:
		return RescuePlanLapsed, p.ReviewBy + 1
	}
	return "", 0
}

// RescueInForce returns the rescue plan version in force for a station on a
// local day. Where several plans cover it, the one that began last counts.
func (g *Register) RescueInForce(s id.Station, d civil.Day) (RescuePlan, bool) {
	var best RescuePlan
	found := false
	for _, p := range g.planOf[s] {
		v, ok := g.current(p, d)
		if !ok || !slices.Contains(v.Stations, s) {
			continue
		}
		if kind, _ := v.ended(d); kind == "" && (!found || v.InForce > best.InForce) {
			best, found = v, true
		}
	}
	return best, found
}

// rescue judges the rescue plan, its drill and the rescue kit of a station.
func (g *Register) rescue(st Station, d civil.Day, book rulebook.Version) []Cause {
	var causes []Cause
	if plan, ok := g.RescueInForce(st.ID, d); ok {
		if c, bad := g.drill(st.ID, plan, d, book); bad {
			causes = append(causes, c)
		}
	} else {
		causes = append(causes, g.noPlan(st.ID, d))
	}
	if st.Rescue != nil && st.Rescue.Kit != "" {
		causes = append(causes, g.kit(st.Rescue.Kit, d, book)...)
	}
	return causes
}

// noPlan says why no plan is in force: the one that ended last, if any did.
func (g *Register) noPlan(s id.Station, d civil.Day) Cause {
	c := Cause{Kind: NoRescuePlan, Subject: stationRef(s)}
	for _, p := range g.planOf[s] {
		v, ok := g.current(p, d)
		if !ok || !slices.Contains(v.Stations, s) {
			continue
		}
		kind, since := v.ended(d)
		if c.Kind != NoRescuePlan && since <= c.Since {
			continue
		}
		c.Kind, c.Since, c.Plan = kind, since, p
		c.Missing = ""
		if kind == NotStated {
			c.Missing = MissingReview
		}
	}
	return c
}

// LastDrill returns the last accepted drill under any version of a plan, done by
// the end of a day.
func (g *Register) LastDrill(p id.RescuePlan, d civil.Day) (Drill, bool) {
	for _, drill := range slices.Backward(g.drills[p]) {
		if drill.Day <= d {
			return drill, true
		}
	}
	return Drill{}, false
}

// drill judges a plan's last drill: one that was not accepted shows that the plan
// does not bring a casualty down, whatever went well before; and where the rule book
// limits them, its time to a safe place and its age. A version that says in how many
// minutes a casualty is at a safe place is held to its own word too.
func (g *Register) drill(s id.Station, plan RescuePlan, d civil.Day, book rulebook.Version) (Cause, bool) {
	last, ok := g.LastDrill(plan.ID, d)
	if refused, bad := g.refusedSince(plan.ID, last, d); bad {
		return Cause{Kind: DrillFailed, Subject: stationRef(s), Plan: plan.ID, Since: refused.Day}, true
	}
	if slow, limited := book.Strictest(rulebook.DrillMinutes); ok && limited && int64(last.Minutes) > slow.Value {
		return Cause{Kind: DrillSlow, Subject: stationRef(s), Plan: plan.ID, Line: slow.ID, Since: last.Day}, true
	}
	if ok && plan.TooSlow(last) {
		return Cause{Kind: DrillSlow, Subject: stationRef(s), Plan: plan.ID, Version: plan.Version, Since: last.Day}, true
	}
	line, limited := book.Strictest(rulebook.DrillAge)
	if !limited {
		return Cause{}, false
	}
	if !ok {
		return Cause{Kind: DrillMissing, Subject: stationRef(s), Plan: plan.ID, Line: line.ID}, true
	}
	if until := last.Day.AddMonths(int(line.Value)); until < d {
		return Cause{Kind: DrillOverdue, Subject: stationRef(s), Plan: plan.ID, Line: line.ID, Since: until + 1}, true
	}
	return Cause{}, false
}

// refusedSince returns the first drill of a plan that was not accepted, done by the
// end of a day and after its last accepted one (the zero value for none). Of two of
// one day the later moment counts; where one is not known, the refused one does.
func (g *Register) refusedSince(p id.RescuePlan, last Drill, d civil.Day) (Drill, bool) {
	for _, x := range g.refused[p] {
		before := x.Day < last.Day || x.Day == last.Day && x.At != 0 && last.At != 0 && x.At < last.At
		if !before && x.Day <= d {
			return x, true
		}
	}
	return Drill{}, false
}

// PlanSpan is a rescue plan version and the days on which it is in force for a
// station: [From, Until).
type PlanSpan struct {
	From, Until civil.Day
	Plan        RescuePlan
}

// RescuePlans returns which version is in force for a station over the days
// [from, until), in order. Days without one are left out.
func (g *Register) RescuePlans(s id.Station, from, until civil.Day) []PlanSpan {
	days := newDays(from, until)
	g.planDays(days, s)
	var out []PlanSpan
	for _, span := range days.spans() {
		plan, ok := g.RescueInForce(s, span.from)
		if !ok {
			continue
		}
		if n := len(out); n > 0 && out[n-1].Until == span.from && out[n-1].Plan.ID == plan.ID && out[n-1].Plan.Version == plan.Version {
			out[n-1].Until = span.until
			continue
		}
		out = append(out, PlanSpan{span.from, span.until, plan})
	}
	return out
}

// PlanInForce returns the version of a plan that is in force on a day.
func (g *Register) PlanInForce(p id.RescuePlan, d civil.Day) (RescuePlan, bool) {
	v, ok := g.current(p, d)
	if !ok {
		return RescuePlan{}, false
	}
	kind, _ := v.ended(d)
	return v, kind == ""
}
