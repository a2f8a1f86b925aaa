package httpd

import (
	"bytes"
	"fmt"
	"mime"
	"slices"
	"strconv"

	"rungbook/internal/access"
	"rungbook/internal/booking"
	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/records"
	"rungbook/internal/sheets"
	"rungbook/web"
	"rungbook/web/ui"
)

// takeOutRoutes are the lists of pages as files, under the rights of the page, and
// calendars.
func takeOutRoutes() []route {
	out := []route{
		{get, "/week/{week}/calendar.ics", access.SeeWeek, weekCalendar},
		{get, "/stations/{station}/calendar.ics", access.SeeWeek, stationCalendar},
		{get, "/people/{person}/calendar.ics", access.SeePerson, func(v *visit) error { return v.personCalendar(id.Person(v.param("person"))) }},
		{get, "/path/calendar.ics", access.SeeOwnPath, func(v *visit) error { return v.personCalendar(v.actor.Person) }},
	}
	for _, l := range []struct {
		path   string
		action access.Action
		list   func(*visit) (sheets.List, error)
	}{
		{"/people/list", access.SeePeople, peopleList},
		{"/certificates/list", access.SeeCertificates, certificateList},
		{"/intakes/list", access.SeeIntakes, intakeList},
		{"/week/{week}/list", access.SeeWeek, weekList},
	} {
		for _, format := range sheets.Formats() {
			out = append(out, route{get, l.path + "." + format, l.action, func(v *visit) error {
				list, err := l.list(v)
				if err != nil {
					return err
				}
				list.About = append([]string{"As of " + v.words.Moment(v.now) + ", entry " + strconv.FormatInt(v.head, 10), "Taken out by " + v.shell.Actor.Name}, list.About...)
				return v.handFile(list.Title, format, func(b *bytes.Buffer) error { return list.Write(b, format) })
			}})
		}
	}
	return out
}

// contentTypes of what is taken out (IANA media types).
var contentTypes = map[string]string{
	"csv": "text/csv; charset=utf-8", "json": "application/json",
	"xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", "ics": "text/calendar; charset=utf-8",
}

// handFile sends a file that was written whole, so that a failure shows as one.
func (v *visit) handFile(title, format string, write func(*bytes.Buffer) error) error {
	var b bytes.Buffer
	if err := write(&b); err != nil {
		return fmt.Errorf("write %s as %s: %w", title, format, err)
	}
	h := v.w.Header()
	h.Set("Content-Type", contentTypes[format])
	h.Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": title + "." + format}))
	h.Set("Content-Length", strconv.Itoa(b.Len()))
	if _, err := v.w.Write(b.Bytes()); err != nil {
		v.log.Debug("the reader left", "path", v.r.URL.Path)
	}
	return nil
}

// takeOut lists the links to a page's list as files, with the page's filters.
func (v *visit) takeOut(path string) (out []ui.Link) {
	q := v.r.URL.Query()
	q.Del("after") // a file holds the whole list
	query := ""
	if len(q) > 0 {
		query = "?" + q.Encode()
	}
	for _, f := range []struct{ text, format string }{{"CSV", "csv"}, {"XLSX", "xlsx"}, {"JSON", "json"}} {
		out = append(out, ui.Link{Text: f.text, Href: path + "." + f.format + query})
	}
	return out
}

// filters names those in use.
func (v *visit) filters(list ...string) (out []string) {
	for i := 0; i < len(list); i += 2 {
		if list[i+1] != "" {
			out = append(out, list[i]+": "+list[i+1])
		}
	}
	if len(out) == 0 {
		return []string{"No filter"}
	}
	return out
}

func (v *visit) employerName(of id.Employer) string {
	e, _ := v.ref.Employers.On(of, v.today)
	return v.ref.Text(e.Name)
}

func (v *visit) intakeName(of id.Intake) string {
	in, _ := v.ref.Intakes.On(of, v.today)
	return v.ref.Text(in.Name)
}

func peopleList(v *visit) (sheets.List, error) {
	q := v.r.URL.Query()
	f := records.PersonFilter{NamePart: q.Get("q"), Employer: id.Employer(q.Get("employer")), Intake: id.Intake(q.Get("intake"))}
	l := sheets.List{Title: "People " + v.today.String(), Heads: []string{"Name", "Part", "Employer", "Intake"},
		About: v.filters("Part of a name", f.NamePart, "Employer", v.employerName(f.Employer), "Intake", v.intakeName(f.Intake))}
	rows, entry, err := v.Records.AllPeople(v.r.Context(), v.actor, f)
	v.head = entry
	for _, r := range rows {
		row := v.personRow(r)
		l.Rows = append(l.Rows, []any{r.Name, row.Part, row.Employer, row.Intake.Text})
	}
	return l, err
}

func certificateList(v *visit) (sheets.List, error) {
	q := v.r.URL.Query()
	f := records.CertificateFilter{Employer: id.Employer(q.Get("employer")), Programme: id.Programme(q.Get("programme")), Kind: credential.ForProgramme, UntilFrom: v.today}
	lapsed := "left out"
	if q.Get("lapsed") == "yes" {
		f.UntilFrom, lapsed = 0, "shown too"
	}
	pr, _ := v.ref.Programmes.On(f.Programme, v.today)
	l := sheets.List{Title: "Certificates " + v.today.String(), Heads: []string{"Number", "Person", "Programme", "Employer", "Issued", "Last valid day"},
		About: v.filters("Employer", v.employerName(f.Employer), "Programme", v.ref.Text(pr.Name), "Lapsed ones", lapsed)}
	rows, entry, err := v.Records.AllCertificates(v.r.Context(), v.actor, f)
	v.head = entry
	for _, r := range rows {
		c := r.Certificate
		l.Rows = append(l.Rows, []any{c.Number, r.Name, v.certificateName(c), v.employerName(r.Employer), c.From, c.Until})
	}
	return l, err
}

func intakeList(v *visit) (sheets.List, error) {
	since, ended := v.today.AddMonths(-12), "those since "+web.FullDay(v.today.AddMonths(-12))
	if v.r.URL.Query().Get("ended") == "all" {
		since, ended = 0, "all"
	}
	list, err := v.Records.Intakes(v.r.Context(), v.actor, since)
	l := sheets.List{Title: "Intakes " + v.today.String(), About: v.filters("Ended ones", ended),
		Heads: []string{"Intake", "Employer", "Programme", "First day", "Last day", "Trainees", "Exercises done", "Exercises needed"}}
	for _, in := range list {
		pr, _ := v.ref.Programmes.On(in.Intake.Programme, v.today)
		l.Rows = append(l.Rows, []any{v.ref.Text(in.Intake.Name), in.Employer, v.ref.Text(pr.Name), in.Intake.From, in.Intake.Until, in.Trainees, in.Done, in.Of})
	}
	return l, err
}

// weekFilterOf reads the filter of a week's board from the address.
func (v *visit) weekFilterOf() booking.Filter {
	q := v.r.URL.Query()
	return booking.Filter{Rig: id.Rig(q.Get("rig")), Intake: id.Intake(q.Get("intake")), Instructor: id.Person(q.Get("instructor"))}
}

// weekBoard is the board of the week in the address, and its Monday.
func (v *visit) weekBoard() (b booking.Board, monday civil.Day, err error) {
	if monday, err = civil.ParseWeek(v.param("week")); err != nil {
		return b, 0, fault.New(fault.NotFound, "%s", sentence(err))
	}
	b, err = v.Desk.Board(v.r.Context(), v.actor, monday, monday+6, v.weekFilterOf())
	return b, monday, err
}

func weekList(v *visit) (sheets.List, error) {
	b, monday, err := v.weekBoard()
	if err != nil {
		return sheets.List{}, err
	}
	v.head = b.Head
	f := v.weekFilterOf()
	r, _ := v.ref.Rigs.On(f.Rig, v.today)
	l := sheets.List{Title: "Sessions " + monday.WeekString(), Heads: []string{"Start", "End", "Exercise", "Rig", "Station", "State", "Station shut", "Trainees", "Instructors", "Rescuers"},
		About: v.filters("Rig", v.ref.Text(r.Name), "Intake", v.intakeName(f.Intake), "Instructor", b.Names[f.Instructor])}
	names := func(list []id.Person) (out string) {
		for i, p := range list {
			if i > 0 {
				out += ", "
			}
			out += b.Names[p]
		}
		return out
	}
	for _, row := range b.Rows {
		for _, c := range row.Cells {
			for _, s := range c.Sessions {
				shut := "" // what else stops a session, the list of what needs attention says
				if s.Broken {
					shut = "yes"
				}
				l.Rows = append(l.Rows, []any{sheets.Moment{At: s.Start, Zone: v.words.Zone}, sheets.Moment{At: s.End, Zone: v.words.Zone}, s.Exercise,
					v.ref.Text(row.Rig.Name), v.ref.Text(row.Station.Name), stateWords(s.State), shut, len(s.Trainees), names(s.Instructors), names(s.Rescuers)})
			}
		}
	}
	slices.SortStableFunc(l.Rows, func(a, c []any) int { return int(a[0].(sheets.Moment).At - c[0].(sheets.Moment).At) })
	return l, nil
}
