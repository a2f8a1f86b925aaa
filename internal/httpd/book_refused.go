package httpd

import (
	"slices"

	"rungbook/internal/booking"
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/verdict"
	"rungbook/web/page"
	"rungbook/web/ui"
)

func (v *visit) refusal(o booking.Options, r booking.Refusal, style verdict.Style) page.BookRefusal {
	s := r.Session
	out := page.BookRefusal{
		When:     v.words.Period(civil.Period{Start: s.Start, End: s.End}),
		Station:  v.stationAt(id.Station(s.Station), v.words.Zone.DayOf(s.Start)),
		Findings: ui.Together(v.findings(o.Slice, mainFirst(r.Report.At(verdict.Stops)))),
	}
	if n := r.Nearest; n != nil {
		out.Change = v.nearest(o, r, *n, style)
	}
	return out
}

// mainFirst puts first what no choice of people would mend: where the yard is shut or
// an intake is over, the rest is beside the point.
func mainFirst(list []verdict.Finding) []verdict.Finding {
	rank := func(f verdict.Finding) int {
		return map[bool]int{true: 0, false: 1}[slices.Contains([]string{"open-hours", "deadline", "station-shut"}, f.Rule)]
	}
	list = slices.Clone(list)
	slices.SortStableFunc(list, func(a, b verdict.Finding) int { return rank(a) - rank(b) })
	return list
}

// nearest makes the change that clears a refusal a form that shows it proposed.
func (v *visit) nearest(o booking.Options, r booking.Refusal, n verdict.Nearest, style verdict.Style) *ui.Change {
	s := r.Session
	if i := slices.IndexFunc(o.Offers, func(x booking.Offer) bool {
		return int64(x.Session.Start) == n.Start && x.Session.Station == n.Station
	}); i >= 0 && len(n.Leave) == 0 {
		s = o.Offers[i].Session
	}
	s.Trainees = slices.DeleteFunc(slices.Clone(s.Trainees), func(t string) bool { return slices.Contains(n.Leave, t) })
	values := proposalValues(s.Exercise, s.Station, s.Start, s.Trainees, s.Instructors, s.Rescuers, o.Seen)
	if o.Ask.Move != "" {
		values = append(values, ui.Value{Name: "session", Value: string(o.Ask.Move)})
	} else {
		values = append(values, staysAsked(o.Ask)...)
	}
	return &ui.Change{Say: capital(n.Say.In(style)), Action: "/book/proposal", Get: true, Values: values}
}
