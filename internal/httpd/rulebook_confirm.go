package httpd

import (
	"fmt"
	"net/http"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/keeping"
	"rungbook/internal/planning"
	"rungbook/internal/rulebook"
	"rungbook/internal/verdict"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// confirmSheet lists the limits of the fields that the reader answers for, each
// with where it stands and a tick of its own that nobody set.
func (v *visit) confirmSheet() (sheet, error) {
	of := id.RuleBook(v.r.FormValue("version"))
	book, ok := v.ref.RuleBooks.On(of, civil.LastDay)
	if of == "" {
		book, ok = rulebook.InForce(v.ref.RuleBooks.All(civil.LastDay), v.today)
	}
	if !ok {
		return sheet{}, fault.New(fault.NotFound, "There is no such version of the rule book.")
	}
	s := sheet{title: "Read and confirm the rule book", line: "Tick each limit once you have read it and it is right for this centre. A field is confirmed as a whole; one without a tick is left for later.",
		over: ui.Link{Text: "Rule book", Href: "/rule-book?version=" + string(book.ID)}, address: "/rule-book/confirm", button: "Confirm what is ticked", hidden: []ui.Value{{Name: "version", Value: string(book.ID)}}}
	var others []string
	for _, f := range book.Confirmed(nil, v.today) {
		if !access.MayConfirm(v.actor, f) {
			others = append(others, planning.FieldName(f))
			continue
		}
		s.groups = append(s.groups, v.readGroup(book, f))
	}
	if len(s.groups) == 0 {
		s.button = "" // nothing to tick
	}
	if len(others) > 0 {
		s.groups = append(s.groups, page.FieldGroup{Note: "Others answer for: " + strings.Join(others, ", ") + "."})
	}
	if len(s.groups) == 0 {
		s.groups = []page.FieldGroup{{Note: "Every field of this version is confirmed."}}
	}
	return s, nil
}

// readGroup are the limits of one field. Those that stood in the last version that
// was confirmed are told, and not asked again.
func (v *visit) readGroup(book rulebook.Version, f verdict.Field) page.FieldGroup {
	name := planning.FieldName(f)
	out := ui.Field{Name: "lines_" + string(f), Label: "Read, and right for this centre", Kind: ui.Checkboxes}
	toRead := rulebook.ToRead(v.ref.RuleBooks.All(civil.LastDay), book, f)
	for _, l := range toRead {
		out.Options = append(out.Options, ui.Option{Value: l.ID, Label: capital(l.Label()) + ": " + l.ValueText(), Note: rulebook.Title(l.Profile) + ". " + capital(sourceWords(l.Source)) + unjudged(l)})
	}
	same := 0
	for _, l := range book.Lines {
		if l.Field == f && book.Selected(l.Profile) && !slices.Contains(toRead, l) {
			same++
		}
	}
	if len(toRead) == 0 {
		out.Options = []ui.Option{{Value: keeping.Unchanged, Label: "No limit of this field changed since it was confirmed; all stay right"}}
	}
	group := page.FieldGroup{Title: capital(name), Fields: []ui.Field{out}}
	if same > 0 {
		group.Note = fmt.Sprintf("%d of its limits stand as they were confirmed before. Read them in the rule book.", same)
	}
	return group
}

func unjudged(l rulebook.Line) string {
	if l.Checked() {
		return ""
	}
	return "; not checked by Rungbook"
}

func confirmForm(v *visit) error { return v.showSheet(v.confirmSheet()) }

func confirmField(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	var read []keeping.Reading
	for _, field := range append(verdict.Fields(), verdict.Planning) {
		read = append(read, keeping.Reading{Field: field, Lines: f["lines_"+string(field)]})
	}
	of := f.Get("version")
	err = v.Keeper.Confirm(v.r.Context(), v.actor, id.RuleBook(of), read, v.key())
	if fields, ok := formErrors(err); ok {
		s, err := v.confirmSheet()
		if err != nil {
			return err
		}
		return v.sheetForm(http.StatusUnprocessableEntity, s, f, fields)
	}
	if err != nil {
		return err
	}
	return v.goTo("/rule-book?version="+of, "Confirmed.")
}
