package httpd

import (
	"net/http"
	"net/url"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/complaint"
	"rungbook/internal/complaints"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// matterOf reads what a complaint is against, as matterValue writes it: the kind of
// thing and its ids, with colons between. What it can't read is a matter of nothing on
// record, which is refused later.
func matterOf(text string) complaint.Matter {
	what, of, _ := strings.Cut(text, ":")
	switch first, second, _ := strings.Cut(of, ":"); what {
	case "session":
		return complaint.Matter{Session: id.Session(first)}
	case "result":
		return complaint.Matter{Session: id.Session(first), Trainee: id.Trainee(second)}
	case "certificate":
		return complaint.Matter{Certificate: id.Certificate(first)}
	case "not-given":
		return complaint.Matter{Trainee: id.Trainee(first)}
	}
	return complaint.Matter{}
}

func matterValue(m complaint.Matter) string {
	switch {
	case m.Certificate != "":
		return "certificate:" + string(m.Certificate)
	case m.Result():
		return "result:" + string(m.Session) + ":" + string(m.Trainee)
	case m.Session != "":
		return "session:" + string(m.Session)
	case m.Trainee != "":
		return "not-given:" + string(m.Trainee)
	}
	return ""
}

func kindField() ui.Field {
	return ui.Field{Name: "kind", Label: "What is it?", Kind: ui.Radio, Options: []ui.Option{
		{Value: string(complaint.Appeal), Label: "An appeal", Note: "something that was found, given or refused is to be looked at again"},
		{Value: string(complaint.Grievance), Label: "A complaint", Note: "about anything of the centre"}}}
}

func fileComplaintForm(v *visit) error {
	q := v.r.URL.Query()
	return v.complaintForm(http.StatusOK, url.Values{"kind": {q.Get("kind")}, "against": {q.Get("against")}}, nil)
}

func (v *visit) complaintForm(status int, f url.Values, bad fault.Fields) error {
	o, err := v.Complaints.Offers(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	v.ref = o.Ref
	against := ui.Field{Name: "against", Label: "Against", Kind: ui.Select, Options: []ui.Option{{Label: "Something else: told in the text below"}}}
	for _, m := range o.Matters {
		text := v.matterLink(m, "").Text
		if m.Matter.Result() {
			text = strings.TrimPrefix(text, "What was found: ")
		}
		against.Options = append(against.Options, ui.Option{Value: matterValue(m.Matter), Label: text})
	}
	about := ui.Field{Name: "about", Label: "People of the centre whom it is about, if any", Kind: ui.Checkboxes, Hint: "They don’t read it and don’t decide it. Nor does anybody who was in the session it is against."}
	for _, p := range o.People {
		about.Options = append(about.Options, ui.Option{Value: string(p), Label: orID(o.Names[p], p)})
	}
	group := page.FieldGroup{Fields: []ui.Field{kindField(), against}}
	if len(about.Options) > 0 {
		group.Fields = append(group.Fields, about)
	}
	group.Fields = append(group.Fields, ui.Field{Name: "text", Label: "What happened, and what you ask for", Kind: ui.Area, Required: true})
	p := page.ComplaintForm{Shell: v.page("Complain or appeal", v.ownSection()), Title: "Complain or appeal", Over: ui.Link{Text: "My complaints and appeals", Href: "/complaints/mine"},
		Line: "It is answered, and decided by somebody who had no part in it.", Form: ui.Form{Action: "/complaints/new", Key: v.freshKey(), Button: "File it"},
		Note: "It stands under your name. To stay unnamed, write a letter or call."}
	p.Groups = filled([]page.FieldGroup{group}, f, bad)
	p.Form.Errors = messages(p.Groups, bad)
	return v.show(status, page.ComplaintFormPage(p))
}

// ownSection is where the reader's own pages stand.
func (v *visit) ownSection() string {
	if access.May(v.actor, access.SeeYard) {
		return "yard"
	}
	return "path"
}

func fileComplaint(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	a := answersOf(f)
	x := complaints.Filing{Kind: complaint.Kind(a.text("kind")), Against: matterOf(a.text("against")), About: many[id.Person](a, "about"), Text: a.text("text")}
	_, err = v.Complaints.File(v.r.Context(), v.actor, x, v.key())
	if fields, ok := formErrors(err); ok {
		return v.complaintForm(http.StatusUnprocessableEntity, f, fields)
	}
	if err != nil {
		return err
	}
	return v.goTo("/complaints/mine", "Filed. You read here what you are answered.")
}

// ownComplaintsPage shows what the reader filed, and what they were answered.
func ownComplaintsPage(v *visit) error {
	own, err := v.Complaints.Own(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	v.ref = own.Ref
	p := page.OwnComplaints{Shell: v.page("My complaints and appeals", v.ownSection()), Over: ui.Link{Text: "Yard", Href: "/"}}
	if v.ownSection() == "path" {
		p.Over = ui.Link{Text: "My path", Href: "/path"}
	}
	if len(own.List) > 0 {
		p.Do = append(p.Do, ui.Link{Text: "Complain or appeal", Href: "/complaints/new"})
	}
	if access.May(v.actor, access.SeeComplaints) {
		p.Do = append(p.Do, ui.Link{Text: "All complaints and appeals", Href: "/complaints"})
	}
	for _, o := range own.List {
		c := o.Complaint
		shown := page.OwnComplaint{Title: v.complaintTitle(c), State: v.ownState(o.Row), Said: v.complaintSaid(c, o.Texts, false),
			Facts: []ui.Fact{fact("Received", web.FullDay(c.Received)), {Label: "Against", Value: ui.Link{Text: v.matterLink(o.Offer, "").Text}}}}
		p.List = append(p.List, shown)
	}
	return v.show(http.StatusOK, page.OwnComplaintsPage(p))
}

// ownState says where it stands to whoever filed it.
func (v *visit) ownState(r complaints.Row) string {
	c := r.Complaint
	if d, ok := c.Decision(); ok {
		return "Decided on " + v.words.Day(v.words.Zone.DayOf(d.At)) + ": " + outcomeWords[d.Outcome] + "."
	}
	_, due := v.complaintDue(r)
	return capital(spaced(c.State())) + ". " + capital(due) + "."
}

func complaintCameForm(v *visit) error {
	q := v.r.URL.Query()
	return v.cameForm(http.StatusOK, url.Values{"received": {v.today.String()}, "against": {q.Get("against")}, "kind": {q.Get("kind")}}, nil)
}

// noFiler and otherFiler are what the form sends where none of the staff filed it.
const noFiler, otherFiler = "nobody", "other"

func (v *visit) cameForm(status int, f url.Values, bad fault.Fields) error {
	c, err := v.Complaints.Choices(v.r.Context(), v.actor, matterOf(f.Get("against")))
	if err != nil {
		return err
	}
	v.ref = c.Ref
	way := ui.Field{Name: "way", Label: "How it came", Kind: ui.Select, Options: []ui.Option{{Label: "Choose"}}}
	for _, w := range complaint.WrittenDown() {
		way.Options = append(way.Options, ui.Option{Value: string(w), Label: capital(wayWords[w])})
	}
	filer := ui.Field{Name: "filer", Label: "Who filed it", Kind: ui.Select, Options: []ui.Option{{Label: "Choose"}, {Value: otherFiler, Label: "Somebody else, named below"}, {Value: noFiler, Label: "Nobody is known"}}}
	about := ui.Field{Name: "about", Label: "People of the centre whom it is about, if any", Kind: ui.Checkboxes, Hint: "They don’t read it and don’t decide it."}
	for _, p := range c.People {
		name := orID(c.Names[p], p)
		if !c.Staffed(p) {
			filer.Options = append(filer.Options, ui.Option{Value: string(p), Label: name, Note: "a trainee in it"})
			continue
		}
		filer.Options = append(filer.Options, ui.Option{Value: string(p), Label: name})
		about.Options = append(about.Options, ui.Option{Value: string(p), Label: name})
	}
	against := ui.Field{Name: "against", Label: "Against", Kind: ui.Select, Options: []ui.Option{{Label: "Told in the text below"}}, Hint: "To name a session, a result or a certificate, begin on its page."}
	for _, o := range c.Matters {
		against.Options = append(against.Options, ui.Option{Value: matterValue(o.Matter), Label: v.matterLink(o.Offer, o.Of).Text})
	}
	p := page.ComplaintForm{Shell: v.page("Write down one that came", "certificates"), Title: "Write down a complaint or an appeal", Over: ui.Link{Text: "Complaints and appeals", Href: "/complaints"},
		Line: "One that came by letter, by phone or in person.", Form: ui.Form{Action: "/complaints/came", Key: v.freshKey(), Button: "Write it down"},
		Note: "Keep the letter itself with the centre’s papers."}
	group := page.FieldGroup{Fields: []ui.Field{kindField(), way, dayAnswer("received", "When it came", v.today), filer, {Name: "from", Label: "Somebody else: name, and how they are reached"}, against}}
	group.Fields = append(group.Fields, ui.Field{Name: "text", Label: "What it says", Kind: ui.Area, Required: true}, about)
	p.Groups = filled([]page.FieldGroup{group}, f, bad)
	p.Form.Errors = messages(p.Groups, bad)
	return v.show(status, page.ComplaintFormPage(p))
}

func complaintCame(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	a := answersOf(f)
	x := complaints.Came{Filing: complaints.Filing{Kind: complaint.Kind(a.text("kind")), Against: matterOf(a.text("against")), About: many[id.Person](a, "about"), Text: a.text("text")},
		Way: complaint.Way(a.text("way")), Received: a.day("received"), From: a.text("from"), Unnamed: a.text("filer") == noFiler}
	switch filer := a.text("filer"); filer {
	case "", noFiler, otherFiler:
	default:
		x.Filer = id.Person(filer)
	}
	var of id.Complaint
	if err = a.bad.Err(); err == nil {
		of, err = v.Complaints.Record(v.r.Context(), v.actor, x, v.key())
	}
	if fields, ok := formErrors(err); ok {
		return v.cameForm(http.StatusUnprocessableEntity, f, fields)
	}
	if err != nil {
		return err
	}
	return v.goTo("/complaints/"+string(of), "Written down.")
}
