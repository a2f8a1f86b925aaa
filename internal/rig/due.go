package rig

import (
	"cmp"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/rulebook"
	"rungbook/internal/verdict"
)

// DueKind is what runs out; a closed list.
type DueKind string

// The kinds.
const (
	DueInspection DueKind = "inspection"
	DueKit        DueKind = "kit"
	DueReview     DueKind = "rescue-plan-review"
	DueDrill      DueKind = "drill"
)

// Due is a clock of a station that still runs, and its last good day.
type Due struct {
	Kind    DueKind
	Subject verdict.Ref   // rig, station or kit; of a review and a drill the station
	Line    string        // rule-book line, of inspections and drills
	Plan    id.RescuePlan // of reviews and drills
	Last    civil.Day     // last day on which the station may be used by this clock
	Notice  int           // days of notice the rule book asks for; 0 = none
	Field   verdict.Field // whose responsible person may accept the caution
}

// Soon reports whether the clock runs out within its notice: on the day that
// lies Notice days before Last, and after it.
func (u Due) Soon(d civil.Day) bool { return u.Notice > 0 && int(u.Last-d) <= u.Notice }

// reviewAhead is how many days before its review a rescue plan is listed as due, so that
// the next version can be written and approved: common practice, no source.
const reviewAhead = 30

// Listed reports whether the clock is listed as due: within its notice, and of a review
// while there is time to write the next version.
func (u Due) Listed(d civil.Day) bool {
	return u.Soon(d) || u.Kind == DueReview && u.Last-d <= reviewAhead
}

// Say returns what is due and by when: "inspection of deck 2 is due by 3 May
// (ladder)".
func (u Due) Say() verdict.Text {
	what := Cause{Line: u.Line}.what()
	switch u.Kind {
	case DueReview:
		return verdict.Say("review of rescue plan ", planRef(u.Plan), " for ", u.Subject, " is due by ", u.Last)
	case DueDrill:
		return verdict.Say("drill of rescue plan ", planRef(u.Plan), " for ", u.Subject, " is due by ", u.Last)
	case DueKit:
		return verdict.Say(u.Subject, " is valid through ", u.Last)
	default:
		return verdict.Say("inspection of ", u.Subject, " is due by ", u.Last, what)
	}
}

// Brief returns what is due without the name of its thing, for a place where the reader
// sees that already: "inspection due by 3 May (ladder)".
func (u Due) Brief() verdict.Text {
	switch u.Kind {
	case DueReview:
		return verdict.Say("review of the rescue plan due by ", u.Last)
	case DueDrill:
		return verdict.Say("rescue drill due by ", u.Last)
	case DueKit:
		return verdict.Say("valid through ", u.Last)
	default:
		return verdict.Say("inspection due by ", u.Last, Cause{Line: u.Line}.what())
	}
}

// Due returns the clocks of a station that run on a day, the earliest first. A
// clock that has run out already is not among them; Station has its cause.
func (g *Register) Due(s id.Station, d civil.Day) []Due {
	st, ok := g.StationOn(s, d)
	book, inForce := g.book(d)
	if !ok || !inForce {
		return nil
	}
	out := g.dueClocks(stationRef(s), string(s), st.Inspections, d, book)
	if r, ok := g.RigOn(st.Rig, d); ok {
		out = append(out, g.dueClocks(rigRef(r.ID), string(r.ID), r.Inspections, d, book)...)
	}
	if st.Rescue != nil && st.Rescue.Kit != "" {
		out = append(out, g.DueOfKit(st.Rescue.Kit, d)...)
	}
	if st.AsksForRescue() {
		out = append(out, g.dueRescue(s, d, book)...)
	}
	slices.SortStableFunc(out, func(a, b Due) int { return cmp.Compare(a.Last, b.Last) })
	return out
}

// DueOfKit returns the clocks of a kit that run on a day.
func (g *Register) DueOfKit(k id.Kit, d civil.Day) []Due {
	kit, ok := g.KitOn(k, d)
	book, inForce := g.book(d)
	if !ok || !inForce {
		return nil
	}
	out := g.dueClocks(kitRef(k), string(k), kit.Inspections, d, book)
	if kit.LastValid >= d {
		notice := notice(book, rulebook.KitNotice)
		out = append(out, Due{Kind: DueKit, Subject: kitRef(k), Last: kit.LastValid, Notice: notice, Field: verdict.HeightRescue})
	}
	return out
}

// DueOfItem returns the clocks of an item that run on a day: its inspections, and
// its last day.
func (g *Register) DueOfItem(i id.Item, d civil.Day) []Due {
	item, ok := g.ItemOn(i, d)
	book, inForce := g.book(d)
	if !ok || !inForce {
		return nil
	}
	out := g.dueClocks(itemRef(i), string(i), item.Inspections, d, book)
	if last, _, stated := item.LastDay(book); stated && d <= last && last < civil.LastDay {
		out = append(out, Due{Kind: DueKit, Subject: itemRef(i), Last: last, Notice: notice(book, rulebook.KitNotice), Field: verdict.HeightRescue})
	}
	return out
}

func (g *Register) dueClocks(ref verdict.Ref, subject string, lines []string, d civil.Day, book rulebook.Version) []Due {
	var out []Due
	for _, lineID := range lines {
		key := clockKey{subject, lineID}
		if _, bad := g.clock(ref, key, d, book); bad {
			continue
		}
		line, _ := g.interval(key, book)
		pass, _ := lastInspection(g.inspections[key], d)
		out = append(out, Due{Kind: DueInspection, Subject: ref, Line: line.ID, Last: lastValid(pass, line), Notice: notice(book, rulebook.InspectionNotice), Field: line.Field})
	}
	return out
}

func (g *Register) dueRescue(s id.Station, d civil.Day, book rulebook.Version) []Due {
	plan, ok := g.RescueInForce(s, d)
	if !ok {
		return nil
	}
	due := Due{Kind: DueReview, Subject: stationRef(s), Plan: plan.ID, Last: plan.ReviewBy, Notice: notice(book, rulebook.PlanNotice), Field: verdict.HeightRescue}
	if plan.Withdrawn != 0 {
		due.Last = min(due.Last, plan.Withdrawn-1)
	}
	out := []Due{due}
	line, limited := book.Strictest(rulebook.DrillAge)
	drill, drilled := g.LastDrill(plan.ID, d)
	if limited && drilled {
		if last := drill.Day.AddMonths(int(line.Value)); last >= d {
			due.Kind, due.Line, due.Last = DueDrill, line.ID, last
			out = append(out, due)
		}
	}
	return out
}

func notice(book rulebook.Version, q rulebook.Quantity) int {
	line, _ := book.Strictest(q)
	return int(line.Value)
}
