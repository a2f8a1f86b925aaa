package httpd

import (
	"cmp"
	"fmt"
	"net/http"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/drafting"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/web"
	"rungbook/web/page"
)

// comparePage sets two drafts side by side.
func comparePage(v *visit) error {
	a, b := id.Draft(v.param("draft")), id.Draft(v.param("other"))
	c, err := v.Drafts.Compare(v.r.Context(), v.actor, a, b)
	if err != nil {
		return err
	}
	for _, d := range []drafting.Draft{c.A, c.B} {
		if !d.HasPlan {
			return fault.New(fault.Conflict, "%s, made %s, has no plan to compare.", v.draftTitle(d.Brief), v.words.Moment(d.MadeAt))
		}
	}
	over, section := draftOver(c.A.Brief)
	p := page.DraftCompare{Shell: v.page("Two drafts compared", section), Over: over, A: v.draftRow(c.A.Brief), B: v.draftRow(c.B.Brief),
		Figures: v.against(c.A, c.B), Same: capital(web.Count(c.SamePlan, "session is the same in both.", "sessions are the same in both."))}
	p.Line = "They were searched for the same problem."
	if !c.SameProblem {
		p.Line = "They were searched for different problems: other days, people or records, so that a figure may differ for that alone."
	}
	for _, d := range c.Differences {
		p.Pairs = append(p.Pairs, v.draftPair(c, d))
	}
	p.Needs = []page.DraftNeeds{needsOnly("A", c.OnlyA), needsOnly("B", c.OnlyB)}
	return v.show(http.StatusOK, page.DraftComparePage(p))
}

// against compares the figures of two drafts, less being better.
func (v *visit) against(a, b drafting.Draft) []page.DraftAgainst {
	of := func(label string, less func(drafting.Draft) int64, say func(drafting.Draft) string) page.DraftAgainst {
		out := page.DraftAgainst{Label: label, A: say(a), B: say(b)}
		switch cmp.Compare(less(a), less(b)) {
		case -1:
			out.Better = "A"
		case 1:
			out.Better = "B"
		}
		return out
	}
	last := func(d drafting.Draft) (day civil.Day) {
		for _, in := range d.Figures.Intakes {
			day = max(day, in.Last)
		}
		return day
	}
	neither := func(drafting.Draft) int64 { return 0 } // fewer is not better by itself
	return []page.DraftAgainst{
		of("Without a place", func(d drafting.Draft) int64 { return int64(len(d.Unplaced)) }, func(d drafting.Draft) string { return fmt.Sprint(len(d.Unplaced)) }),
		of("Days of all trainees", func(d drafting.Draft) int64 { return int64(d.Figures.TraineeDays) }, func(d drafting.Draft) string { return web.Number(int64(d.Figures.TraineeDays)) }),
		of("Staff hours", func(d drafting.Draft) int64 { return int64(d.Figures.StaffMinutes) }, func(d drafting.Draft) string { return web.Hours(d.Figures.StaffMinutes) + " h" }),
		of("Last day", func(d drafting.Draft) int64 { return int64(last(d)) }, func(d drafting.Draft) string { return cmp.Or(v.words.Day(last(d)), "none") }),
		of("Sessions new or changed", neither, func(d drafting.Draft) string { return fmt.Sprint(d.Figures.Sessions) }),
	}
}

// draftPair words a session that is not the same in both.
func (v *visit) draftPair(c drafting.Comparison, d drafting.Difference) page.DraftPair {
	var out page.DraftPair
	lines := func(names *planning.Slice, p drafting.Part) []string {
		s := v.proposed(names, p)
		out.Exercise = s.Exercise.Text
		return []string{s.When + ", " + s.Where, s.People}
	}
	if d.A != nil {
		out.A = lines(c.A.Slice, drafting.Part{Session: *d.A})
	}
	if d.B != nil {
		out.B = lines(c.B.Slice, drafting.Part{Session: *d.B})
	}
	return out
}

// needsOnly lists what only one of two drafts places, by exercise.
func needsOnly(side string, list []drafting.Need) page.DraftNeeds {
	out := page.DraftNeeds{Title: fmt.Sprintf("Placed only in %s (%d)", side, len(list))}
	for exercise, group := range groups(list) {
		var names []string
		for _, n := range group {
			names = append(names, n.Name)
		}
		out.Lines = append(out.Lines, exercise+": "+web.List(names))
	}
	slices.Sort(out.Lines)
	return out
}

func groups(list []drafting.Need) map[string][]drafting.Need {
	out := map[string][]drafting.Need{}
	for _, n := range list {
		out[n.Title] = append(out[n.Title], n)
	}
	return out
}
