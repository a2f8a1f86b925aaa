package httpd

import (
	"fmt"
	"net/url"
	"slices"

	"rungbook/internal/id"
	"rungbook/internal/running"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// fillRating asks of everybody here whether they are within the lowest rating.
// Nobody's mass is asked or shown.
func fillRating(v *visit, shown running.Shown, p *page.Before) error {
	kit, rated := shown.Rated()
	if rated == 0 {
		p.Form.Button = ""
		return nil
	}
	p.Read = []ui.Fact{fact("Lowest rating", fmt.Sprintf("%d kg, of %s", rated, v.kitName(kit))),
		fact("What counts", "body, clothes, harness and all that is carried. Weigh, where in doubt. No mass is kept, only that it was seen")}
	field := ui.Field{Name: "within", Label: fmt.Sprintf("Within %d kg with kit, seen", rated), Kind: ui.Checkboxes}
	for _, who := range shown.Roped() {
		name := shown.Trainees[id.Trainee(who)]
		if name == "" {
			name = shown.Persons[id.Person(who)]
		}
		o := ui.Option{Value: who, Label: name}
		if slices.Contains(shown.Weigh, who) {
			o.Note = "still to be seen"
		} else {
			o.Chosen = true
		}
		field.Options = append(field.Options, o)
	}
	p.Form.Hidden = append(p.Form.Hidden, ui.Value{Name: "kg", Value: fmt.Sprint(rated)})
	p.Groups = []page.FieldGroup{{Fields: []ui.Field{field}}}
	return nil
}

func saveRating(v *visit, f url.Values, send running.Send) error {
	return v.Running.Mass(v.r.Context(), v.actor, v.runID(), send, int(numberField(f, "kg")), f["within"])
}
