package httpd

import (
	"slices"
	"strconv"

	"rungbook/internal/civil"
	"rungbook/internal/founding"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/planning"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
	"rungbook/internal/verdict"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// profilesSheet asks which profiles the rule book is made of.
func (v *visit) profilesSheet() (sheet, error) {
	last, any := rulebook.InForce(v.ref.RuleBooks.All(civil.LastDay), civil.LastDay)
	f := ui.Field{Name: "profiles", Label: "Profiles", Kind: ui.Checkboxes, Hint: "Each is a set of limits with their sources. They are examples: the responsible persons confirm them for your centre."}
	for _, p := range rulebook.Profiles() {
		o := ui.Option{Value: string(p.ID), Label: p.Title, Note: web.Count(len(p.Lines), "limit", "limits"), Chosen: last.Selected(p.ID)}
		if !any {
			o.Chosen = slices.Contains([]id.Profile{rulebook.TrainingStandard, rulebook.Upkeep, rulebook.Site}, p.ID)
		}
		if p.Note != "" {
			o.Note += ". " + p.Note
		}
		f.Options = append(f.Options, o)
	}
	s := sheet{title: "Choose the rule book", line: "Limits on rest, ratios, cover, validity and inspections.", address: "/set-up/rule-book", button: "Write the rule book", groups: []page.FieldGroup{{Fields: []ui.Field{f}}}}
	if any {
		from := dayAnswer("from", "First day of the new version", v.today+1)
		from.Required = true
		s.groups = append(s.groups, page.FieldGroup{Note: "Lines of a profile that stays keep their values. Every booking in its time stops until each field confirms it.", Fields: []ui.Field{from}})
		s.title, s.button = "Change the profiles", "Write a new version"
		s.aside = []ui.Link{{Text: "Read and confirm the rule book", Href: "/rule-book"}}
	}
	return s, nil
}

func profilesForm(v *visit) error { return v.showSheet(v.profilesSheet()) }

func chooseProfiles(v *visit) error {
	return v.sendSheet(v.profilesSheet, func(a answers) error {
		from := a.day("from")
		if err := a.bad.Err(); err != nil {
			return err
		}
		return v.Founder.Profiles(v.r.Context(), v.actor, many[id.Profile](a, "profiles"), from, v.key())
	}, "/rule-book", "The rule book is written. Read each limit; each field’s responsible person confirms it.")
}

// appointmentsSheet asks who answers for which field.
func (v *visit) appointmentsSheet() (sheet, error) {
	s := sheet{title: "Appoint responsible persons", line: "By a dated written naming, for a field.", address: "/set-up/appointments", button: "Appoint"}
	var fields []ui.Field
	for _, field := range verdict.Fields() {
		f := ui.Field{Name: string(field), Label: capital(planning.FieldName(field)), Kind: ui.Select, Options: []ui.Option{{Label: "Leave as it is"}}}
		var standing []string
		for _, a := range people.AppointedOn(v.ref.Appointments.All(v.today), field, v.today) {
			standing = append(standing, v.ref.StaffName(a.Person)+" to "+web.FullDay(a.Until))
		}
		if len(standing) > 0 {
			f.Hint = "Now " + web.List(standing) + "."
		}
		for _, st := range v.ref.Staff.All(v.today) {
			f.Options = append(f.Options, ui.Option{Value: string(st.ID), Label: v.ref.StaffName(st.ID)})
		}
		fields = append(fields, f)
	}
	from, until := dayAnswer("from", "From", v.today), dayAnswer("until", "To", v.today.AddMonths(24)-1)
	from.Required, until.Required = true, true
	s.groups = []page.FieldGroup{{Fields: fields}, {Title: "In writing", Side: true, Fields: []ui.Field{from, until}}}
	for _, a := range v.ref.Appointments.All(v.today) {
		if a.Until >= v.today {
			s.aside = append(s.aside, ui.Link{Text: "End: " + v.ref.StaffName(a.Person) + ", " + planning.FieldName(a.Field), Href: "/set-up/appointments/" + string(a.ID)})
		}
	}
	return s, nil
}

func appointmentsForm(v *visit) error { return v.showSheet(v.appointmentsSheet()) }

func appoint(v *visit) error {
	return v.sendSheet(v.appointmentsSheet, func(a answers) error {
		in := founding.Appointing{For: map[verdict.Field]id.Person{}, From: a.day("from"), Until: a.day("until")}
		for _, field := range verdict.Fields() {
			if who := a.text(string(field)); who != "" {
				in.For[field] = id.Person(who)
			}
		}
		if err := a.bad.Err(); err != nil {
			return err
		}
		return v.Founder.Appoint(v.r.Context(), v.actor, in, v.key())
	}, "/set-up/appointments", "Appointed.")
}

func (v *visit) appointmentSheet() (sheet, error) {
	of := v.param("appointment")
	standing, err := v.Founder.Standing(v.r.Context(), v.actor, "appointment", of)
	if err != nil {
		return sheet{}, err
	}
	a, _ := v.ref.Appointments.On(id.Appointment(of), civil.LastDay)
	day := dayAnswer("until", "Last day", v.today)
	day.Required = true
	return sheet{title: "End an appointment", line: v.ref.StaffName(a.Person) + " answers for " + planning.FieldName(a.Field) + ", " + web.FullDay(a.From) + " to " + web.FullDay(a.Until) + ".",
		over: ui.Link{Text: "Appointments", Href: "/set-up/appointments"}, address: "/set-up/appointments/" + of, button: "End it on that day",
		hidden: []ui.Value{{Name: "rev", Value: strconv.FormatInt(standing.Rev, 10)}}, groups: []page.FieldGroup{{Fields: []ui.Field{day}}}}, nil
}

func appointmentForm(v *visit) error { return v.showSheet(v.appointmentSheet()) }

func endAppointment(v *visit) error {
	return v.sendSheet(v.appointmentSheet, func(a answers) error {
		day := a.day("until")
		if day == 0 {
			a.bad.Add("until", "The last day is not stated.")
		}
		rev, _ := strconv.ParseInt(a.Get("rev"), 10, 64)
		if err := a.bad.Err(); err != nil {
			return err
		}
		return v.Founder.EndAppointment(v.r.Context(), v.actor, founding.Of{ID: v.param("appointment"), Rev: rev}, day, v.key())
	}, "/set-up/appointments", "It ends on that day.")
}

// planSheet asks for a new rescue plan.
func (v *visit) planSheet() (sheet, error) {
	author := ui.Field{Name: "author", Label: "Written by", Kind: ui.Select, Required: true, Hint: "You approve it by sending this form, and never one you wrote."}
	for _, st := range v.ref.Staff.All(v.today) {
		if st.ID != v.actor.Person {
			author.Options = append(author.Options, ui.Option{Value: string(st.ID), Label: v.ref.StaffName(st.ID)})
		}
	}
	stations := v.stationBoxes("stations", "Stations it covers", nil)
	var need []id.Station
	for _, st := range v.ref.Stations.All(v.today) {
		if st.Height {
			need = append(need, st.ID)
		}
	}
	choose(stations.Options, need)
	force, review := dayAnswer("in_force", "In force from", v.today), dayAnswer("review_by", "Review by", v.today.AddMonths(12))
	force.Required, review.Required = true, true
	target := wholeField("target_minutes", "Reach a casualty within", "minutes", 0)
	target.Value = ""
	if l, ok := v.ruleBookNow().Strictest(rulebook.RescueTarget); ok {
		target.Hint = "At most " + l.ValueText() + " by the rule book."
	}
	return sheet{title: "Approve a rescue plan", line: "How a casualty is brought to a safe place from these stations.", address: "/set-up/rescue-plans", button: "Approve and put in force",
		groups: []page.FieldGroup{
			{Fields: []ui.Field{textField("name", "Name", ""), {Name: "text", Label: "The plan", Kind: ui.Area, Required: true, Hint: "Alarm, chain of command, named lead, steps and roles, kit, way to a safe place."}, stations, author, onPaperField()}},
			{Side: true, Fields: []ui.Field{target, force, review}}}}, nil
}

func planSheetForm(v *visit) error { return v.showSheet(v.planSheet()) }

func approveNewPlan(v *visit) error {
	return v.sendSheet(v.planSheet, func(a answers) error {
		p := founding.RescuePlan{Name: a.text("name"), Text: a.text("text"), Stations: many[id.Station](a, "stations"), Author: id.Person(a.text("author")), OnPaper: a.Get("on_paper") == "yes",
			InForce: a.day("in_force"), ReviewBy: a.day("review_by"), Target: a.minutes("target_minutes", true)}
		if err := a.bad.Err(); err != nil {
			return err
		}
		_, err := v.Founder.RescuePlan(v.r.Context(), v.actor, p, v.key())
		return err
	}, "/set-up/drills", "Approved and in force. A drill proves it.")
}

// drillSheet asks for a rescue that was drilled.
func (v *visit) drillSheet() (sheet, error) {
	plan := ui.Field{Name: "plan", Label: "Rescue plan", Kind: ui.Select, Required: true}
	for _, p := range v.ref.RescuePlans.All(v.today) {
		plan.Options = append(plan.Options, ui.Option{Value: string(p.ID), Label: v.ref.Text(p.Name), Chosen: string(p.ID) == v.r.URL.Query().Get("plan")})
	}
	if len(plan.Options) == 0 {
		plan.Hint = "No rescue plan is in force yet. Approve one first."
	}
	day := dayAnswer("day", "Day", v.today)
	day.Required = true
	accepted := ui.Field{Name: "accepted", Label: "How it went", Kind: ui.Radio, Options: []ui.Option{{Value: "yes", Label: "Accepted"}, {Value: "no", Label: "Not accepted: its stations stop until one is accepted"}}}
	minutes := wholeOrNone("minutes", "To a safe place in", "minutes", 0)
	minutes.Required = true
	if l, ok := v.ruleBookNow().Strictest(rulebook.DrillMinutes); ok {
		minutes.Hint = "minutes; a plan whose last accepted drill took more than " + l.ValueText() + " stops its stations."
	}
	people := ui.Field{Name: "people", Label: "Who took part", Kind: ui.Checkboxes, Required: true}
	for _, p := range v.ref.Staff.All(v.today) {
		people.Options = append(people.Options, ui.Option{Value: string(p.ID), Label: v.ref.StaffName(p.ID)})
	}
	found := ui.Field{Name: "found", Label: "What was found", Kind: ui.Area, Hint: "What went well, and what the plan's next version mends."}
	return sheet{title: "Record a rescue drill", line: "A rescue that was drilled under a plan.", address: "/set-up/drills", button: "Record the drill",
		groups: []page.FieldGroup{{Fields: []ui.Field{plan, day, minutes, accepted, found}}, {Side: true, Fields: []ui.Field{people}}}, aside: []ui.Link{v.within(ui.Link{Text: "Approve a rescue plan", Href: "/set-up/rescue-plans"})}}, nil
}

func drillForm(v *visit) error { return v.showSheet(v.drillSheet()) }

func recordDrill(v *visit) error {
	return v.sendSheet(v.drillSheet, func(a answers) error {
		d := rig.Drill{Plan: id.RescuePlan(a.text("plan")), Day: a.day("day"), Minutes: a.minutes("minutes", true), Accepted: a.Get("accepted") == "yes", People: many[id.Person](a, "people")}
		if a.Get("accepted") == "" {
			a.bad.Add("accepted", "Whether the drill was accepted is not stated.")
		}
		if err := a.bad.Err(); err != nil {
			return err
		}
		_, err := v.Founder.Drill(v.r.Context(), v.actor, founding.Drilled{Record: d, Found: a.text("found")}, v.key())
		return err
	}, "/set-up", "Drill recorded.")
}

// inspectionsSheet asks when each inspection that is asked for was last done. Only
// those that stop something now are shown first.
func (v *visit) inspectionsSheet() (sheet, error) {
	s := sheet{title: "Record inspections", line: "Those done before Rungbook, from the reports. A failed one is recorded at its rig or station.", address: "/set-up/inspections", button: "Record as passed"}
	groups := map[string]*page.FieldGroup{}
	var order []string
	for i, x := range founding.AskedOn(v.ref, v.today) {
		name := v.subjectName(x.Subject)
		g, ok := groups[name]
		if !ok {
			g = &page.FieldGroup{Title: name, Side: true}
			groups[name], order = g, append(order, name)
		}
		f := dayAnswer(rowName("done", i), capital(rulebook.Line{ID: x.Line}.Subject()), 0)
		if last, ok := v.lastDone(x); ok {
			f.Hint = "Last " + web.FullDay(last)
		}
		g.Fields = append(g.Fields, f)
	}
	for _, name := range order {
		s.groups = append(s.groups, *groups[name])
	}
	if len(s.groups) == 0 {
		s.groups = []page.FieldGroup{{Note: "No rig, station or kit asks for an inspection. Tick those that bind it in its form."}}
	}
	return s, nil
}

func (v *visit) subjectName(subject string) string {
	for _, kind := range []verdict.RefKind{verdict.Rig, verdict.Station, verdict.Kit} {
		if name := planning.Name(v.ref, verdict.Ref{Kind: kind, ID: subject}, v.today); name != subject {
			return name
		}
	}
	return subject
}

func (v *visit) lastDone(x founding.Asked) (last civil.Day, ok bool) {
	for _, i := range v.ref.Inspections.All(civil.LastDay) {
		if i.Subject == x.Subject && i.Line == x.Line && i.Passed {
			last, ok = max(last, i.Done), true
		}
	}
	return last, ok
}

func inspectionsForm(v *visit) error { return v.showSheet(v.inspectionsSheet()) }

func recordInspections(v *visit) error {
	return v.sendSheet(v.inspectionsSheet, func(a answers) error {
		var list []founding.Inspected
		for i, x := range founding.AskedOn(v.ref, v.today) {
			list = append(list, founding.Inspected{Asked: x, Done: a.day(rowName("done", i))})
		}
		if err := a.bad.Err(); err != nil {
			return err
		}
		return v.Founder.Inspect(v.r.Context(), v.actor, list, v.key())
	}, "/set-up", "Inspections recorded.")
}
