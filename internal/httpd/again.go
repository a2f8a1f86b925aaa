package httpd

import (
	"net/http"

	"rungbook/internal/access"
	"rungbook/internal/booking"
	"rungbook/internal/id"
	"rungbook/internal/records"
	"rungbook/internal/session"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// againPage offers other times to those whom a session left waiting: one that was
// stood down or cut short.
func againPage(v *visit) error {
	a, err := v.Desk.Again(v.r.Context(), v.actor, id.Session(v.param("session")))
	if err != nil {
		return err
	}
	s := a.Session
	name := v.sessionLink(s)
	p := page.Again{Shell: v.page("Other times for "+name.Text, "book"), Title: "Other times for " + name.Text, Over: ui.Link{Text: name.Text + ", " + v.words.Moment(s.Start), Href: name.Href}}
	switch n := len(a.Left); {
	case !booking.LeavesNeeds(s):
		p.Line = "It is " + v.stateNow(s) + ": nobody waits for another time of it."
	case n == 0 && len(s.Trainees) == 0:
		p.Line = "Nobody was booked for it, so nobody waits."
	case n == 0:
		p.Line = "Nobody waits: each of its trainees has done it, is booked for it again, or does not need it."
	default:
		p.Line = web.Count(n, "trainee waits", "trainees wait") + ": it was " + againWords(s) + ", and what was not done is needed again."
		v.otherTimes(&p, a)
	}
	return v.show(http.StatusOK, page.AgainPage(p))
}

// otherTimes shows the next times, or says in words that nothing can come of waiting
// and where that is mended.
func (v *visit) otherTimes(p *page.Again, a booking.Again) {
	var intakes []ui.Link
	for _, in := range a.Intakes {
		name := v.ref.Text(in.Name)
		intakes = append(intakes, ui.Link{Text: "Open intake " + name, Href: "/intakes/" + string(in.ID)})
	}
	their := plural(len(intakes), "their intake", "the last of their intakes")
	if a.Ends != 0 && a.Ends < v.today {
		p.Line += " No time can be offered: " + their + " ended on " + v.words.Day(a.Ends) + "."
		p.Steps = intakes
		return
	}
	p.Answer = v.answer(a.Options, nil)
	if a.Ends == 0 {
		return
	}
	p.Line += " " + capital(their) + " ends on " + v.words.Day(a.Ends) + ", so no later day is searched."
	if len(p.Answer.Offers) == 0 {
		p.Answer.Steps = intakes
		if len(p.Answer.Group.Names) > 0 {
			p.Answer.Blocked = "Nothing is free for them up to " + v.words.Day(a.Ends) + ". Below stands what stops each time; or the intake is given a later last day."
		}
	}
}

// againWords says how a session left somebody waiting.
func againWords(s session.Session) string {
	if s.State == session.StoodDown {
		return "stood down"
	}
	return "cut short"
}

// toAgain leads from a session that was just stood down or cut short to other times
// for its trainees; to its own page where nobody can wait, or who asks may not look.
func (v *visit) toAgain(sid id.Session, said string) error {
	at := "/sessions/" + string(sid)
	sheet, err := v.Desk.Sheet(v.r.Context(), v.actor, sid)
	if err != nil {
		return err
	}
	if len(v.againLink(sheet.Value)) > 0 {
		at += "/again"
	}
	return v.goTo(at, said)
}

// againLink leads to other times for a session's trainees, where it left any.
func (v *visit) againLink(s session.Session) []ui.Link {
	if !booking.LeavesNeeds(s) || len(s.Trainees) == 0 || !access.May(v.actor, access.SeeOptions) {
		return nil
	}
	return []ui.Link{{Text: "Other times for its trainees", Href: "/sessions/" + string(s.ID) + "/again"}}
}

// attentionAgain lists the sessions that left somebody waiting who still waits.
func (v *visit) attentionAgain(a booking.Attention) (out []page.AttentionSession, err error) {
	if !access.May(v.actor, access.SeeOptions) {
		return nil, nil
	}
	list, err := v.Desk.Waiters(v.r.Context(), v.actor)
	for _, w := range list {
		s := w.Session
		one := v.attentionSession(a, s, ui.Link{Text: "Offer other times", Href: "/sessions/" + string(s.ID) + "/again"})
		one.People = web.Count(len(w.Left), "trainee waits", "trainees wait")
		out = append(out, one)
	}
	return out, err
}

// waitsAgain are the sessions that left somebody waiting who still waits.
func waitsAgain(rec records.Person) (out []session.Session) {
	var was []session.Session
	for _, a := range rec.Sessions {
		was = append(was, a.Session)
	}
	for _, e := range rec.Enrolments {
		if e.Intake.Until < rec.Today {
			continue
		}
		var open []id.Exercise
		for _, step := range e.Path {
			if step.Done == 0 && step.Booked == 0 {
				open = append(open, step.Exercise.ID)
			}
		}
		out = append(out, booking.LeftBy(was, e.Trainee.ID, open)...)
	}
	return out
}
