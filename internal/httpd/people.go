package httpd

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/records"
	"rungbook/internal/session"
	"rungbook/internal/verdict"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

func peoplePage(v *visit) error {
	q := v.r.URL.Query()
	f := records.PersonFilter{NamePart: q.Get("q"), Employer: id.Employer(q.Get("employer")), Intake: id.Intake(q.Get("intake")), AfterKey: q.Get("after")}
	rows, next, err := v.Records.People(v.r.Context(), v.actor, f)
	if err != nil {
		return err
	}
	p := page.People{Shell: v.page("People", "people"), Filter: ui.Form{Action: "/people", Get: true, Button: "Show", Swap: "page"}}
	p.Fields = []ui.Field{
		{Name: "q", Label: "Part of a name", Kind: ui.Search, Value: f.NamePart},
		{Name: "employer", Label: "Employer", Kind: ui.Select, Options: v.employerOptions(string(f.Employer))},
		{Name: "intake", Label: "Intake", Kind: ui.Select, Options: v.intakeOptions(f.Intake)},
	}
	for _, r := range rows {
		p.Rows = append(p.Rows, v.personRow(r))
	}
	p.Finding = web.Count(len(rows), "person", "people") + ", by name."
	if next != "" {
		p.Finding = fmt.Sprintf("%d by name; more follow. Part of a name, employer or intake narrows the list.", len(rows))
	}
	p.Pages = pages("/people", q, next, f.AfterKey != "")
	if n := len(rows); n > 0 {
		p.Pages.Shown = rows[0].Name + " to " + rows[n-1].Name
	}
	p.Shell.TakeOut = v.takeOut("people")
	return v.show(http.StatusOK, page.PeoplePage(p))
}

// pages leads through a list by key, the filters kept.
func pages(path string, q url.Values, next string, later bool) ui.Pages {
	var out ui.Pages
	q.Del("after")
	if later {
		out.First = path + "?" + q.Encode()
	}
	if next != "" {
		q.Set("after", next)
		out.Next = path + "?" + q.Encode()
	}
	return out
}

func (v *visit) employerOptions(chosen string) []ui.Option {
	out := []ui.Option{{Label: "All employers"}}
	for _, e := range v.ref.Employers.All(v.today) {
		out = append(out, ui.Option{Value: string(e.ID), Label: v.ref.Text(e.Name), Chosen: string(e.ID) == chosen})
	}
	return out
}

func (v *visit) intakeOptions(chosen id.Intake) []ui.Option {
	out := []ui.Option{{Label: "All intakes"}}
	for _, in := range v.ref.Intakes.All(v.today) {
		out = append(out, ui.Option{Value: string(in.ID), Label: v.ref.Text(in.Name), Chosen: in.ID == chosen})
	}
	return out
}

func (v *visit) personRow(r records.PersonRow) page.PersonRow {
	out := page.PersonRow{Name: personLink(r.Person.ID, r.Name), Part: "trainee"}
	if r.Staff {
		out.Part = "staff"
	}
	if e, ok := v.ref.Employers.On(r.Employer, v.today); ok {
		out.Employer = v.ref.Text(e.Name)
	}
	if n := len(r.Intakes); n > 0 {
		in, _ := v.ref.Intakes.On(r.Intakes[n-1], v.today)
		out.Intake = ui.Link{Text: v.ref.Text(in.Name), Href: "/intakes/" + string(in.ID)}
	}
	return out
}

func personPage(v *visit) error {
	rec, err := v.Records.Person(v.r.Context(), v.actor, id.Person(v.param("person")))
	if err != nil {
		return err
	}
	q := v.r.URL.Query()
	here := "/people/" + string(rec.Value.ID)
	p := page.Person{Shell: v.page(rec.Name, "people"), Name: rec.Name, Line: v.personLine(rec)}
	stand, over := v.standing(rec.Certificates)
	p.Holdings, p.Over = v.holdings(stand), v.holdings(over)
	at := "/set-up/people/" + string(rec.Value.ID)
	p.Do = v.changeLinks(ui.Link{Text: "Change", Href: at}, ui.Link{Text: "Record papers", Href: at + "/qualifications"}, ui.Link{Text: "Times", Href: at + "/times"})
	for _, e := range rec.Enrolments {
		if e.Intake.Until >= v.today {
			p.Do = append(p.Do, v.changeLinks(ui.Link{Text: "Enrolment", Href: "/set-up/trainees/" + string(e.Trainee.ID)})...)
		}
	}
	if rec.Employer != "" {
		p.Facts = append(p.Facts, fact("Employer", rec.Employer))
	}
	for _, e := range rec.Enrolments {
		p.Facts = append(p.Facts, ui.Fact{Label: "Intake", Value: ui.Link{Text: v.ref.Text(e.Intake.Name) + ", " + v.words.Days(e.Intake.From, e.Intake.Until), Href: "/intakes/" + string(e.Intake.ID)}})
	}
	for _, s := range waitsAgain(rec) {
		p.Facts = append(p.Facts, ui.Fact{Label: "Waits for another time", Value: ui.Link{Text: v.sessionLink(s).Text + ", " + againWords(s) + " " + v.words.Day(v.words.Zone.DayOf(s.Start)), Href: "/sessions/" + string(s.ID) + "/again"}})
	}
	for _, a := range rec.Appointments {
		p.Appointments = append(p.Appointments, fact(capital(planning.FieldName(a.Field)), "to "+web.FullDay(a.Until)))
	}
	p.Hours, p.Total = v.hours(rec, here)
	p.Coming, p.Past = v.personSessions(rec, q)
	if e, r := id.Exercise(q.Get("exercise")), id.Rig(q.Get("rig")); e != "" || r != "" {
		rg, _ := v.ref.Rigs.On(r, v.today)
		p.Chosen = strings.TrimSpace(v.exerciseName(e, v.today) + " on " + v.ref.Text(rg.Name))
		p.ShowAll = ui.Link{Text: "Show all sessions", Href: here}
	}
	p.Trains = len(rec.Enrolments) > 0
	p.PastSay = web.Count(len(p.Past), "session", "sessions") + ", latest first"
	p.Past, p.Pages = heldPage(p.Past, here, q)
	p.Results = v.results(rec)
	if err := v.notFirstHand(&p, rec, stand, over); err != nil {
		return err
	}
	if access.May(v.actor, access.ChangeAccounts) && !v.hasAccount(rec.Value.ID) {
		p.Actions = append(p.Actions, page.Action{Title: "Invite to sign in", Note: "Makes a link with which this person sets a password.",
			Form: ui.Form{Action: "/accounts/invite", Get: true, Hidden: []ui.Value{{Name: "person", Value: string(rec.Value.ID)}}, Button: "Invite this person"}})
	}
	p.Shell.TakeOut = append(formatLinks(here+"/record", nil), ui.Link{Text: "calendar", Href: here + "/calendar.ics"})
	return v.show(http.StatusOK, page.PersonPage(p))
}

// heldShown is how many sessions held a record shows at once.
const heldShown = 100

// heldPage cuts a long list of sessions held. The first session of the next part
// is in the address.
func heldPage(past []page.PersonSession, here string, q url.Values) ([]page.PersonSession, ui.Pages) {
	const prefix = "/sessions/"
	from := max(slices.IndexFunc(past, func(s page.PersonSession) bool { return s.Exercise.Href == prefix+q.Get("after") }), 0)
	until, next := len(past), ""
	if from+heldShown < until {
		until = from + heldShown
		next = strings.TrimPrefix(past[until].Exercise.Href, prefix)
	}
	out := pages(here, q, next, from > 0)
	for _, address := range []*string{&out.First, &out.Next} {
		if *address != "" {
			*address += "#sessions"
		}
	}
	return past[from:until], out
}

func (v *visit) personLine(rec records.Person) string {
	switch {
	case rec.Staff != nil && len(rec.Enrolments) > 0:
		return "staff and trainee"
	case rec.Staff != nil:
		return "staff since " + web.FullDay(rec.Staff.From)
	case len(rec.Enrolments) > 0:
		return "trainee"
	}
	return ""
}

// standing parts certificates into those that stand, the first to end first and
// those without an end last, and those that have ended or were replaced.
func (v *visit) standing(list []credential.Certificate) (stand, over []credential.Certificate) {
	for _, c := range list {
		if c.State == credential.Valid && (c.Until == 0 || c.Until >= v.today) {
			stand = append(stand, c)
		} else {
			over = append(over, c)
		}
	}
	ends := func(c credential.Certificate) civil.Day {
		if c.Until == 0 {
			return civil.LastDay
		}
		return c.Until
	}
	slices.SortStableFunc(stand, func(a, b credential.Certificate) int { return int(ends(a) - ends(b)) })
	return stand, over
}

func (v *visit) holdings(list []credential.Certificate) []page.Holding {
	var out []page.Holding
	for _, c := range list {
		h := page.Holding{Name: ui.Link{Text: v.certificateName(c)}, Number: certificateNumber(c), LastDay: web.FullDay(c.Until), Left: v.words.DaysLeft(c.Until)}
		h.Level, h.Left = v.lasting(c, h.Left)
		if access.May(v.actor, access.SeeCertificates) {
			h.Name.Href = "/certificates/" + string(c.ID)
		}
		if c.Until == 0 {
			h.LastDay = "no end stated"
		}
		out = append(out, h)
	}
	return out
}

// certificateNumber is the number that the centre gave; certificates from
// elsewhere have none.
func certificateNumber(c credential.Certificate) string {
	if c.Number == 0 {
		return ""
	}
	return strconv.Itoa(c.Number)
}

// nearEnd is how many days before its end a certificate is marked.
const nearEnd = 60

func (v *visit) lasting(c credential.Certificate, left string) (verdict.Level, string) {
	switch {
	case c.State != credential.Valid:
		return verdict.Stops, string(c.State)
	case c.Until == 0:
		return verdict.Clear, ""
	case c.Until < v.today:
		return verdict.Stops, left
	case c.Until-v.today < nearEnd:
		return verdict.Cautions, left
	}
	return verdict.Clear, left
}

func (v *visit) certificateName(c credential.Certificate) string {
	switch c.Kind {
	case credential.ForProgramme:
		p, _ := v.ref.Programmes.On(c.Programme, v.today)
		return v.ref.Text(p.Name)
	case credential.ToTeach:
		return "Teaches " + v.exerciseName(c.Exercise, v.today)
	case credential.ToRescue:
		return "Rescue competence"
	case credential.FirstAid:
		return "First aid"
	case credential.Medical:
		return "Medical fitness: " + strings.ReplaceAll(strings.TrimPrefix(c.Holds, "medical-"), "-", " ")
	}
	return capital(strings.ReplaceAll(c.Holds, "-", " "))
}

// hours is the table of credited time; each number leads to its sessions.
func (v *visit) hours(rec records.Person, here string) ([]page.HoursRow, ui.Link) {
	var out []page.HoursRow
	for _, h := range rec.Hours {
		href := here + "?" + url.Values{"exercise": {string(h.Exercise)}, "rig": {string(h.Rig)}}.Encode() + "#sessions"
		rg, _ := v.ref.Rigs.On(h.Rig, v.today)
		out = append(out, page.HoursRow{Exercise: v.exerciseName(h.Exercise, v.today), Rig: v.ref.Text(rg.Name),
			Sessions: ui.Link{Text: strconv.Itoa(h.Sessions), Href: href}, Hours: ui.Link{Text: web.Hours(h.Minutes), Href: href}})
	}
	return out, ui.Link{Text: web.Hours(rec.Total), Href: here + "#sessions"}
}

// personSessions parts sessions into those to come and those past; an exercise or
// rig in the address keeps only theirs among the past ones.
func (v *visit) personSessions(rec records.Person, q url.Values) (coming, past []page.PersonSession) {
	for _, a := range rec.Sessions {
		s := a.Session
		row := v.personSession(a)
		if s.Start > v.now && s.State != session.StoodDown {
			coming = append(coming, row)
			continue
		}
		day := v.words.Zone.DayOf(s.Start)
		st, _ := v.ref.Stations.On(s.Station, day)
		if e := q.Get("exercise"); e != "" && (e != string(s.Exercise) || a.Minutes == 0) {
			continue
		}
		if r := q.Get("rig"); r != "" && (r != string(st.Rig) || a.Minutes == 0) {
			continue
		}
		past = append(past, row)
	}
	slices.Reverse(coming)
	return coming, past
}

func (v *visit) personSession(a records.Attended) page.PersonSession {
	s := a.Session
	out := page.PersonSession{
		Day: v.words.Day(v.words.Zone.DayOf(s.Start)), Times: v.words.Times(civil.Period{Start: s.Start, End: s.End}),
		Exercise: ui.Link{Text: a.Name, Href: "/sessions/" + string(s.ID)}, Station: a.Station, Part: string(a.Part),
		Attendance: strings.ReplaceAll(string(a.Mark), "-", " "), State: v.stateNow(s),
	}
	if s.Trial {
		out.Trial = trialWords(s.TrialOf)
	}
	if a.Corrected {
		out.Attendance += " · corrected"
	}
	if a.Minutes > 0 {
		out.Length = a.Minutes.String()
	}
	return out
}

func (v *visit) results(rec records.Person) []page.Result {
	var out []page.Result
	for _, a := range rec.Sessions {
		for _, r := range a.Results {
			out = append(out, page.Result{Outcome: r.Name, Result: strings.ReplaceAll(string(r.Result), "-", " "),
				Session: ui.Link{Text: v.words.Day(v.words.Zone.DayOf(a.Session.Start)) + ", " + a.Name, Href: "/sessions/" + string(a.Session.ID)}})
		}
	}
	return out
}
