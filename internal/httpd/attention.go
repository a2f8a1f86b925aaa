package httpd

import (
	"fmt"
	"net/http"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/booking"
	"rungbook/internal/planning"
	"rungbook/internal/session"
	"rungbook/internal/verdict"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

func attentionPage(v *visit) error {
	a, err := v.Desk.Attention(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	p := page.Attention{Shell: v.page("Needs attention", "attention"), Finding: attentionFinding(a)}
	for _, b := range a.Broken {
		shown := page.AttentionBroken{Finding: v.finding(b.Slice, b.Finding, nil)}
		for _, s := range b.Sessions {
			shown.Sessions = append(shown.Sessions, v.attentionSession(a, s, ui.Link{Text: "Move", Href: "/sessions/" + string(s.ID) + "/move"}))
		}
		p.Broken = append(p.Broken, shown)
	}
	p.Waiting = v.attentionFields(a)
	for _, s := range a.Unsigned {
		p.Unsigned = append(p.Unsigned, v.attentionSession(a, s, ui.Link{Text: "Open", Href: "/sessions/" + string(s.ID)}))
	}
	for _, s := range a.Shifted {
		p.Shifted = append(p.Shifted, v.attentionSession(a, s, ui.Link{Text: "Move", Href: "/sessions/" + string(s.ID) + "/move"}))
	}
	return v.show(http.StatusOK, page.AttentionPage(p))
}

func attentionFinding(a booking.Attention) string {
	n := len(a.Broken) + len(a.Waiting) + len(a.Unsigned) + len(a.Shifted)
	if n == 0 {
		return "Nothing needs attention."
	}
	return fmt.Sprintf("%s, %s to be accepted, %s not signed.",
		web.Count(len(a.Broken), "stop", "stops"), web.Count(len(a.Waiting), "session waits", "sessions wait"), web.Count(len(a.Unsigned), "session is", "sessions are"))
}

func (v *visit) attentionSession(a booking.Attention, s session.Session, step ui.Link) page.AttentionSession {
	out := page.AttentionSession{
		When: v.span(s), Exercise: v.sessionLink(s), Where: v.stationAt(s.Station, v.words.Zone.DayOf(s.Start)).Text,
		People: web.Count(len(s.Trainees), "trainee", "trainees"), State: stateWords(s.State), Step: step,
	}
	var names []string
	for _, p := range s.Instructors {
		names = append(names, shortName(v.ref.StaffName(p)))
	}
	if len(names) > 0 {
		out.People += " with " + strings.Join(names, ", ")
	}
	return out
}

func (v *visit) attentionFields(a booking.Attention) []page.AttentionField {
	var out []page.AttentionField
	for _, f := range append(verdict.Fields(), verdict.Planning) {
		group := page.AttentionField{Name: capital(planning.FieldName(f)), Who: capital(v.whoAccepts(f)), Yours: access.MayAccept(v.actor, f)}
		for _, w := range a.Waiting {
			var why []string
			for _, x := range w.Waits {
				if x.Field == f {
					why = append(why, capital(x.Found.In(v.styleOf(a.Slice))))
				}
			}
			if len(why) > 0 {
				s := v.attentionSession(a, w.Session, ui.Link{Text: "Open", Href: "/sessions/" + string(w.Session.ID)})
				s.Why = why
				group.Sessions = append(group.Sessions, s)
			}
		}
		if len(group.Sessions) > 0 {
			out = append(out, group)
		}
	}
	return out
}
