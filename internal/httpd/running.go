package httpd

import (
	"context"
	"fmt"
	"net/http"
	"net/url"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/booking"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/running"
	"rungbook/internal/session"
	"rungbook/internal/verdict"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// runningPage is a session at the rig, on a phone.
func runningPage(v *visit) error {
	shown, err := v.Running.Show(v.r.Context(), v.actor, v.runID())
	if err != nil {
		return err
	}
	return v.running(http.StatusOK, shown, ran{})
}

func (v *visit) runID() id.Session { return id.Session(v.param("session")) }

// ran is a form of the page that was sent and refused.
type ran struct {
	refused string
	form    string // "roll", "swap", "pause" or "end"
	values  url.Values
	bad     fault.Fields
}

func (v *visit) running(status int, shown running.Shown, sent ran) error {
	s := shown.Session
	name := v.sessionLink(s)
	p := page.Running{
		Shell: v.page(name.Text+" at the rig", "yard"), Title: name.Text, Over: ui.Link{Text: "My day", Href: "/yard"}, Refused: sent.refused,
		Line:  v.words.Times(civil.Period{Start: s.Start, End: s.End}) + " · " + v.ref.Text(shown.Station.Name) + ", " + v.ref.Text(shown.Rig.Name),
		State: v.stateOf(s), Since: v.since(s), Queue: string(s.ID), Unseen: v.unseen(shown),
	}
	p.Shell.Phone = v.phone(v.atTheRig(s)...)
	p.Trial = trialSay(s)
	style := v.styleOf(shown.Slice)
	for _, g := range shown.Gates {
		p.Stands = addGate(p.Stands, g, g.Holds, style)
	}
	for _, g := range running.Shut(shown.Gates, s.State) {
		if s.State.ToRun() || s.State == session.UnderWay && !s.Ended() {
			p.Shut = addGate(p.Shut, g, true, style)
		}
		if s.State == session.UnderWay && !s.Ended() && (!s.Paused() || s.LastPause().Why == session.PauseFellAway) {
			p.Stop = append(p.Stop, capital(g.Found.In(style)))
		}
	}
	if access.May(v.actor, access.RunSession) {
		v.runDo(&p, shown, sent)
	}
	if p.Figures, p.Counted = v.runFigures(shown), "As run now"; len(shown.Attendance.Presences) == 0 {
		p.Counted = "As booked: the roll is not called"
	}
	if s.State == session.UnderWay && access.May(v.actor, access.RunSession) {
		p.Also = append(p.Also, ui.Link{Text: "Results and signature", Href: "/yard/sessions/" + string(s.ID) + "/sign"})
	}
	if s.State == session.Booked && s.End <= v.now && access.May(v.actor, access.RunSession) {
		p.Also = append(p.Also, ui.Link{Text: "Type up its day sheet", Href: "/yard/sessions/" + string(s.ID) + "/type-up"})
	}
	if booking.Waiting(s) && access.May(v.actor, access.StandDown) {
		p.Also = append(p.Also, ui.Link{Text: "Stand down…", Href: name.Href + "/stand-down"})
	}
	p.Also = append(p.Also, ui.Link{Text: "The session’s page", Href: name.Href}, ui.Link{Text: "Rescue card", Href: name.Href + "/rescue-card"})
	return v.show(status, page.RunningPage(p))
}

func addGate(list []page.RunGate, g running.Gate, when bool, style verdict.Style) []page.RunGate {
	if !when {
		return list
	}
	out := page.RunGate{Text: capital(g.Found.In(style)), Required: g.Required.In(style)}
	if g.Mend != "" {
		out.Mend = ui.Link{Text: g.Do, Href: g.Mend}
		if g.Do == "" {
			out.Mend.Text = "Open it"
		}
	}
	return append(list, out)
}

// stateOf is the state in words; a pause is told with it.
func (v *visit) stateOf(s session.Session) string {
	if s.Paused() {
		return "paused"
	}
	return stateWords(s.State)
}

func (v *visit) since(s session.Session) string {
	switch {
	case s.Run == nil:
		return ""
	case s.Ended():
		return v.words.Times(civil.Period{Start: s.Run.Began, End: s.Run.Ended}) + ", ended"
	case s.Paused():
		last := s.LastPause()
		return "since " + v.words.Clock(last.Start) + ": " + pauseWords(last)
	case s.State == session.UnderWay:
		return "since " + v.words.Clock(s.Run.Began)
	}
	return ""
}

// pauseWords says why nobody works, and of a pause that the program saw what fell away.
func pauseWords(p session.Pause) string {
	out := strings.ReplaceAll(string(p.Why), "-", " ")
	for i, gate := range p.Fell {
		sep := ", "
		if i == 0 {
			sep = " ("
		}
		out += sep + strings.ReplaceAll(gate, "-", " ")
	}
	if len(p.Fell) > 0 {
		out += ")"
	}
	return out
}

// runFigures are the numbers of those who are here, beside what is asked.
func (v *visit) runFigures(shown running.Shown) []page.SessionFigure {
	f := shown.Figures
	if !shown.Counted {
		return nil
	}
	row := func(what string, found, asked int) page.SessionFigure {
		return page.SessionFigure{What: what, Found: fmt.Sprint(found), Asked: fmt.Sprint(asked)}
	}
	out := []page.SessionFigure{{What: placesWord(f), Found: fmt.Sprint(f.Trainees + f.Others), Asked: fmt.Sprintf("at most %d", f.Places)},
		row(fmt.Sprintf("Instructors, 1 to %d", f.Ratio), f.Instructors, f.InstructorsAsked)}
	if f.Rescue {
		out = append(out, row("Rescuers", f.Rescuers, f.RescuersAsked))
	}
	if f.StandbyAsked > 0 {
		out = append(out, row("of them standby", f.Standby, f.StandbyAsked))
	}
	if f.FirstAidersAsked > 0 {
		out = append(out, row("First aiders", f.FirstAiders, f.FirstAidersAsked))
	}
	if f.StaffAsked > 0 {
		out = append(out, row("Staff in all", f.Staff, f.StaffAsked))
	}
	return out
}

// startRunning puts the session under way, or shows what does not stand.
func startRunning(v *visit) error {
	if f, err := v.form(); err != nil || f.Has("voice") {
		return v.startUnseen(f, err)
	}
	return v.pass("Not started: what stands below is missing.", "Under way.", v.Running.Start)
}

// pass sends a form for which every gate must hold.
func (v *visit) pass(not, yes string, do passing) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	shut, err := do(v.r.Context(), v.actor, v.runID(), v.runSend(f))
	if err != nil {
		return err
	}
	if len(shut) == 0 {
		return v.goTo("/yard/sessions/"+string(v.runID()), yes)
	}
	shown, err := v.Running.Show(v.r.Context(), v.actor, v.runID())
	if err != nil {
		return err
	}
	return v.running(http.StatusUnprocessableEntity, shown, ran{refused: not})
}

// passing is a journey that asks every gate first, and returns those that do not hold.
type passing func(context.Context, access.Actor, id.Session, running.Send) ([]running.Gate, error)

func (v *visit) runSend(f url.Values) running.Send {
	return running.Send{Key: v.key(), Rev: numberField(f, "rev"), Happened: civil.Instant(numberField(f, "happened")), After: f["after"]}
}
