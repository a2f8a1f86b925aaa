package httpd

import (
	"net/http"
	"net/url"

	"rungbook/internal/fault"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// sheet is a form that makes something else than one thing: who answers for which
// field, many inspections at once, the trainees of an intake.
type sheet struct {
	title, line, address, button string
	over                         ui.Link
	groups                       []page.FieldGroup
	aside                        []ui.Link
	actions                      []page.Action
	hidden                       []ui.Value
	codes                        []page.CodeChosen
}

// sheetForm shows a sheet with what was typed (nil for what stands) and its messages.
func (v *visit) sheetForm(status int, s sheet, typed url.Values, bad fault.Fields) error {
	p := page.Thing{Shell: v.page(s.title, "set-up"), Title: s.title, Line: s.line, Over: s.over, Aside: s.aside, Actions: s.actions, Codes: s.codes,
		Form: ui.Form{Action: s.address, Key: v.freshKey(), Button: s.button, Hidden: s.hidden}}
	if p.Over.Text == "" {
		p.Over = ui.Link{Text: "Set up", Href: "/set-up"}
	}
	p.Groups = filled(s.groups, typed, bad)
	p.Form.Errors = messages(p.Groups, bad)
	return v.show(status, page.ThingPage(p))
}

// sendSheet reads a sheet's form, has it saved and goes on, or shows it again.
func (v *visit) sendSheet(s func() (sheet, error), save func(answers) error, to, said string) error {
	return v.sendSheetSaying(s, save, to, &said)
}

// sendSheetSaying is sendSheet where saving itself finds what to say.
func (v *visit) sendSheetSaying(s func() (sheet, error), save func(answers) error, to string, said *string) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	a := answersOf(f)
	err = save(a)
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
		shown, err := s()
		if err != nil {
			return err
		}
		return v.sheetForm(http.StatusUnprocessableEntity, shown, f, a.bad)
	}
	return v.goTo(to, *said)
}

// showSheet shows a sheet that nobody has filled in yet.
func (v *visit) showSheet(s sheet, err error) error {
	if err != nil {
		return err
	}
	return v.sheetForm(http.StatusOK, s, nil, fault.Fields{})
}

// changeLinks are links to forms, for those who may change what they show.
func (v *visit) changeLinks(to ...ui.Link) []ui.Link {
	if !v.mayOpen("set-up") {
		return nil
	}
	return to
}
