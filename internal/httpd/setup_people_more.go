package httpd

import (
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/fault"
	"rungbook/internal/founding"
	"rungbook/internal/id"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// setUpMoreRoutes are the forms that make something else than one thing.
func setUpMoreRoutes() []route {
	return []route{
		{get, "/set-up/rule-book", access.ChangeRuleBook, profilesForm},
		{post, "/set-up/rule-book", access.ChangeRuleBook, chooseProfiles},
		{get, "/set-up/appointments", access.Appoint, appointmentsForm},
		{post, "/set-up/appointments", access.Appoint, appoint},
		{get, "/set-up/appointments/{appointment}", access.Appoint, appointmentForm},
		{post, "/set-up/appointments/{appointment}", access.Appoint, endAppointment},
		{get, "/set-up/rescue-plans", access.ApproveRescuePlan, planSheetForm},
		{post, "/set-up/rescue-plans", access.ApproveRescuePlan, approveNewPlan},
		{get, "/set-up/trainees/{trainee}", access.ChangeRecords, enrolmentForm},
		{post, "/set-up/trainees/{trainee}", access.ChangeRecords, changeEnrolment},
		{get, "/set-up/starter", access.ChangeYard, starterForm},
		{post, "/set-up/starter", access.ChangeYard, beginWithExamples},
		{get, "/set-up/drills", access.RecordDrill, drillForm},
		{post, "/set-up/drills", access.RecordDrill, recordDrill},
		{get, "/set-up/inspections", access.RecordInspection, inspectionsForm},
		{post, "/set-up/inspections", access.RecordInspection, recordInspections},
		{get, "/set-up/team", access.ChangeRecords, teamForm},
		{post, "/set-up/team", access.ChangeRecords, recordTeam},
		{get, "/set-up/people/{person}/qualifications", access.RecordCertificate, qualificationsForm},
		{post, "/set-up/people/{person}/qualifications", access.RecordCertificate, qualify},
		{get, "/set-up/people/{person}/times", access.ChangeRecords, timesForm},
		{post, "/set-up/people/{person}/times", access.ChangeRecords, recordTimes},
		{post, "/set-up/people/{person}/times/take-back", access.ChangeRecords, takeBackTime},
		{get, "/set-up/intakes/{intake}/trainees", access.ChangeRecords, traineesForm},
		{post, "/set-up/intakes/{intake}/trainees", access.ChangeRecords, enrol},
	}
}

// qualificationsSheet asks for the papers of one person.
func (v *visit) qualificationsSheet() (sheet, error) {
	who := id.Person(v.param("person"))
	p, err := v.Founder.PersonTexts(v.r.Context(), v.actor, who)
	if err != nil {
		return sheet{}, err
	}
	teaches := ui.Field{Name: "teaches", Label: "May teach", Kind: ui.Checkboxes}
	for _, e := range v.ref.Exercises.All(v.today) {
		if !e.On(v.today) {
			continue
		}
		o := ui.Option{Value: string(e.ID), Label: v.ref.Text(e.Name)}
		for _, c := range v.ref.StaffCertificates[who] {
			if c.Kind == credential.ToTeach && c.Exercise == e.ID && c.On(v.today) && c.Until != 0 {
				o.Note = "to " + web.FullDay(c.Until) + " already"
			}
		}
		teaches.Options = append(teaches.Options, o)
	}
	span := func(name, what string) []ui.Field {
		return []ui.Field{dayAnswer(name+"_from", what+" from", 0), dayAnswer(name+"_until", "Last valid day of "+strings.ToLower(what), 0)}
	}
	other := ui.Field{Name: "holds", Label: "Another paper that exercises require", Value: ""}
	if names := founding.HoldsFor(v.ref.Exercises.All(v.today), v.exerciseIDs()); len(names) > 0 {
		other.Hint = "They call it: " + strings.Join(names, ", ")
	}
	s := sheet{title: "What " + p.Name + " may do", line: "Days as the papers say them. A paper recorded earlier stays beside the new one.", over: ui.Link{Text: "People who work here", Href: "/set-up/people"},
		address: "/set-up/people/" + string(who) + "/qualifications", button: "Record these papers",
		groups: []page.FieldGroup{
			{Title: "Teaching", Fields: []ui.Field{teaches}}, {Side: true, Fields: span("teaching", "Teaching")},
			{Title: "Rescue competence", Side: true, Fields: span("rescue", "Rescue")},
			{Title: "First aid", Side: true, Fields: span("first_aid", "First aid")},
			{Title: "Other papers", Folded: true, Fields: append([]ui.Field{other}, span("other", "Paper")...)}}}
	for _, c := range v.ref.StaffCertificates[who] {
		if c.State != credential.Valid || c.Until != 0 && c.Until < v.today {
			continue
		}
		s.aside = append(s.aside, ui.Link{Text: v.paperWords(c), Href: "/certificates/" + string(c.ID)})
	}
	return s, nil
}

func (v *visit) exerciseIDs() []id.Exercise {
	var out []id.Exercise
	for _, e := range v.ref.Exercises.All(v.today) {
		out = append(out, e.ID)
	}
	return out
}

// paperWords says what a certificate is and until when: "Teaches Harness basics,
// to Mon 1 Feb 2027".
func (v *visit) paperWords(c credential.Certificate) string {
	words := capital(strings.ReplaceAll(string(c.Kind), "-", " "))
	if c.Exercise != "" {
		words += " " + v.exerciseName(c.Exercise, v.today)
	}
	if c.Holds != "" && c.Holds != string(c.Kind) {
		words += ": " + strings.ReplaceAll(c.Holds, "-", " ")
	}
	if c.Until != 0 {
		words += ", to " + web.FullDay(c.Until)
	}
	if c.State != credential.Valid {
		words += " (" + string(c.State) + ")"
	}
	return words
}

func qualificationsForm(v *visit) error { return v.showSheet(v.qualificationsSheet()) }

func qualify(v *visit) error {
	return v.sendSheet(v.qualificationsSheet, func(a answers) error {
		paper := func(name string) founding.Paper {
			return founding.Paper{From: a.day(name + "_from"), Until: a.day(name + "_until")}
		}
		q := founding.Qualifications{Person: id.Person(v.param("person")), Teaches: many[id.Exercise](a, "teaches"), Teaching: paper("teaching"),
			Rescue: paper("rescue"), FirstAid: paper("first_aid"), Other: paper("other"), Holds: strings.ToLower(strings.Join(strings.Fields(a.text("holds")), "-"))}
		if err := a.bad.Err(); err != nil {
			return err
		}
		return v.Founder.Qualify(v.r.Context(), v.actor, q, v.key())
	}, "/set-up/people", "Papers recorded.")
}

// timesSheet asks when a person can't be planned.
func (v *visit) timesSheet() (sheet, error) {
	who := id.Person(v.param("person"))
	p, err := v.Founder.PersonTexts(v.r.Context(), v.actor, who)
	if err != nil {
		return sheet{}, err
	}
	at := "/set-up/people/" + string(who) + "/times"
	s := sheet{title: "Times of " + p.Name, line: "Days away, and work elsewhere. Why somebody is away is not asked.", over: ui.Link{Text: "Their record", Href: "/people/" + string(who)}, address: at, button: "Record",
		groups: []page.FieldGroup{
			{Title: "Away", Note: "A holiday, a course: whole days on which they are not available.", Side: true, Fields: []ui.Field{dayAnswer("away_from", "First day", 0), dayAnswer("away_until", "Last day", 0)}},
			{Title: "Work declared elsewhere", Note: "It counts for rest. So does the last shift before a course.", Side: true, Fields: []ui.Field{
				dayAnswer("duty_day", "Begins on", 0), {Name: "duty_from", Label: "Begins at", Kind: ui.Time, Short: true}, dayAnswer("duty_end", "Ends on, if not that day", 0), {Name: "duty_to", Label: "Ends at", Kind: ui.Time, Short: true}}}}}
	times, err := v.Founder.Times(v.r.Context(), v.actor, who)
	if err != nil {
		return sheet{}, err
	}
	for _, t := range times {
		s.actions = append(s.actions, v.takeBackAction(at, t))
	}
	return s, nil
}

func (v *visit) takeBackAction(at string, t founding.Time) page.Action {
	what := "Away"
	if t.Kind == "duty" {
		what = "Works elsewhere"
	}
	what += ", " + v.lossSpan(t.Start, t.End)
	return page.Action{Title: what, Form: ui.Form{Action: at + "/take-back", Key: v.freshKey(), Button: "Take it back", Unseen: what,
		Hidden: []ui.Value{{Name: "kind", Value: t.Kind}, {Name: "of", Value: t.ID}}}}
}

func timesForm(v *visit) error { return v.showSheet(v.timesSheet()) }

func recordTimes(v *visit) error {
	who := id.Person(v.param("person"))
	return v.sendSheet(v.timesSheet, func(a answers) error {
		from, until := a.day("away_from"), a.day("away_until")
		start := v.momentFields(a.Values, "duty_day", "duty_from", a.bad)
		endDay := "duty_end"
		if a.text(endDay) == "" {
			endDay = "duty_day"
		}
		var end civil.Instant
		if start != 0 {
			end = v.momentFields(a.Values, endDay, "duty_to", a.bad)
		}
		if from == 0 && until == 0 && start == 0 && len(a.bad) == 0 {
			a.bad.Add("away_from", "Nothing is stated. Give the days away, or when work elsewhere begins and ends.")
		}
		if err := a.bad.Err(); err != nil {
			return err
		}
		return v.Founder.AddTimes(v.r.Context(), v.actor, who, founding.Times{From: from, Until: until, Start: start, End: end}, v.key())
	}, "/set-up/people/"+string(who)+"/times", "Recorded.")
}

func takeBackTime(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	if !slices.Contains([]string{"away", "duty"}, f.Get("kind")) {
		return fault.New(fault.Invalid, "What is to be taken back was not said. Open the page again.")
	}
	if err := v.Founder.TakeBack(v.r.Context(), v.actor, f.Get("kind"), f.Get("of"), v.key()); err != nil {
		return err
	}
	return v.goTo("/set-up/people/"+v.param("person")+"/times", "Taken back; it counts no more.")
}
