package httpd

import (
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/booking"
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/rig"
	"rungbook/internal/verdict"
	"rungbook/internal/yardday"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// attention is what booked sessions have come to; nothing for those who may not see it.
func (v *visit) attention() (booking.Attention, error) {
	if !access.May(v.actor, access.SeeAttention) {
		return booking.Attention{}, nil
	}
	return v.Desk.Attention(v.r.Context(), v.actor)
}

// waiting lists what waits for the reader: sessions that need attention, cautions
// and limits of their fields, stations that a rule stops, clocks that run out.
func (v *visit) waiting(t yardday.Today, a booking.Attention) []page.YardWaiting {
	return slices.Concat(v.waitingSessions(a), v.waitingLimits(), v.waitingStops(t), v.waitingClocks(t))
}

func (v *visit) administrator() bool { return slices.Contains(v.actor.Roles, access.Administrator) }

func (v *visit) waitingSessions(a booking.Attention) []page.YardWaiting {
	var out []page.YardWaiting
	add := func(n int, one, many, note string) {
		if n > 0 {
			out = append(out, page.YardWaiting{Text: ui.Link{Text: web.Count(n, one, many), Href: "/attention"}, Note: note})
		}
	}
	add(len(a.Broken), "stop on booked sessions", "stops on booked sessions", "A later fact broke them.")
	mine, others := 0, 0
	for _, w := range a.Waiting {
		if slices.ContainsFunc(w.Waits, func(f verdict.Finding) bool { return access.MayAccept(v.actor, f.Field) }) {
			mine++
		} else if len(w.Waits) > 0 {
			others++
		}
	}
	add(mine, "session waits for you to accept a caution", "sessions wait for you to accept a caution", "")
	if v.administrator() {
		add(others, "session waits for others to accept a caution", "sessions wait for others to accept a caution", "Pencilled till then.")
	}
	unsigned := 0
	for _, s := range a.Unsigned {
		if v.administrator() || slices.Contains(s.Instructors, v.actor.Person) {
			unsigned++
		}
	}
	add(unsigned, "session is over and not signed", "sessions are over and not signed", "")
	return out
}

// waitingDrafts lists the drafts that were found and not decided, to those who may.
func (v *visit) waitingDrafts() ([]page.YardWaiting, error) {
	if !access.May(v.actor, access.SeeDrafts) {
		return nil, nil
	}
	list, err := v.Drafts.List(v.r.Context(), v.actor)
	var out []page.YardWaiting
	for _, d := range list {
		if d.HasPlan && d.Progress.Ended() && !decided(d.Progress.State) {
			out = append(out, page.YardWaiting{Text: ui.Link{Text: "Draft " + v.draftTitle(d) + " waits for a decision", Href: "/drafts/" + string(d.ID)}, Note: "Made " + v.words.Moment(d.MadeAt) + " by " + shortName(d.MadeBy) + "."})
		}
	}
	return out, err
}

// waitingFound lists what others made that waits for the reader's decision: versions
// of rescue plans, then drafts.
func (v *visit) waitingFound() ([]page.YardWaiting, error) {
	plans, err := v.waitingPlans()
	if err != nil {
		return nil, err
	}
	drafts, err := v.waitingDrafts()
	return append(plans, drafts...), err
}

// waitingLimits lists the fields of rule books to come and in force that are not
// confirmed: those of the reader, and all of them to an administrator.
func (v *visit) waitingLimits() []page.YardWaiting {
	var out []page.YardWaiting
	for _, b := range v.ref.RuleBooks.All(civil.LastDay) {
		for _, f := range b.Confirmed(nil, v.today) {
			link := ui.Link{Text: "Rule book from " + v.words.Day(b.From) + ": confirm " + planning.FieldName(f), Href: "/rule-book?version=" + string(b.ID)}
			switch {
			case access.MayConfirm(v.actor, f):
				out = append(out, page.YardWaiting{Text: link, Note: "Every booking in its time stops until you do."})
			case v.administrator():
				out = append(out, page.YardWaiting{Text: link, Note: "Waits for " + v.whoAccepts(f) + "."})
			}
		}
	}
	return out
}

// waitingStops lists the stations that a rule stops now, to those who may mend
// that. A station that somebody shut waits for nobody.
func (v *visit) waitingStops(t yardday.Today) []page.YardWaiting {
	if !v.administrator() && len(v.actor.Appointments) == 0 {
		return nil
	}
	var out []page.YardWaiting
	for _, r := range t.Rigs {
		for _, st := range r.Stations {
			if st.Shut != nil && st.Cause.Kind != rig.IsShut && st.Cause.Kind != rig.AfterStorm { // its rig waits, told once
				out = append(out, page.YardWaiting{Text: ui.Link{Text: v.ref.Text(st.Station.Name) + " stops", Href: "/stations/" + string(st.Station.ID)}, Note: capital(v.say(st.Cause.Short())) + "."})
			}
		}
	}
	return out
}

// waitingClocks lists inspections, kits, reviews and drills that fall due soon:
// those of the reader's fields, and all of them to an administrator.
func (v *visit) waitingClocks(t yardday.Today) []page.YardWaiting {
	var out []page.YardWaiting
	for _, d := range t.Due {
		if v.administrator() || access.Appointed(v.actor, d.Field) {
			out = append(out, page.YardWaiting{Text: ui.Link{Text: capital(v.say(d.Say())), Href: v.dueHref(t, d)}, Note: capital(v.words.Due(d.Last)) + "."})
		}
	}
	return out
}

// dueHref is where a clock can be wound up: its rig, its station, or the first
// station that needs its kit.
func (v *visit) dueHref(t yardday.Today, d rig.Due) string {
	switch d.Subject.Kind {
	case verdict.Rig:
		return "/rigs/" + d.Subject.ID
	case verdict.Station:
		return "/stations/" + d.Subject.ID
	}
	for _, r := range t.Rigs {
		for _, st := range r.Stations {
			if c := st.Station.Rescue; c != nil && c.Kit == id.Kit(d.Subject.ID) {
				return "/stations/" + string(st.Station.ID)
			}
		}
	}
	return ""
}
