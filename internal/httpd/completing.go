package httpd

import (
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/completing"
	"rungbook/internal/credential"
	"rungbook/internal/id"
	"rungbook/internal/records"
	"rungbook/internal/session"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// completingRoutes are certificates that are proposed, and what is mended before
// they may be given.
func completingRoutes() []route {
	return []route{
		{get, "/proposals", access.SeeCertificates, proposalsPage},
		{get, "/proposals/{trainee}", access.SeeCertificates, certificateProposal},
		{post, "/proposals/{trainee}/give", access.RecordCertificate, giveCertificate},
		{get, "/sessions/{session}/trainees/{trainee}/countersign", access.Countersign, countersignForm},
		{post, "/sessions/{session}/trainees/{trainee}/countersign", access.Countersign, countersignLater},
	}
}

func proposalsPage(v *visit) error {
	list, err := v.Completing.Proposals(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	v.ref = list.Ref
	p := page.Awards{Shell: v.page("Certificates to give", "certificates"), Finding: proposalsFinding(list)}
	for _, x := range list.Proposals {
		in, _ := v.ref.Intakes.On(x.Trainee.Intake, v.today)
		row := page.AwardRow{Person: ui.Link{Text: orID(list.Names[x.Trainee.ID], x.Trainee.ID), Href: proposalAt(x)}, Programme: v.programmeName(x.Programme.ID),
			Intake: ui.Link{Text: v.ref.Text(in.Name), Href: "/intakes/" + string(in.ID)}, Completed: v.words.Day(x.Completed), Minutes: hoursOf(x), Holds: v.awardHolds(x)}
		if len(x.Holds) == 0 {
			p.Ready = append(p.Ready, row)
		} else {
			p.Held = append(p.Held, row)
		}
	}
	p.Shell.TakeOut = v.takeOut("proposals")
	return v.show(http.StatusOK, page.AwardsPage(p))
}

func proposalAt(p completing.Proposal) string { return "/proposals/" + string(p.Trainee.ID) }

func hoursOf(p completing.Proposal) string {
	return p.Minutes.String() + " of " + p.Programme.Hours.String()
}

// proposalsFinding says how many certificates wait, "" for none.
func proposalsFinding(list completing.List) string {
	ready, held := list.Ready(), len(list.Proposals)-list.Ready()
	switch {
	case ready+held == 0:
		return ""
	case held == 0:
		return web.Count(ready, "certificate may be given.", "certificates may be given.")
	case ready == 0:
		return web.Count(held, "certificate is held.", "certificates are held.")
	}
	return web.Count(ready, "certificate may be given", "certificates may be given") + "; " + web.Count(held, "is held.", "are held.")
}

// noteOfProposals puts a line above a page where certificates wait to be given.
func (v *visit) noteOfProposals() error {
	if !access.May(v.actor, access.SeeCertificates) {
		return nil
	}
	list, err := v.Completing.Proposals(v.r.Context(), v.actor)
	if err != nil || len(list.Proposals) == 0 {
		return err
	}
	v.shell.Notices = append(v.shell.Notices, ui.Notice{Plain: true, Text: "Programmes are complete: " + proposalsFinding(list), Link: ui.Link{Text: "Open the certificates to give", Href: "/proposals"}})
	return nil
}

// awardHolds says what is missing, each with where it is mended.
func (v *visit) awardHolds(p completing.Proposal) (out []page.AwardHold) {
	t := "/trainees/" + string(p.Trainee.ID)
	for _, h := range p.Holds {
		at := "/sessions/" + string(h.Session.ID)
		hold := page.AwardHold{Text: v.sessionLink(h.Session).Text + ", " + v.span(h.Session) + ": "}
		mend := func(may access.Action, text, href string) {
			if access.May(v.actor, may) {
				hold.Mend = ui.Link{Text: text, Href: href}
			}
		}
		switch h.Kind {
		case completing.NotSigned:
			hold.Text += "the session is not signed."
			mend(access.SeeSession, "Open the session", at)
		case completing.NoForm:
			hold.Text += "nobody noted how they were assessed."
			mend(access.CorrectSession, "Note it", at+t+"/correct")
		case completing.NotCountersigned:
			hold.Text += "they did not countersign what was found."
			mend(access.Countersign, "Have it countersigned", at+t+"/countersign")
		case completing.ShortHours:
			hold.Text = h.Found.String() + " are credited; the programme asks for " + h.Needed.String() + "."
			mend(access.SeePerson, "See the hours", "/people/"+string(p.Trainee.Person)+"#hours")
		case completing.TooLong:
			hold.Text = fmt.Sprintf("From the first day to the last it took %s; the programme allows %d.", web.Count(h.Days, "day", "days"), h.Most)
			mend(access.SeePerson, "See the sessions", "/people/"+string(p.Trainee.Person))
		case completing.FailureStands:
			hold.Text += v.failureHold(h)
			if hold.Mend = (ui.Link{}); h.Failure.Cost.Line == "" {
				mend(access.SeeRuleBook, "Open the rule book", "/rule-book")
			} else {
				mend(access.SeePerson, "See the sessions", "/people/"+string(p.Trainee.Person))
			}
		}
		out = append(out, hold)
	}
	return out
}

func certificateProposal(v *visit) error { return v.awardSheet(http.StatusOK, sent{}) }

func (v *visit) awardSheet(status int, s sent) error {
	one, err := v.Completing.Proposal(v.r.Context(), v.actor, id.Trainee(v.param("trainee")))
	if err != nil {
		return err
	}
	v.ref = one.Ref
	name := orID(one.Name, one.Trainee.ID)
	p := page.Award{Shell: v.page("Certificate for "+name, "certificates"), Title: name, Over: ui.Link{Text: "Certificates to give", Href: "/proposals"},
		Line: v.programmeName(one.Programme.ID) + ", complete since " + v.words.Day(one.Completed), Holds: v.awardHolds(one.Proposal), Total: hoursOf(one.Proposal)}
	p.Facts = v.awardFacts(one)
	for _, r := range one.Failed {
		o, _ := v.ref.Outcomes.On(r.Outcome, one.Completed)
		p.Failed = append(p.Failed, page.AwardOutcome{Outcome: orID(v.ref.Text(o.Name), r.Outcome), Session: v.sessionLink(r.Session), When: v.words.Day(v.words.Zone.DayOf(r.Session.Start))})
	}
	p.Cost = "Each " + v.failureCosts(one.Cost) + ". What it cost must have been done after it before the certificate may be given."
	p.CostBy = v.costLink(one.Cost)
	for _, r := range one.Rests {
		o, _ := v.ref.Outcomes.On(r.Outcome, one.Completed)
		found := string(session.Competent)
		if r.How != "" {
			found += ", " + string(r.How)
		}
		p.Outcomes = append(p.Outcomes, page.AwardOutcome{Unit: v.ref.Text(r.Unit), Outcome: orID(v.ref.Text(o.Name), r.Outcome), Found: found,
			Session: v.sessionLink(r.Session), When: v.words.Day(v.words.Zone.DayOf(r.Session.Start))})
	}
	for _, a := range one.Attended {
		p.Sessions = append(p.Sessions, v.awardSession(one, a))
	}
	switch {
	case !access.May(v.actor, access.RecordCertificate):
		p.Who = "An administrator gives it."
	case len(one.Holds) > 0:
		p.Who = "It can be given once nothing is missing."
	default:
		p.Fields = v.giveFields(s, one)
		p.Form = &ui.Form{Action: proposalAt(one.Proposal) + "/give", Key: v.freshKey(), Button: "Give the certificate", Errors: ui.Errors(p.Fields)}
	}
	return v.show(status, page.AwardPage(p))
}

func (v *visit) awardFacts(one completing.Page) []ui.Fact {
	in, _ := v.ref.Intakes.On(one.Trainee.Intake, v.today)
	out := []ui.Fact{
		{Label: "Person", Value: personLink(one.Trainee.Person, orID(one.Name, one.Trainee.ID))}, fact("Programme", v.programmeName(one.Programme.ID)),
		{Label: "Earned in", Value: ui.Link{Text: v.ref.Text(in.Name), Href: "/intakes/" + string(in.ID)}},
		fact("Outcomes", strconv.Itoa(len(one.Rests))+" of "+strconv.Itoa(len(one.Rests))), fact("Hours", hoursOf(one.Proposal)), fact("First valid day", web.FullDay(one.Completed)),
	}
	last := "no end is stated"
	switch {
	case one.Until != "":
		last = one.Until
	case one.Dates.Until != 0:
		last = web.FullDay(one.Dates.Until)
	}
	out = append(out, fact("Last valid day", last))
	if one.Dates.Months > 0 {
		out = append(out, fact("Counted as", web.Count(one.Dates.Months, "month", "months")+" from "+web.FullDay(one.Dates.CountsFrom)))
	}
	if one.Programme.Validity != "" {
		out = append(out, ui.Fact{Label: "Terms", Value: ui.Link{Text: "the rule book’s line " + one.Programme.Validity, Href: "/rule-book"}})
	}
	return out
}

func (v *visit) awardSession(one completing.Page, a completing.Attended) page.AwardSession {
	out := page.AwardSession{When: v.span(a.Session), Session: v.sessionLink(a.Session), State: stateWords(a.Session.State), Hours: a.Minutes.String(), Signed: "signed and countersigned"}
	for _, h := range one.Holds {
		if h.Session.ID != a.Session.ID {
			continue
		}
		switch h.Kind {
		case completing.NotSigned:
			out.Signed = "not signed"
		case completing.NoForm:
			out.Signed = "signed; no assessment noted"
		case completing.NotCountersigned:
			out.Signed = "signed, not countersigned"
		}
	}
	return out
}

// noneRenewed is what the form sends where the certificate counts by itself.
const noneRenewed = "none"

func (v *visit) giveFields(s sent, one completing.Page) (out []ui.Field) {
	calls := ui.Field{Name: "called", Label: "Exercises that require it call it", Kind: ui.Select, Options: []ui.Option{{Label: "No exercise requires it"}}}
	chosen := one.Called
	if s.form != "" {
		chosen = s.values.Get("called")
	}
	for _, name := range one.Calls {
		calls.Options = append(calls.Options, ui.Option{Value: name, Label: name, Chosen: name == chosen})
	}
	calls.Error = s.bad["called"]
	out = append(out, calls)
	if len(one.Renews) > 0 {
		renews := ui.Field{Name: "renews", Label: "Does it renew one that they hold?", Kind: ui.Radio, Required: true, Error: s.bad["renews"],
			Options: []ui.Option{{Value: noneRenewed, Label: "No, it counts from its own completion day", Chosen: s.values.Get("renews") == noneRenewed}}}
		for _, c := range one.Renews {
			renews.Options = append(renews.Options, ui.Option{Value: string(c.ID), Label: "Yes: " + v.renewedName(c), Chosen: s.values.Get("renews") == string(c.ID)})
		}
		out = append(out, renews)
	}
	until := ui.Field{Name: "until", Label: "Last valid day, where another is printed", Kind: ui.Date, Short: true, Value: s.values.Get("until"), Error: s.bad["until"]}
	if one.Until != "" {
		until.Label, until.Required = "Last valid day as printed", true
	}
	return append(out, until)
}

func (v *visit) renewedName(c credential.Certificate) string {
	name := v.certificateName(c)
	if c.Number != 0 {
		name += ", number " + strconv.Itoa(c.Number)
	}
	return name + ", valid to " + web.FullDay(c.Until)
}

func giveCertificate(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	a := answersOf(f)
	g := completing.Giving{Trainee: id.Trainee(v.param("trainee")), Called: a.text("called"), Until: a.day("until"), Decided: a.text("renews") != ""}
	if renews := a.text("renews"); renews != noneRenewed {
		g.Renews = id.Certificate(renews)
	}
	var made id.Certificate
	if err = a.bad.Err(); err == nil {
		made, err = v.Completing.Give(v.r.Context(), v.actor, g, v.key())
	}
	if fields, ok := formErrors(err); ok {
		return v.awardSheet(http.StatusUnprocessableEntity, sent{form: "give", values: f, bad: fields})
	}
	if err != nil {
		return err
	}
	return v.goTo("/certificates/"+string(made), "Given.")
}

func proposalList(v *visit, t *taking) error {
	list, err := v.Completing.Proposals(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	return v.plain(t, []string{"Person", "Programme", "Intake", "Complete since", "Minutes credited", "Minutes asked", "State", "Missing"}, func(*records.Lists) error {
		return each(t, list.Proposals, func(p completing.Proposal) []any {
			in, _ := v.ref.Intakes.On(p.Trainee.Intake, v.today)
			state, missing := "may be given", []string{}
			if len(p.Holds) > 0 {
				state = "held"
			}
			for _, h := range v.awardHolds(p) {
				missing = append(missing, h.Text)
			}
			return []any{list.Names[p.Trainee.ID], v.programmeName(p.Programme.ID), v.ref.Text(in.Name), p.Completed, int64(p.Minutes), int64(p.Programme.Hours), state, strings.Join(missing, " ")}
		})
	})
}
