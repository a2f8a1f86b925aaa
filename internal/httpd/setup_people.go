package httpd

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/credential"
	"rungbook/internal/founding"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/rulebook"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

func personThing() thing {
	return thing{path: "people", kind: "person", param: "person", one: "person", many: "people who work here", action: access.ChangeRecords, detail: "Works, may do",
		says: "Here stand those who work at the yard: instructors, rescuers, responsible persons.",
		line: "Somebody who works at the yard. Roles to sign in are given under accounts.",
		rows: staffRows, groups: personGroups, save: savePerson,
		aside: func(_ *visit, of string) []ui.Link {
			return []ui.Link{{Text: "What they may teach and do", Href: "/set-up/people/" + of + "/qualifications"},
				{Text: "Holidays and work elsewhere", Href: "/set-up/people/" + of + "/times"}, {Text: "Their record", Href: "/people/" + of}}
		}}
}

func staffRows(v *visit) []page.ThingRow {
	var out []page.ThingRow
	for _, s := range v.ref.Staff.All(v.today) {
		at := "/set-up/people/" + string(s.ID)
		row := page.ThingRow{Name: ui.Link{Text: v.ref.StaffName(s.ID), Href: at}, Detail: v.worksAndMay(s),
			Do: []ui.Link{{Text: "Qualifications", Href: at + "/qualifications"}, {Text: "Times", Href: at + "/times"}}}
		if s.Until != 0 {
			row.Note = "works here to " + web.FullDay(s.Until)
		}
		out = append(out, row)
	}
	if v.ref.StaffName(v.actor.Person) == "" && v.actor.Person != "" {
		out = append(out, page.ThingRow{Name: ui.Link{Text: v.shell.Actor.Name, Href: "/set-up/people/" + string(v.actor.Person)}, Detail: "That is you. When you work here is not stated yet."})
	}
	return out
}

// worksAndMay says on which days somebody works and what they may do today.
func (v *visit) worksAndMay(s people.Staff) string {
	var days []string
	for _, d := range s.Weekdays {
		days = append(days, weekdayNames[d-1][:3])
	}
	out := strings.Join(days, " ")
	teaches, more := 0, []string{}
	for _, c := range v.ref.StaffCertificates[s.ID] {
		switch {
		case !c.On(v.today):
		case c.Kind == credential.ToTeach:
			teaches++
		case c.Kind == credential.ToRescue:
			more = append(more, "rescuer")
		case c.Kind == credential.FirstAid:
			more = append(more, "first aid")
		}
	}
	if teaches > 0 {
		out += ", teaches " + web.Count(teaches, "exercise", "exercises")
	}
	slices.Sort(more)
	for _, m := range slices.Compact(more) {
		out += ", " + m
	}
	return out
}

func personGroups(v *visit, of string) []page.FieldGroup {
	s, works := v.ref.Staff.On(id.Person(of), v.today)
	if !works {
		s = people.Staff{From: v.today, Weekdays: []int{1, 2, 3, 4, 5}, Rest: v.usualRest()}
	}
	name, born, number, employer := v.ref.StaffName(id.Person(of)), "", "", ""
	if of != "" {
		name, born, number, employer = v.personTexts(id.Person(of))
	}
	bornField := ui.Field{Name: "born", Label: "Birth date", Kind: ui.Date, Value: born, Short: true, Hint: "May stay empty."}
	from := dayAnswer("works_from", "Works here from", s.From)
	from.Required = true
	at := yesField("works", "Works at the yard", works || of == "" || id.Person(of) == v.actor.Person)
	at.Hint = "A trainee does not. What stands below counts only for those who do."
	times := []ui.Field{at, from, dayAnswer("works_until", "To, if it ends", s.Until), weekdaysField("weekdays", "Weekdays", s.Weekdays)}
	if works {
		pattern := dayAnswer("from", "These times count from", v.today)
		pattern.Hint = "The times before it stay as they were."
		times = append(times, pattern)
	}
	return []page.FieldGroup{
		{Fields: []ui.Field{textField("name", "Name", name), bornField,
			{Name: "number", Label: "Number at their employer or scheme", Value: number}, {Name: "employer", Label: "Employer", Value: employer, Hint: v.employersHint()}}},
		{Title: "When they work", Fields: times},
		{Fields: []ui.Field{v.restField(s.Rest)}},
	}
}

func (v *visit) employersHint() string {
	var names []string
	for _, e := range v.ref.Employers.All(v.today) {
		names = append(names, v.ref.Text(e.Name))
	}
	if len(names) == 0 {
		return "The firm, as it should stand in the record."
	}
	return "Known: " + strings.Join(names[:min(len(names), 8)], ", ") + ". Another name makes another employer."
}

// restField asks whose limits on rest bind somebody; each chosen profile binds by
// itself.
func (v *visit) restField(chosen []id.Profile) ui.Field {
	f := ui.Field{Name: "rest", Label: "Limits on rest that bind them", Kind: ui.Checkboxes, Hint: "Each one ticked binds by itself. Without one nobody is planned."}
	for _, p := range v.ruleBookNow().Profiles {
		if _, ok := v.ruleBookNow().Policy(p); ok {
			f.Options = append(f.Options, ui.Option{Value: string(p), Label: rulebook.Title(p), Chosen: slices.Contains(chosen, p)})
		}
	}
	if len(f.Options) == 0 {
		f.Hint = "The rule book comes first: choose its profiles."
	}
	return f
}

// usualRest are all limits on rest of the rule book but those for people under 18.
func (v *visit) usualRest() []id.Profile {
	var out []id.Profile
	for _, p := range v.ruleBookNow().Profiles {
		if _, ok := v.ruleBookNow().Policy(p); ok && p != rulebook.EUYoung && p != rulebook.UKYoung {
			out = append(out, p)
		}
	}
	return out
}

// personTexts are what is typed of a person. An erased one shows as empty.
func (v *visit) personTexts(of id.Person) (name, born, number, employer string) {
	p, err := v.Founder.PersonTexts(v.r.Context(), v.actor, of)
	if err != nil {
		v.failed("a person's texts", err)
	}
	return p.Name, p.Born, p.Number, p.Employer
}

func savePerson(v *visit, a answers, of founding.Of) (string, error) {
	of.From = a.day("from")
	p := founding.Person{Works: a.Get("works") == "yes", Name: a.text("name"), Born: a.text("born"), Number: a.text("number"), Employer: a.text("employer"),
		Staff: people.Staff{From: a.day("works_from"), Until: a.day("works_until"), Weekdays: a.weekdays("weekdays"), Rest: many[id.Profile](a, "rest")}}
	if err := a.bad.Err(); err != nil {
		return "", err
	}
	out, err := v.Founder.Person(v.r.Context(), v.actor, of, p, v.key())
	if fields, ok := formErrors(err); ok {
		for from, to := range map[string]string{"from": "works_from", "until": "works_until"} {
			if m := fields[from]; m != "" {
				a.bad.Add(to, "%s", m)
				delete(fields, from)
			}
		}
	}
	return out, err
}

func employerThing() thing {
	return thing{path: "employers", kind: "employer", param: "employer", one: "employer", many: "employers", action: access.ChangeRecords, detail: "Intakes",
		says: "Here stand the firms that people work for. Forms of people and intakes bring them with them.",
		rows: func(v *visit) []page.ThingRow {
			var out []page.ThingRow
			for _, e := range v.ref.Employers.All(v.today) {
				n := 0
				for _, in := range v.ref.Intakes.All(v.today) {
					if in.Employer == e.ID {
						n++
					}
				}
				out = append(out, page.ThingRow{Name: ui.Link{Text: v.ref.Text(e.Name), Href: "/set-up/employers/" + string(e.ID)}, Detail: strconv.Itoa(n)})
			}
			return out
		},
		groups: func(v *visit, of string) []page.FieldGroup {
			e, _ := v.ref.Employers.On(id.Employer(of), v.today)
			return []page.FieldGroup{{Fields: []ui.Field{textField("name", "Name", v.ref.Text(e.Name))}}}
		},
		save: func(v *visit, a answers, of founding.Of) (string, error) {
			return v.Founder.Employer(v.r.Context(), v.actor, of, a.text("name"), v.key())
		}}
}

func intakeThing() thing {
	return thing{path: "intakes", kind: "intake", param: "intake", one: "intake", many: "intakes", action: access.ChangeRecords, detail: "For whom, when",
		says: "Here stand trainees who come together under one contract, in one window.",
		line: "Trainees who come together in one window.",
		rows: func(v *visit) []page.ThingRow {
			var out []page.ThingRow
			for _, in := range v.ref.Intakes.All(v.today) {
				e, _ := v.ref.Employers.On(in.Employer, v.today)
				at := "/set-up/intakes/" + string(in.ID)
				row := page.ThingRow{Name: ui.Link{Text: v.ref.Text(in.Name), Href: at}, Detail: v.ref.Text(e.Name) + ", " + v.words.Days(in.From, in.Until)}
				if in.Until >= v.today {
					row.Do = []ui.Link{{Text: "Add trainees", Href: at + "/trainees"}}
				}
				out = append(out, row)
			}
			return out
		},
		groups: intakeGroups,
		aside: func(_ *visit, of string) []ui.Link {
			return []ui.Link{{Text: "Add trainees", Href: "/set-up/intakes/" + of + "/trainees"}, {Text: "Its page", Href: "/intakes/" + of}}
		},
		save: func(v *visit, a answers, of founding.Of) (string, error) {
			in := founding.Intake{Name: a.text("name"), Employer: a.text("employer"),
				Record: people.Intake{Programme: id.Programme(a.text("programme")), From: a.day("first"), Until: a.day("until"), Alone: a.Get("alone") == "yes"}}
			if of.ID == "" {
				in.Trainees = founding.Trainees{Rest: many[id.Profile](a, "rest"), Rows: newcomers(a, v.programmeHolds(), traineeRows)}
			}
			if err := a.bad.Err(); err != nil {
				return "", err
			}
			out, err := v.Founder.Intake(v.r.Context(), v.actor, of, in, v.key())
			if fields, ok := formErrors(err); ok && fields["from"] != "" {
				a.bad.Add("first", "%s", fields["from"])
			}
			return out, err
		}}
}

func intakeGroups(v *visit, of string) []page.FieldGroup {
	in, _ := v.ref.Intakes.On(id.Intake(of), v.today)
	e, _ := v.ref.Employers.On(in.Employer, v.today)
	programme := ui.Field{Name: "programme", Label: "Programme", Kind: ui.Select, Required: true}
	for _, p := range v.programmesInUse() {
		programme.Options = append(programme.Options, ui.Option{Value: string(p.ID), Label: v.ref.Text(p.Name), Note: web.Count(len(p.Exercises), "exercise", "exercises"), Chosen: p.ID == in.Programme})
	}
	employer := textField("employer", "Employer", v.ref.Text(e.Name))
	employer.Hint = v.employersHint()
	first, until := dayAnswer("first", "First day", in.From), dayAnswer("until", "Last day", in.Until)
	first.Required, until.Required = true, true
	groups := []page.FieldGroup{
		{Fields: []ui.Field{textField("name", "Name", v.ref.Text(in.Name)), employer, programme}},
		{Title: "Window", Side: true, Fields: []ui.Field{first, until}},
		{Fields: []ui.Field{yesField("alone", "Shares no session with another intake", in.Alone)}},
	}
	if of != "" {
		return groups
	}
	groups = append(groups, page.FieldGroup{Title: "Trainees", Note: "Who is known already; rows left empty are left out. They come for every exercise of the programme. More can be added later.", Fields: []ui.Field{v.restField(v.usualRest())}})
	return append(groups, v.newcomerGroups(v.programmeHolds(), traineeRows)...)
}

// programmeExercises are what an intake's programme teaches on a day, as boxes.
func (v *visit) programmeExercises(in people.Intake) ui.Field {
	f := ui.Field{Name: "needs", Label: "Exercises they come for", Kind: ui.Checkboxes}
	p, _ := v.ref.Programmes.On(in.Programme, max(in.From, v.today))
	for _, e := range p.Exercises {
		f.Options = append(f.Options, ui.Option{Value: string(e), Label: v.exerciseName(e, v.today), Chosen: true})
	}
	return f
}

// exercisesOf are the exercises of an intake's programme.
func (v *visit) exercisesOf(in people.Intake) []id.Exercise {
	p, _ := v.ref.Programmes.On(in.Programme, max(in.From, v.today))
	return p.Exercises
}

// rowName names a field of one row of a form.
func rowName(name string, row int) string { return fmt.Sprintf("%s_%d", name, row) }
