package httpd

import (
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
	if err := v.warnOfBackups(); err != nil {
		return err
	}
	if err := v.warnOfIncidents(); err != nil {
		return err
	}
	for _, note := range []func() error{v.noteOfComplaints, v.noteOfReports, v.noteOfProposals} {
		if err := note(); err != nil {
			return err
		}
	}
	p := page.Attention{Shell: v.page("Needs attention", "attention")}
	p.Notices, p.Shell.Notices = p.Shell.Notices, nil // they are of what this page is for: its heading comes first
	if v.mayOpen("mend") {
		p.Mend = ui.Link{Text: "Mend", Href: "/mend"}
	}
	for _, b := range a.Broken {
		shown := page.AttentionBroken{Finding: v.finding(b.Slice, b.Finding, nil)}
		for _, s := range b.Sessions {
			shown.Sessions = append(shown.Sessions, v.attentionSession(a, s, v.moveStep(s)))
		}
		p.Broken = append(p.Broken, shown)
	}
	p.Waiting = v.attentionFields(a)
	if p.Rescue, err = v.attentionRescue(); err != nil {
		return err
	}
	if p.Dossiers, err = v.attentionDossiers(); err != nil {
		return err
	}
	for _, s := range a.Unsigned {
		p.Unsigned = append(p.Unsigned, v.attentionSession(a, s, ui.Link{Text: "Open", Href: "/sessions/" + string(s.ID)}))
	}
	for _, s := range a.Shifted {
		p.Shifted = append(p.Shifted, v.attentionSession(a, s, v.moveStep(s)))
	}
	if p.Again, err = v.attentionAgain(a); err != nil {
		return err
	}
	p.Finding = attentionFinding(a, p)
	p.Shell.TakeOut, p.Shell.AlsoOut = v.takeOut("attention"), []ui.TakeOut{v.alsoOut("due")}
	return v.show(http.StatusOK, page.AttentionPage(p))
}

// attentionFinding counts what the page lists. What stands below it in a notice is
// never nothing.
func attentionFinding(a booking.Attention, p page.Attention) string {
	var parts, out []string
	add := func(n int, one, many string) {
		if n > 0 {
			parts = append(parts, web.Count(n, one, many))
		}
	}
	add(len(a.Broken), "stop on booked sessions", "stops on booked sessions")
	add(len(a.Waiting), "session pencilled", "sessions pencilled")
	add(len(a.Unsigned), "session over and not signed", "sessions over and not signed")
	add(len(a.Shifted), "session whose local time has changed", "sessions whose local time has changed")
	if len(parts) > 0 {
		out = append(out, web.List(parts)+".")
	}
	say := func(n int, one, many, what string) {
		if n > 0 {
			out = append(out, capital(web.Count(n, one, many))+what)
		}
	}
	say(len(p.Rescue), "rescue plan is", "rescue plans are", " to be looked at.")
	say(len(p.Dossiers), "dossier asks", "dossiers ask", " for something.")
	say(len(p.Again), "session", "sessions", " left somebody waiting for another time.")
	switch {
	case len(out) > 0:
		return strings.Join(out, " ")
	case len(p.Notices) > 0:
		return "Only what stands right below."
	}
	return "Nothing needs attention."
}

// moveStep leads to another time for a session; to the session itself for those
// who may not move it.
func (v *visit) moveStep(s session.Session) ui.Link {
	here := "/sessions/" + string(s.ID)
	if access.May(v.actor, access.MoveSession) {
		return ui.Link{Text: "Move", Href: here + "/move"}
	}
	return ui.Link{Text: "Open", Href: here}
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
				group.Sessions = append(group.Sessions, v.attentionWaits(a, w.Session, why))
			}
		}
		if len(group.Sessions) > 0 {
			out = append(out, group)
		}
	}
	free := page.AttentionField{Name: "Waits for nobody", Who: "Every caution is accepted; each is still to be booked."}
	for _, w := range a.Waiting {
		if len(w.Waits) == 0 {
			free.Sessions = append(free.Sessions, v.attentionWaits(a, w.Session, nil))
		}
	}
	if len(free.Sessions) > 0 {
		out = append(out, free)
	}
	return out
}

// attentionWaits is a pencilled session with what keeps it so.
func (v *visit) attentionWaits(a booking.Attention, s session.Session, why []string) page.AttentionSession {
	out := v.attentionSession(a, s, ui.Link{Text: "Open", Href: "/sessions/" + string(s.ID)})
	out.Why = why
	if s.Start <= v.now {
		out.Why = append([]string{"Not to start: its time has come and it is only pencilled."}, why...)
	}
	return out
}
