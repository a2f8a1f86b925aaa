package httpd

import (
	"errors"
	"net/http"
	"slices"
	"strconv"

	"rungbook/internal/access"
	"rungbook/internal/complaint"
	"rungbook/internal/complaints"
	"rungbook/internal/id"
	"rungbook/internal/verdict"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

func complaintPage(v *visit) error { return v.complaintSheet(http.StatusOK, sent{}, "") }

// complaintSheet shows one complaint or appeal. refused is why what was just sent is
// not the reader's to do, "" for nothing.
func (v *visit) complaintSheet(status int, s sent, refused string) error {
	one, err := v.Complaints.One(v.r.Context(), v.actor, id.Complaint(v.param("complaint")))
	if err != nil {
		return err
	}
	v.ref = one.Ref
	c, title := one.Complaint, v.complaintTitle(one.Complaint)
	p := page.Complaint{Shell: v.page(title, "certificates"), Title: title, Over: ui.Link{Text: "Complaints and appeals", Href: "/complaints"}, Line: capital(complaintState(c)) + "."}
	if refused != "" {
		p.Notices = append(p.Notices, ui.Notice{Level: verdict.Stops, Word: "Not done", Text: refused})
	}
	if c.Open() {
		if level, due := v.complaintDue(one.Row); level != verdict.Clear {
			word := map[verdict.Level]string{verdict.Stops: "Overdue", verdict.Cautions: "Due soon"}[level]
			p.Notices = append(p.Notices, ui.Notice{Level: level, Word: word, Text: capital(due) + "."})
		} else {
			p.Line += " " + capital(due) + "."
		}
	}
	p.Facts, p.Said, p.Parts = v.complaintFacts(one), v.complaintSaid(c, one.Texts, true), v.complaintParts(one)
	if one.Read != nil {
		p.Hidden = v.hiddenComplaint(one)
	} else if c.Open() {
		p.Voice = true
	}
	for _, step := range one.Steps {
		x := page.CertificateStep{When: v.words.Moment(step.At), What: spaced(step.Act)}
		if name := one.Names[step.By]; name != "" {
			x.By = "by " + name
		}
		p.Steps = append(p.Steps, x)
	}
	v.nextOfComplaint(&p, s, one)
	return v.show(status, page.ComplaintPage(p))
}

// hiddenComplaint says why the reader reads none of it.
func (v *visit) hiddenComplaint(one complaints.Page) string {
	var no *complaint.NotImpartial
	if errors.As(one.Read, &no) {
		return one.Read.Error() + " It is for those who had no part in it."
	}
	return "What it says and who filed it is for those who handle complaints."
}

func (v *visit) complaintFacts(one complaints.Page) []ui.Fact {
	c := one.Complaint
	out := []ui.Fact{fact("Received", web.FullDay(c.Received)), fact("Came by", wayWords[c.Way]), {Label: "Against", Value: v.matterLink(one.Offer, one.Of)}}
	if one.Read == nil {
		filer := ui.Fact{Label: "Filed by", Value: ui.Link{Text: "nobody is known"}}
		switch {
		case c.Filer != "":
			filer.Value = personLink(c.Filer, orID(one.Names[c.Filer], c.Filer))
		case c.From != "":
			filer.Value.Text = orID(one.Texts[c.From], "erased")
		}
		out = append(out, filer)
	}
	if d, ok := c.Decision(); ok {
		out = append(out, fact("Decided", outcomeWords[d.Outcome]+", "+v.words.Moment(d.At)+", by "+orID(one.Names[d.By], d.By)))
		out = append(out, v.toldFacts(one, d)...)
	}
	return out
}

// matterLink says what it is against, with whom it is about where that may be read.
func (v *visit) matterLink(o complaints.Offer, of string) ui.Link {
	switch m := o.Matter; {
	case m.Certificate != "":
		return ui.Link{Text: "Certificate " + v.certificateName(o.Certificate), Href: "/certificates/" + string(m.Certificate)}
	case m.NotGiven():
		return ui.Link{Text: "No certificate given: " + joined(v.programmeName(o.Programme), of)}
	case m.Result():
		return ui.Link{Text: "What was found: " + joined(v.sessionLink(o.Session).Text+", "+v.span(o.Session), of), Href: v.sessionLink(o.Session).Href}
	case m.Session != "":
		return ui.Link{Text: v.sessionLink(o.Session).Text + ", " + v.span(o.Session), Href: v.sessionLink(o.Session).Href}
	}
	return ui.Link{Text: "told in its text"}
}

func joined(a, b string) string {
	if b == "" {
		return a
	}
	return a + ", of " + b
}

// complaintSaid lists what was written, the oldest first. filed says that the reader is not who filed it.
func (v *visit) complaintSaid(c complaint.Complaint, texts map[id.Commitment]string, filed bool) (out []page.ComplaintSaid) {
	if texts == nil {
		return nil
	}
	add := func(what, when string, of id.Commitment) {
		if of != "" {
			text := texts[of]
			if text == "" {
				text = "It was erased."
			}
			out = append(out, page.ComplaintSaid{What: what, When: when, Text: text})
		}
	}
	what := "What was filed"
	if !filed {
		what = "What you wrote"
	}
	add(what, "", c.Text)
	for _, a := range c.Answers {
		add("Answer", v.words.Moment(a.At), a.Text)
	}
	for n, d := range c.Decisions {
		add("Decision: "+outcomeWords[d.Outcome], v.words.Moment(d.At), d.Reason)
		add("What is done", "", d.Done)
		if n < len(c.Reopened) {
			add("Opened again", v.words.Moment(c.Reopened[n].At), c.Reopened[n].Reason)
		}
	}
	return out
}

// complaintParts says who of the centre had which part, each person once, and who
// filed it. Others who were in a session could not decide anyway.
func (v *visit) complaintParts(one complaints.Page) (out []ui.Fact) {
	for _, t := range one.Ties {
		if !slices.Contains(one.Staff, t.Person) && t.Person != one.Complaint.Filer {
			continue
		}
		name := orID(one.Names[t.Person], t.Person)
		if n := len(out); n > 0 && out[n-1].Label == name {
			out[n-1].Value.Text += ", " + t.Part.Words()
			continue
		}
		out = append(out, fact(name, "they "+t.Part.Words()))
	}
	return out
}

// nextOfComplaint puts the next step on the page, what else may be done, and who may
// decide.
func (v *visit) nextOfComplaint(p *page.Complaint, s sent, one complaints.Page) {
	c := one.Complaint
	if one.Act != nil {
		if c.Open() {
			p.Wait = "It waits for those who had no part in it."
		}
		if no := (*complaint.NotImpartial)(nil); one.Read == nil && errors.As(one.Act, &no) {
			p.Wait = one.Act.Error()
		}
		return
	}
	do := v.complaintActions(s, one)
	if !c.Open() {
		p.Also = do[3:]
		if told, ok := v.toldAction(s, one); ok && one.ToTell {
			p.Next = &told
		} else if ok {
			p.Also = append(p.Also, told)
		}
		if d, ok := c.Decision(); ok && d.Outcome.Upholds() && c.Against.Result() && access.May(v.actor, access.CorrectSession) {
			p.After = append(p.After, ui.Link{Text: "Correct what was found", Href: "/sessions/" + string(c.Against.Session) + "/trainees/" + string(c.Against.Trainee) + "/correct"})
		}
		return
	}
	next := 0 // answer
	switch {
	case c.Unanswered():
	case !c.Stated():
		next = 1
	case one.Decide == nil:
		next = 2
	default:
		next = -1
		p.Wait = "It waits for a decision. " + one.Decide.Error()
	}
	for i, a := range do[:3] {
		switch {
		case i == next:
			p.Next = &a
		case i == 2 && (!c.Stated() || one.Decide != nil):
		default:
			p.Also = append(p.Also, a)
		}
	}
	p.Decides = v.whoDecides(one)
}

func (v *visit) whoDecides(one complaints.Page) string {
	var names []string
	for _, d := range one.Decides {
		names = append(names, orID(one.Names[d], d))
	}
	switch {
	case !one.Complaint.Stated():
		return "Who decides is known once somebody has said who is involved."
	case len(names) == 0:
		return "Nobody who may handle complaints had no part in it. Appoint somebody else for a field, or give an account to somebody from outside."
	}
	return capital(web.List(names)) + " may decide it."
}

// complaintRev is the revision that the page shows, or showed when a form of it was sent.
func complaintRev(s sent, one complaints.Page) string {
	if was := s.values.Get("rev"); was != "" {
		return was
	}
	return strconv.FormatInt(one.Rev, 10)
}

// complaintActions are to answer, to name the involved, to decide and to open again.
func (v *visit) complaintActions(s sent, one complaints.Page) []page.Action {
	rev := complaintRev(s, one)
	here, kind := "/complaints/"+string(one.Complaint.ID), string(one.Complaint.Kind)
	shown := "Whoever filed it reads this on their own page; tell those who have no account."
	var out []page.Action
	add := func(form, title, note, button string, fields ...ui.Field) {
		a := v.action(s, form, title, note, here+"/"+form, button, fields...)
		a.Form.Hidden = append(a.Form.Hidden, ui.Value{Name: "rev", Value: rev})
		out = append(out, a)
	}
	again := "answer it"
	if !one.Complaint.Unanswered() {
		again = "note another answer"
	}
	add("answer", capital(again), "The first answer says at least that it was received and what comes next. Whoever answers does not decide.", "Note this answer",
		ui.Field{Name: "answer", Label: "What was answered", Kind: ui.Area, Required: true, Hint: shown})
	people := ui.Field{Name: "involved", Label: "Involved, beside those whom the records name", Kind: ui.Checkboxes}
	for _, p := range one.Staff {
		if !slices.ContainsFunc(one.Ties, func(t complaint.Tie) bool { return t.Person == p && t.Part != complaint.AnsweredIt }) {
			people.Options = append(people.Options, ui.Option{Value: string(p), Label: orID(one.Names[p], p)})
		}
	}
	add("involved", "Say who is involved", "Whoever had a part in what is complained of neither decides it nor reads on. In doubt, name them: names are added and never taken off.", "Note who is involved",
		people, ui.Field{Name: "nobody", Label: "Nobody else of the centre", Kind: ui.Checkboxes, Options: []ui.Option{{Value: "yes", Label: "Nobody else of the centre had a part in it"}}})
	outcomes := ui.Field{Name: "outcome", Label: "What is decided", Kind: ui.Radio}
	for _, o := range complaint.Outcomes() {
		label := capital(outcomeWords[o])
		if o == complaint.Withdrawn {
			label += " by whoever filed it"
		}
		outcomes.Options = append(outcomes.Options, ui.Option{Value: string(o), Label: label})
	}
	add("decide", "Decide it", "A decision closes the "+kind+". It is not changed; later information opens it again.", "Decide this "+kind, outcomes,
		ui.Field{Name: "reason", Label: "Why", Kind: ui.Area, Required: true, Hint: shown}, ui.Field{Name: "done", Label: "What is done about it", Kind: ui.Area, Hint: "Needed where it is upheld."})
	add("again", "Open it again", "For information that came later. What was decided stays on record, and somebody else decides.", "Open this "+kind+" again",
		ui.Field{Name: "reason", Label: "What has come to light since", Kind: ui.Area, Required: true})
	return out
}

func answerComplaint(v *visit) error {
	return v.actOnComplaint("answer", "Noted.", func(a answers, of id.Complaint, rev int64) error {
		return v.Complaints.Answer(v.r.Context(), v.actor, of, rev, a.text("answer"), v.key())
	})
}

func involveInComplaint(v *visit) error {
	return v.actOnComplaint("involved", "Noted.", func(a answers, of id.Complaint, rev int64) error {
		return v.Complaints.Involve(v.r.Context(), v.actor, of, rev, many[id.Person](a, "involved"), a.Get("nobody") == "yes", v.key())
	})
}

func decideComplaint(v *visit) error {
	return v.actOnComplaint("decide", "Decided.", func(a answers, of id.Complaint, rev int64) error {
		x := complaints.Deciding{Outcome: complaint.Outcome(a.text("outcome")), Reason: a.text("reason"), Done: a.text("done")}
		return v.Complaints.Decide(v.r.Context(), v.actor, of, rev, x, v.key())
	})
}

func reopenComplaint(v *visit) error {
	return v.actOnComplaint("again", "It is open again.", func(a answers, of id.Complaint, rev int64) error {
		return v.Complaints.Reopen(v.r.Context(), v.actor, of, rev, a.text("reason"), v.key())
	})
}

// actOnComplaint runs one act on the complaint of the address. Whose part in it
// forbids the act is told why, on its page.
func (v *visit) actOnComplaint(form, done string, do func(a answers, of id.Complaint, rev int64) error) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	of := id.Complaint(v.param("complaint"))
	err = do(answersOf(f), of, numberField(f, "rev"))
	if no := (*complaint.NotImpartial)(nil); errors.As(err, &no) {
		return v.complaintSheet(http.StatusForbidden, sent{}, no.Error())
	}
	if fields, ok := formErrors(err); ok {
		return v.complaintSheet(http.StatusUnprocessableEntity, sent{form, f, fields}, "")
	}
	if err != nil {
		return err
	}
	return v.goTo("/complaints/"+string(of), done)
}
