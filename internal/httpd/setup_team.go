package httpd

import (
	"strings"

	"rungbook/internal/founding"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// teamRows is how many people one form takes.
const teamRows = 6

// teamSheet asks for people who begin to work here, with their papers. Whoever
// sets the yard up and does not work here by the records stands in the first row.
func (v *visit) teamSheet() (sheet, error) {
	from := dayAnswer("works_from", "They work here from", v.today)
	from.Required = true
	s := sheet{title: "Add people with what they may do", line: "Days as the papers say them. Rows left empty are left out.", over: ui.Link{Text: "People who work here", Href: "/set-up/people"},
		address: "/set-up/team", button: "Record these people", aside: []ui.Link{{Text: "One person, with more to say", Href: "/set-up/people/new"}},
		groups: []page.FieldGroup{{Title: "What holds for all of them", Note: "Another time for somebody is set in their own form afterwards.", Fields: []ui.Field{from, weekdaysField("weekdays", "Weekdays", []int{1, 2, 3, 4, 5}), v.restField(v.usualRest())}}}}
	for i := range teamRows {
		s.groups = append(s.groups, v.memberGroup(i))
	}
	if !v.worksHere() {
		s.hidden = []ui.Value{{Name: "me", Value: string(v.actor.Person)}}
	}
	return s, nil
}

// worksHere reports whether the reader is on the staff by the records.
func (v *visit) worksHere() bool {
	return v.actor.Person == "" || len(v.ref.Staff.Versions(v.actor.Person)) > 0
}

func (v *visit) memberGroup(i int) page.FieldGroup {
	who := "person " + web.Number(int64(i+1))
	name := ui.Field{Name: rowName("name", i), Label: "Name of " + who}
	if i == 0 && !v.worksHere() {
		name.Value, name.Hint = v.shell.Actor.Name, "That is you. Empty it if you don’t work here."
	}
	teaches := ui.Field{Name: rowName("teaches", i), Label: "May teach, " + who, Kind: ui.Checkboxes}
	for _, e := range v.ref.Exercises.All(v.today) {
		if e.On(v.today) {
			teaches.Options = append(teaches.Options, ui.Option{Value: string(e.ID), Label: v.ref.Text(e.Name)})
		}
	}
	if len(teaches.Options) == 0 {
		teaches.Hint = "No exercise is on record yet. What they may teach can be added in their own form."
	}
	g := page.FieldGroup{Title: capital(who), Folded: i > 0, Fields: []ui.Field{name, {Name: rowName("born", i), Label: "Birth date of " + who, Kind: ui.Date, Short: true}, teaches}}
	for _, p := range []struct{ name, label string }{{"teaching", "Teaching"}, {"rescue", "Rescue"}, {"first_aid", "First aid"}} {
		g.Fields = append(g.Fields, dayAnswer(rowName(p.name+"_from", i), p.label+" from, "+who, 0), dayAnswer(rowName(p.name+"_until", i), "Last valid day of "+strings.ToLower(p.label)+", "+who, 0))
	}
	return g
}

func teamForm(v *visit) error { return v.showSheet(v.teamSheet()) }

func recordTeam(v *visit) error {
	return v.sendSheet(v.teamSheet, func(a answers) error {
		t := founding.Team{Staff: people.Staff{From: a.day("works_from"), Weekdays: a.weekdays("weekdays"), Rest: many[id.Profile](a, "rest")}}
		for i := range teamRows {
			paper := func(name string) founding.Paper {
				return founding.Paper{From: a.day(rowName(name+"_from", i)), Until: a.day(rowName(name+"_until", i))}
			}
			row := founding.Member{Name: a.text(rowName("name", i)), Born: a.text(rowName("born", i)), Papers: founding.Qualifications{Teaches: many[id.Exercise](a, rowName("teaches", i)),
				Teaching: paper("teaching"), Rescue: paper("rescue"), FirstAid: paper("first_aid")}}
			if me := id.Person(a.text("me")); i == 0 && me != "" && me == v.actor.Person {
				row.Who = me
			}
			t.Rows = append(t.Rows, row)
		}
		if err := a.bad.Err(); err != nil {
			return err
		}
		err := v.Founder.Team(v.r.Context(), v.actor, t, v.key())
		if fields, ok := formErrors(err); ok && fields["from"] != "" {
			a.bad.Add("works_from", "%s", fields["from"])
		}
		return err
	}, "/set-up/people", "Recorded, with their papers.")
}
