package httpd

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/founding"
	"rungbook/web"
	"rungbook/web/chart"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// thing is a kind of record that forms make and change: which fields ask for it,
// and how what was typed becomes a record.
type thing struct {
	path      string // /set-up/PATH lists them
	kind      string // of record, as the ledger names it
	param     string // of the address of one: {rig}
	one, many string
	says      string // what stands in an empty list
	action    access.Action
	dated     bool // a change counts from a day: it is a new version
	rows      func(*visit) []page.ThingRow
	detail    string // what the list tells beside the name
	groups    func(v *visit, of string) []page.FieldGroup
	save      func(v *visit, a answers, of founding.Of) (string, error)
	draw      func(v *visit, a answers, of string) (chart.Drawing, string) // nil where nothing is drawn
	prepare   func(v *visit, typed url.Values)                             // fills in what the second button asks for; nil for nothing
	also      string                                                       // text of the second button
	line      string                                                       // below the title of its form
	aside     func(v *visit, of string) []ui.Link
	alsoOut   string // another list offered as files beside its own; "" for none
}

// things are the kinds of record that have a form of this shape.
func things() []thing {
	return []thing{yardThing(), rigThing(), stationThing(), zoneThing(), circuitThing(), kitThing(), itemThing(),
		exerciseThing(), programmeThing(), outcomeThing(), personThing(), employerThing(), intakeThing()}
}

// setUpRoutes are the start list and the forms that make a yard.
func setUpRoutes() []route {
	out := []route{{get, "/set-up", access.ChangeYard, startListPage}}
	for _, t := range things() {
		list, one := "/set-up/"+t.path, "/set-up/"+t.path+"/{"+t.param+"}"
		out = append(out,
			route{get, list, t.action, t.list},
			route{get, list + "/new", t.action, func(v *visit) error { return t.form(v, "") }},
			route{post, list, t.action, func(v *visit) error { return t.send(v, "") }},
			route{get, one, t.action, func(v *visit) error { return t.form(v, v.param(t.param)) }},
			route{post, one, t.action, func(v *visit) error { return t.send(v, v.param(t.param)) }},
		)
		if founding.Retirable(t.kind) {
			out = append(out, route{post, one + "/retire", t.action, func(v *visit) error { return t.sendRetire(v, v.param(t.param)) }})
		}
	}
	return append(out, setUpMoreRoutes()...)
}

func (t thing) href(of string) string { return "/set-up/" + t.path + "/" + of }

// list shows all of a kind.
func (t thing) list(v *visit) error {
	p := page.Things{Shell: v.page("Set up: "+t.many, "set-up"), Title: capital(t.many), Empty: t.says, Detail: t.detail, Rows: t.notedRows(v),
		Add: ui.Link{Text: "Add " + article(t.one), Href: "/set-up/" + t.path + "/new"}}
	p.Line = web.Count(len(p.Rows), t.one+" is", t.many+" are") + " on record."
	if t.path == "yard" && len(p.Rows) > 0 {
		p.Add = ui.Link{}
	}
	p.Also, p.Next = v.setUpBeside(t.path)
	p.Shell.TakeOut = v.takeOut(t.path)
	if t.alsoOut != "" {
		p.Shell.AlsoOut = []ui.TakeOut{v.alsoOut(t.alsoOut)}
	}
	return v.show(http.StatusOK, page.ThingsPage(p))
}

func (v *visit) retiredFrom(t thing, of string) civil.Day {
	return founding.RetiredFrom(v.ref, t.kind, of, v.today)
}

// notedRows are the rows of a list, those that are retired at its end.
func (t thing) notedRows(v *visit) []page.ThingRow {
	rows := t.rows(v)
	if !founding.Retirable(t.kind) {
		return rows
	}
	var out, gone []page.ThingRow
	for _, r := range rows {
		day := v.retiredFrom(t, strings.TrimPrefix(r.Name.Href, t.href("")))
		if day == 0 {
			out = append(out, r)
			continue
		}
		r.Note = "retired from " + web.FullDay(day)
		gone = append(gone, r)
	}
	return append(out, gone...)
}

// article puts "a" or "an" before a word.
func article(word string) string {
	if strings.ContainsAny(word[:1], "aeiou") {
		return "an " + word
	}
	return "a " + word
}

// form shows the form of one thing, empty for a new one. What stands in the
// address is typed already, when a drawing was asked for.
func (t thing) form(v *visit, of string) error {
	q := v.r.URL.Query()
	if q.Get("draw") == "" {
		q = nil
	} else if t.prepare != nil {
		t.prepare(v, q)
	}
	return t.sheet(v, http.StatusOK, of, q, fault.Fields{}, fault.Fields{})
}

// sheet shows the form with what was typed (nil for what stands) and its
// messages; others are those of the form that retires it.
func (t thing) sheet(v *visit, status int, of string, typed url.Values, bad, retiring fault.Fields) error {
	p := page.Thing{Title: "Add " + article(t.one), Over: ui.Link{Text: capital(t.many), Href: "/set-up/" + t.path}, Line: t.line}
	p.Form = ui.Form{Action: "/set-up/" + t.path, Key: v.freshKey(), Button: "Record this " + t.one}
	p.Groups = t.groups(v, of)
	if of != "" {
		standing, err := v.Founder.Standing(v.r.Context(), v.actor, t.kind, of)
		if err != nil {
			return err
		}
		p.Title, p.Form.Action, p.Form.Button = "Change "+t.nameOf(v, of), t.href(of), "Save the change"
		rev := strconv.FormatInt(standing.Rev, 10)
		if was := typed.Get("rev"); was != "" {
			rev = was // what the form was first shown with
		}
		p.Form.Hidden = append(p.Form.Hidden, ui.Value{Name: "rev", Value: rev})
		if t.dated {
			p.Groups = append(p.Groups, fromGroup(v))
			p.Form.Button = "Save as a new version"
		}
		v.showStanding(&p, t, standing)
		if founding.Retirable(t.kind) && v.retiredFrom(t, of) == 0 {
			p.Actions = []page.Action{t.retireAction(v, of, rev, typed, retiring)}
		}
		if t.aside != nil {
			p.Aside = t.aside(v, of)
		}
	}
	if t.also != "" {
		p.Form.Also = ui.Also{Text: t.also, Action: "/set-up/" + t.path + "/new"}
		if of != "" {
			p.Form.Also.Action = t.href(of)
		}
	}
	if t.draw != nil {
		p.Draws, p.Form.Draws = true, "drawing"
		p.Drawing, p.Say = t.draw(v, answersOf(typed), of)
	}
	p.Groups = filled(p.Groups, typed, bad)
	p.Form.Errors = messages(p.Groups, bad)
	p.Shell = v.page(p.Title, "set-up")
	return v.show(status, page.ThingPage(p))
}

// fromGroup asks from which day a new version counts.
func fromGroup(v *visit) page.FieldGroup {
	f := dayAnswer("from", "Counts from", v.today)
	f.Required = true
	return page.FieldGroup{Title: "From which day", Note: "Sessions of days before it, and what rests on them, keep the version of their day.", Fields: []ui.Field{f}}
}

func (t thing) nameOf(v *visit, of string) string {
	for _, r := range t.rows(v) {
		if r.Name.Href == t.href(of) {
			return r.Name.Text
		}
	}
	return "this " + t.one
}

// send records what was typed, or shows the form again.
func (t thing) send(v *visit, of string) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	a := answersOf(f)
	rev, _ := strconv.ParseInt(f.Get("rev"), 10, 64)
	about := founding.Of{ID: of, Rev: rev}
	if of != "" && t.dated {
		about.From = a.day("from")
	}
	made, err := t.save(v, a, about)
	if fields, ok := formErrors(err); ok {
		for name, m := range fields {
			a.bad.Add(name, "%s", m)
		}
		err = nil
	}
	if err != nil {
		return err
	}
	if len(a.bad) > 0 {
		return t.sheet(v, http.StatusUnprocessableEntity, of, f, a.bad, fault.Fields{})
	}
	said := capital(t.one) + " recorded."
	if of != "" {
		said = "Saved."
	}
	return v.goTo(afterSaving(t.path, made, a), said)
}

// retireAction folds away the form that retires a thing.
func (t thing) retireAction(v *visit, of, rev string, typed url.Values, bad fault.Fields) page.Action {
	day := dayAnswer("retired", "First day without it", v.today)
	day.Required, day.Error = true, bad["retired"]
	if typed.Get("retired") != "" {
		day.Value = typed.Get("retired")
	}
	a := page.Action{Title: "Retire this " + t.one, Note: "It is not offered any more from that day. What rests on it keeps it: nothing is deleted.",
		Form: ui.Form{Action: t.href(of) + "/retire", Key: v.freshKey(), Button: "Retire " + t.nameOf(v, of), Grave: true, Hidden: []ui.Value{{Name: "rev", Value: rev}}}, Fields: []ui.Field{day}}
	a.Form.Errors = ui.Errors(a.Fields)
	if len(a.Form.Errors) == 0 {
		for _, m := range bad {
			a.Form.Errors = append(a.Form.Errors, ui.FieldError{Text: m})
		}
	}
	return a
}

func (t thing) sendRetire(v *visit, of string) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	a := answersOf(f)
	day := a.day("retired")
	if day == 0 {
		a.bad.Add("retired", "The first day without it is not stated.")
	}
	rev, _ := strconv.ParseInt(f.Get("rev"), 10, 64)
	if err = a.bad.Err(); err == nil {
		err = v.Founder.Retire(v.r.Context(), v.actor, t.kind, founding.Of{ID: of, Rev: rev}, day, v.key())
	}
	if fields, ok := formErrors(err); ok {
		return t.sheet(v, http.StatusUnprocessableEntity, of, nil, fault.Fields{}, fields)
	}
	if err != nil {
		return err
	}
	return v.goTo("/set-up/"+t.path, "Retired.")
}
