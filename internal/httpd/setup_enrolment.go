package httpd

import (
	"slices"
	"strconv"

	"rungbook/internal/founding"
	"rungbook/internal/id"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// enrolmentSheet asks what one trainee comes for. What is done stays done: an
// exercise taken out is only not needed any more.
func (v *visit) enrolmentSheet() (sheet, error) {
	e, err := v.Founder.Enrolment(v.r.Context(), v.actor, id.Trainee(v.param("trainee")))
	if err != nil {
		return sheet{}, err
	}
	in, _ := v.ref.Intakes.On(e.Trainee.Intake, v.today)
	needs := ui.Field{Name: "needs", Label: "Exercises they come for", Kind: ui.Checkboxes}
	for _, x := range v.ref.Exercises.All(v.today) {
		if chosen := slices.Contains(e.Trainee.Needs, x.ID); chosen || x.On(v.today) {
			needs.Options = append(needs.Options, ui.Option{Value: string(x.ID), Label: v.ref.Text(x.Name), Chosen: chosen})
		}
	}
	return sheet{title: "Enrolment of " + e.Name, line: "In " + v.ref.Text(in.Name) + ", " + v.words.Days(in.From, in.Until) + ".", over: ui.Link{Text: "The intake", Href: "/intakes/" + string(in.ID)},
		address: "/set-up/trainees/" + string(e.Trainee.ID), button: "Save the change", hidden: []ui.Value{{Name: "rev", Value: strconv.FormatInt(e.Rev, 10)}},
		groups: []page.FieldGroup{{Fields: []ui.Field{needs, v.restField(e.Trainee.Rest)}}}, aside: []ui.Link{{Text: "Last shift before the course", Href: "/set-up/people/" + string(e.Trainee.Person) + "/times"}, {Text: "Their record", Href: "/people/" + string(e.Trainee.Person)}}}, nil
}

func enrolmentForm(v *visit) error { return v.showSheet(v.enrolmentSheet()) }

func changeEnrolment(v *visit) error {
	of := v.param("trainee")
	return v.sendSheet(v.enrolmentSheet, func(a answers) error {
		rev, _ := strconv.ParseInt(a.Get("rev"), 10, 64)
		return v.Founder.Enrol(v.r.Context(), v.actor, founding.Of{ID: of, Rev: rev}, many[id.Exercise](a, "needs"), many[id.Profile](a, "rest"), v.key())
	}, "/set-up/trainees/"+of, "Saved.")
}
