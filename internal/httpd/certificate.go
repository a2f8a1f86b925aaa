package httpd

import (
	"net/http"
	"strconv"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/bringing"
	"rungbook/internal/civil"
	"rungbook/internal/complaint"
	"rungbook/internal/credential"
	"rungbook/internal/fault"
	"rungbook/internal/founding"
	"rungbook/internal/id"
	"rungbook/internal/session"
	"rungbook/internal/verdict"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

func certificatePage(v *visit) error { return v.certificateSheet(http.StatusOK, sent{}) }

func (v *visit) certificateSheet(status int, s sent) error {
	c, err := v.Founder.Certificate(v.r.Context(), v.actor, id.Certificate(v.param("certificate")))
	if err != nil {
		return err
	}
	title := v.certificateName(c.Certificate)
	if c.Number != 0 {
		title += ", number " + strconv.Itoa(c.Number)
	}
	p := page.Certificate{Shell: v.page(title, "certificates"), Title: title, Over: ui.Link{Text: c.Name, Href: "/people/" + string(c.Person) + "#certificates"}}
	if c.Name == "" {
		p.Over.Text = "The holder's record"
	}
	p.Level, p.State = v.lasting(c.Certificate, v.words.DaysLeft(c.Until))
	if p.State == "" {
		p.State = "stands, no end stated"
	}
	if c.State == credential.Valid && c.From > v.today {
		p.Level, p.State = verdict.Stops, "counts only from "+web.FullDay(c.From)
	}
	if p.Facts, err = v.certificateFacts(c.Certificate); err != nil {
		return err
	}
	told, err := v.reportFacts(c.ID)
	if err != nil {
		return err
	}
	p.Facts = append(p.Facts, told...)
	if p.Appeals, err = v.openAppeals(complaint.Matter{Certificate: c.ID}, "it"); err != nil {
		return err
	}
	for _, step := range c.Steps {
		p.Steps = append(p.Steps, v.certificateStep(step))
	}
	for _, x := range c.Coming {
		p.Coming = append(p.Coming, v.comingSession(x))
	}
	if access.May(v.actor, access.HandleComplaint) {
		p.Do = []ui.Link{{Text: "Write down an appeal", Href: "/complaints/came?kind=appeal&against=certificate:" + string(c.ID)}}
	}
	if access.May(v.actor, access.RecordCertificate) {
		for _, m := range credential.Moves(c.State) {
			p.Actions = append(p.Actions, v.certificateAction(s, m, c))
		}
	}
	return v.show(status, page.CertificatePage(p))
}

func (v *visit) certificateFacts(c credential.Certificate) ([]ui.Fact, error) {
	day := func(label string, d civil.Day) ui.Fact {
		if d == 0 {
			return fact(label, "not stated")
		}
		return fact(label, web.FullDay(d))
	}
	out := []ui.Fact{day("Completed", c.Completed), day("First valid day", c.From), day("Last valid day", c.Until)}
	if c.Months > 0 {
		out = append(out, fact("Counted as", web.Count(c.Months, "month", "months")+" from "+web.FullDay(c.CountsFrom)))
	}
	if c.Validity != "" {
		out = append(out, ui.Fact{Label: "Terms", Value: ui.Link{Text: "the rule book's line " + c.Validity, Href: "/rule-book"}})
	}
	if c.Holds != "" {
		out = append(out, fact("Exercises call it", c.Holds))
	}
	if c.Intake != "" {
		in, _ := v.ref.Intakes.On(c.Intake, v.today)
		out = append(out, ui.Fact{Label: "Earned in", Value: ui.Link{Text: v.ref.Text(in.Name), Href: "/intakes/" + string(c.Intake)}})
	}
	own := bringing.Record{Kind: "certificate", ID: string(c.ID)}
	from, err := v.Bringing.Origins(v.r.Context(), v.actor, c.Person, []bringing.Record{own})
	if o, ok := from[own]; ok {
		out = append(out, ui.Fact{Label: "This record", Value: v.originLink(o)})
	}
	return out, err
}

func (v *visit) certificateStep(s founding.CertificateStep) page.CertificateStep {
	out := page.CertificateStep{When: v.words.Moment(s.At), What: strings.ReplaceAll(s.Act, "-", " "), Why: s.Why}
	if s.By != "" {
		out.By = "by " + s.By
	}
	if s.Counts != v.words.Zone.DayOf(s.At) {
		out.Counts = "counts from " + web.FullDay(s.Counts)
	}
	var changed []string
	tell := func(what string, was, is civil.Day) {
		if s.Move != "" && was != is {
			changed = append(changed, what+" "+dayOrNone(is)+", was "+dayOrNone(was))
		}
	}
	tell("completed", s.Was.Completed, s.Is.Completed)
	tell("first valid day", s.Was.From, s.Is.From)
	tell("last valid day", s.Was.Until, s.Is.Until)
	out.Changed = capital(strings.Join(changed, "; "))
	return out
}

func dayOrNone(d civil.Day) string {
	if d == 0 {
		return "not stated"
	}
	return web.FullDay(d)
}

func (v *visit) comingSession(s session.Session) page.PersonSession {
	day := v.words.Zone.DayOf(s.Start)
	return page.PersonSession{Day: v.words.Day(day), Times: v.words.Times(civil.Period{Start: s.Start, End: s.End}), Exercise: v.sessionLink(s),
		Station: v.stationAt(s.Station, day).Text, State: v.stateNow(s)}
}

// moveWords is how a form that moves a certificate is called, what follows from
// it, and its button.
var moveWords = map[credential.Move]struct{ title, note, button string }{
	credential.ToCorrect:  {"Correct the days", "The days as the paper says them. They count from the first day on, and what stood before stays in the history. A paper of another person or exercise is declared void and recorded anew.", "Correct the days"},
	credential.ToSuspend:  {"Suspend it", "It counts no more from today, until somebody lets it stand again.", "Suspend this certificate"},
	credential.ToStand:    {"Let it stand again", "It counts from today on. The days of the suspension stay as they were.", "Let it stand again"},
	credential.ToWithdraw: {"Withdraw it", "It counts no more from today, for good. What counts again is recorded anew, from the paper.", "Withdraw this certificate"},
	credential.ToVoid:     {"Declare it void", "It was recorded in error and never counted. Sessions that were held on it keep their record; an auditor sees both.", "Declare it void"},
}

func (v *visit) certificateAction(s sent, m credential.Move, c founding.CertificatePage) page.Action {
	w, form := moveWords[m], string(m)
	var fields []ui.Field
	if m == credential.ToCorrect {
		fields = []ui.Field{dayAnswer("completed", "Completed on", c.Completed), dayAnswer("from", "First valid day", c.From), dayAnswer("until", "Last valid day", c.Until)}
		for i := range fields {
			fields[i].Required = true
		}
	}
	fields = append(fields, ui.Field{Name: "why", Label: "Reason", Required: true})
	a := v.action(s, form, w.title, w.note, "/certificates/"+string(c.ID)+"/"+form, w.button, fields...)
	a.Form.Grave = m != credential.ToCorrect && m != credential.ToStand
	rev := strconv.FormatInt(c.Rev, 10)
	if was := s.values.Get("rev"); was != "" {
		rev = was // what the form was first shown with
	}
	a.Form.Hidden = append(a.Form.Hidden, ui.Value{Name: "rev", Value: rev})
	return a
}

func moveCertificate(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	a := answersOf(f)
	m := founding.CertificateMove{Move: credential.Move(v.param("move")), Why: a.text("why")}
	if _, ok := moveWords[m.Move]; !ok {
		return fault.New(fault.NotFound, "There is no such change of a certificate.")
	}
	if m.Move == credential.ToCorrect {
		m.Days = credential.Days{Completed: a.day("completed"), From: a.day("from"), Until: a.day("until")}
	}
	rev, _ := strconv.ParseInt(f.Get("rev"), 10, 64)
	of := v.param("certificate")
	if err = a.bad.Err(); err == nil {
		err = v.Founder.MoveCertificate(v.r.Context(), v.actor, founding.Of{ID: of, Rev: rev}, m, v.key())
	}
	if fields, ok := formErrors(err); ok {
		return v.certificateSheet(http.StatusUnprocessableEntity, sent{form: string(m.Move), values: f, bad: fields})
	}
	if err != nil {
		return err
	}
	return v.goTo("/certificates/"+of, "Recorded. Sessions to come are judged by it from now on.")
}
