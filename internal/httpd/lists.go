package httpd

import (
	"net/http"
	"net/url"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/records"
	"rungbook/internal/session"
	"rungbook/internal/verdict"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// listsPage names every list that the reader may take out.
func listsPage(v *visit) error {
	p := page.Lists{Shell: v.page("Lists to take out", "")}
	for _, l := range takenLists() {
		if l.at != "" || !access.May(v.actor, l.action) {
			continue // of one person or intake: their pages have it
		}
		row := page.ListRow{Title: l.title, Row: l.says, Files: formatLinks(l.pattern(), url.Values{})}
		if slices.Contains(l.asks, "from") {
			row.Row += ", of this week"
			row.Page = ui.Link{Text: "Choose other days", Href: "/sessions"}
		}
		p.Rows = append(p.Rows, row)
	}
	return v.show(http.StatusOK, page.ListsPage(p))
}

// sessionsShown is how many sessions the list shows at once.
const sessionsShown = 100

// sessionsPage lists the sessions of a chosen period. after is the place of the
// last one of the page before.
func sessionsPage(v *visit) error {
	f, err := v.sessionFilter()
	if err != nil {
		return err
	}
	p := page.Sessions{Shell: v.page("Sessions", "week"), Filter: ui.Form{Action: "/sessions", Get: true, Button: "Show", Swap: "page"}, Fields: v.sessionFieldsOf(f)}
	q := v.r.URL.Query()
	after, next, last := q.Get("after"), "", ""
	err = v.Records.Lists(v.r.Context(), v.actor, access.SeeWeek, func(l *records.Lists) error {
		v.standAt(l.Entry, l.Ref)
		list, err := l.SessionsAfter(f, after)
		if err != nil {
			return err
		}
		for r, err := range list {
			if err != nil {
				return err
			}
			if len(p.Rows) == sessionsShown {
				next = last
				break
			}
			last = r.Key()
			p.Rows = append(p.Rows, v.sessionRow(r))
		}
		return nil
	})
	if err != nil {
		return err
	}
	p.Finding = capital(web.Count(len(p.Rows), "session", "sessions")) + ", " + v.words.Days(f.From, f.Until) + "."
	if next != "" {
		p.Finding = web.Number(sessionsShown) + " sessions from " + p.Rows[0].Day + " on; more follow. The files hold them all."
	}
	if said := v.sessionFilters(f)[2:]; len(said) > 0 { // the days stand already
		p.Finding += " " + strings.Join(said, ", ") + "."
	}
	p.Pages = pages("/sessions", q, next, after != "")
	if n := len(p.Rows); n > 0 {
		p.Pages.Shown = p.Rows[0].Day + " to " + p.Rows[n-1].Day
	}
	p.Shell.TakeOut = v.takeOut("sessions")
	for _, name := range []string{"attendance", "results", "hours"} {
		p.Shell.AlsoOut = append(p.Shell.AlsoOut, v.alsoOut(name))
	}
	return v.show(http.StatusOK, page.SessionsPage(p))
}

// otherDays leads to the sessions of days that can be chosen, beginning with some.
func (v *visit) otherDays(from, until civil.Day) []ui.Link {
	return append([]ui.Link{{Text: "sessions of any days", Href: "/sessions?" + url.Values{"from": {from.String()}, "until": {until.String()}}.Encode()}}, v.shell.Lists...)
}

// alsoOut is another list of the page as files.
func (v *visit) alsoOut(name string, more ...string) ui.TakeOut {
	lists := takenLists()
	title := lists[slices.IndexFunc(lists, func(l takenList) bool { return l.name == name })].title
	return ui.TakeOut{What: title, Files: v.takeOut(name, more...)}
}

// sessionsOut are the sessions of some days under one filter, and what was signed in
// them, as files.
func (v *visit) sessionsOut(from, until civil.Day, field, value string) (out []ui.TakeOut) {
	for _, name := range []string{"sessions", "attendance", "results", "hours"} {
		out = append(out, v.alsoOut(name, "from", from.String(), "until", until.String(), field, value))
	}
	return out
}

func (v *visit) sessionRow(r records.SessionRow) page.SessionRow {
	out := page.SessionRow{Day: v.words.Day(v.words.Zone.DayOf(r.Start)), Times: v.words.Times(civil.Period{Start: r.Start, End: r.End}),
		Exercise: ui.Link{Text: r.Exercise, Href: "/sessions/" + string(r.ID)}, Where: r.Rig + ", " + r.Station, State: v.stateNow(r.Session)}
	out.People = web.Count(len(r.Trainees), "trainee", "trainees")
	var names []string
	for _, p := range r.Instructors {
		names = append(names, shortName(r.Name(string(p))))
	}
	if len(names) > 0 {
		out.People += " with " + strings.Join(names, ", ")
	}
	out.Note = v.toNote(r)
	switch {
	case r.Shut:
		out.Level, out.Note = verdict.Stops, strings.TrimPrefix(out.Note+", station shut", ", ")
	case out.Note != "" && r.State != session.StoodDown:
		out.Level = verdict.Cautions
	case r.Trial && out.Note == "":
		out.Note = "trial, credits nothing"
	}
	return out
}

// toNote says why a session was stood down, or that its time has come and it is not
// where it should be by then.
func (v *visit) toNote(r records.SessionRow) string {
	switch {
	case r.State == session.StoodDown:
		return spaced(r.Down)
	case (r.State == session.Booked || r.State == session.UnderWay) && r.End <= v.now:
		return "over, not signed"
	case r.State == session.Pencilled && r.Start <= v.now:
		return "not to start yet"
	}
	return ""
}

func (v *visit) sessionFieldsOf(f records.SessionFilter) []ui.Field {
	stations := []ui.Option{{Label: "All stations"}}
	for _, st := range v.ref.Stations.All(v.today) {
		stations = append(stations, ui.Option{Value: string(st.ID), Label: v.rigName(st.Rig) + ", " + v.ref.Text(st.Name), Chosen: st.ID == f.Station})
	}
	rigs := []ui.Option{{Label: "All rigs"}}
	for _, r := range v.ref.Rigs.All(v.today) {
		rigs = append(rigs, ui.Option{Value: string(r.ID), Label: v.ref.Text(r.Name), Chosen: r.ID == f.Rig})
	}
	staff := []ui.Option{{Label: "All staff"}}
	for _, st := range v.ref.Staff.All(v.today) {
		staff = append(staff, ui.Option{Value: string(st.ID), Label: v.ref.StaffName(st.ID), Chosen: st.ID == f.Staff})
	}
	return []ui.Field{
		{Name: "from", Label: "First day", Kind: ui.Date, Short: true, Value: f.From.String()}, {Name: "until", Label: "Last day", Kind: ui.Date, Short: true, Value: f.Until.String()},
		{Name: "rig", Label: "Rig", Kind: ui.Select, Options: rigs}, {Name: "station", Label: "Station", Kind: ui.Select, Options: stations},
		{Name: "intake", Label: "Intake", Kind: ui.Select, Options: v.intakeOptions(f.Intake)}, {Name: "instructor", Label: "Instructor", Kind: ui.Select, Options: staff},
	}
}
