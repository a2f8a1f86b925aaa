package httpd

import (
	"net/http"
	"net/url"
	"strconv"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/incident"
	"rungbook/internal/incidents"
	"rungbook/internal/records"
	"rungbook/internal/verdict"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

func incidentsPage(v *visit) error {
	list, err := v.Incidents.List(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	v.ref = list.Ref
	p := page.Incidents{Shell: v.page("Incidents", "yard"), Report: ui.Link{Text: "Report an incident", Href: "/incidents/new"}}
	waits := 0
	for _, r := range list.Rows {
		i := r.Incident
		row := page.IncidentRow{What: ui.Link{Text: incidentWords[i.Kind], Href: "/incidents/" + string(i.ID)}, When: v.words.Moment(i.At), Where: v.incidentPlace(i), Due: v.incidentDue(r),
			DueLate: i.Told == nil && r.Due <= v.now}
		row.Level, row.State = v.incidentState(i)
		if i.Told != nil {
			row.Due = "told " + v.words.Moment(i.Told.At)
		}
		if i.Open() {
			waits++
		}
		p.Rows = append(p.Rows, row)
	}
	p.Finding = web.Count(len(list.Rows), "incident or near miss is", "incidents and near misses are") + " on record"
	if waits > 0 {
		p.Finding += "; " + web.Count(waits, "waits", "wait") + " for somebody"
	}
	p.Finding += "."
	p.Shell.TakeOut = v.takeOut("incidents")
	return v.show(http.StatusOK, page.IncidentsPage(p))
}

// incidentState is where an incident stands, in a few words.
func (v *visit) incidentState(i incident.Incident) (verdict.Level, string) {
	_, stops := i.Stop()
	_, kit := i.KitOut()
	kit = kit || len(v.stillOut(i)) > 0
	switch {
	case i.Class == nil:
		return verdict.Stops, "not classed"
	case stops:
		return verdict.Stops, "stops till its release"
	case kit:
		return verdict.Stops, "its kit is out of use"
	case i.Told == nil:
		return verdict.Cautions, "to be reported"
	}
	return verdict.Clear, "settled"
}

// warnOfIncidents puts a line above a page for each open incident that stops
// something or must be reported.
func (v *visit) warnOfIncidents() error {
	if !access.May(v.actor, access.SeeIncidents) {
		return nil
	}
	list, err := v.Incidents.Open(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	for _, r := range list.Rows {
		for _, n := range v.incidentNotices(r, nil) {
			n.Text = incidentWords[r.Incident.Kind] + " of " + v.words.Moment(r.Incident.At) + ", " + v.incidentPlace(r.Incident) + ": " + n.Text
			n.Link = ui.Link{Text: "Open the incident", Href: "/incidents/" + string(r.Incident.ID)}
			v.shell.Notices = append(v.shell.Notices, n)
		}
	}
	return nil
}

func incidentPage(v *visit) error { return v.incidentSheet(http.StatusOK, sent{}) }

func (v *visit) incidentSheet(status int, s sent) error {
	one, err := v.Incidents.One(v.r.Context(), v.actor, id.Incident(v.param("incident")))
	if err != nil {
		return err
	}
	v.ref = one.Ref
	i := one.Incident
	title := incidentWords[i.Kind] + ", " + v.words.Moment(i.At)
	p := page.Incident{Shell: v.page(title, "yard"), Title: title, Over: ui.Link{Text: "Incidents", Href: "/incidents"}, Stops: v.incidentNotices(one.Row, one.Exercises)}
	p.Facts = v.incidentFacts(one)
	for _, e := range one.Exercises {
		p.Stopped = append(p.Stopped, v.exerciseName(e, v.today))
	}
	for n := len(one.History) - 1; n >= 0; n-- {
		h := one.History[n]
		step := page.CertificateStep{When: v.words.Moment(h.RecordedAt), What: spaced(h.Act)}
		if name := one.Names[h.Actor]; name != "" && h.Value.Class != nil { // who reported it is not told
			step.By = "by " + name
		}
		p.Steps = append(p.Steps, step)
	}
	if access.May(v.actor, access.ClassIncident) {
		p.Actions = v.incidentActions(s, one)
	} else if i.Open() {
		p.Who = "A responsible person classes it, and puts its release on file."
	}
	return v.show(status, page.IncidentPage(p))
}

func (v *visit) incidentFacts(one incidents.Page) []ui.Fact {
	i := one.Incident
	out := []ui.Fact{fact("Where", v.incidentPlace(i))}
	if i.Session != "" {
		out = append(out, ui.Fact{Label: "In the session", Value: ui.Link{Text: v.exerciseName(i.Exercise, v.today), Href: "/sessions/" + string(i.Session)}})
	}
	if i.Kit != "" {
		out = append(out, fact("Kit that took the load", v.loadName(i.Load())))
	}
	out = append(out, v.loadFacts(i)...)
	if text := one.Texts[i.Note]; text != "" {
		out = append(out, fact("What was seen", text))
	}
	class := "not classed yet"
	if c := i.Class; c != nil {
		switch {
		case !c.Significant:
			class = "not significant"
		case c.Shared:
			class = "significant, with a shared cause"
		default:
			class = "significant"
			for n, p := range c.Programmes {
				class += map[bool]string{true: ": ", false: ", "}[n == 0] + v.programmeName(p)
			}
		}
	}
	out = append(out, fact("Class", class))
	if r := i.Release; r != nil {
		out = append(out, fact("Written release", web.FullDay(r.Day)+": "+one.Texts[r.Text]))
	}
	if i.Told != nil {
		out = append(out, fact("Reported to the scheme", v.words.Moment(i.Told.At)))
	}
	return out
}

// incidentActions are what a responsible person may do about an incident now.
func (v *visit) incidentActions(s sent, one incidents.Page) []page.Action {
	i, here := one.Incident, "/incidents/"+string(one.Incident.ID)
	rev := strconv.FormatInt(one.Rev, 10)
	if was := s.values.Get("rev"); was != "" {
		rev = was
	}
	var out []page.Action
	add := func(form, title, note, button string, fields ...ui.Field) {
		a := v.action(s, form, title, note, here+"/"+form, button, fields...)
		a.Form.Hidden = append(a.Form.Hidden, ui.Value{Name: "rev", Value: rev})
		out = append(out, a)
	}
	if i.Release == nil {
		add("class", "Class it", "A significant incident stops the exercises of its programmes, or all exercises where the cause may be shared, until the written release is on file. A stop can be made larger afterwards, never smaller.", "Class this incident", v.classFields(i)...)
		out[0].Open = out[0].Open || i.Class == nil
	}
	if i.Class != nil && i.Class.Significant && i.Release == nil {
		add("release", "Put the written release on file", "This ends the stop. Keep the letter itself with the yard’s papers.", "End the stop",
			ui.Field{Name: "day", Label: "Day of the release", Kind: ui.Date, Required: true, Short: true}, ui.Field{Name: "text", Label: "Who released it, and the reference of the letter", Required: true})
	}
	if _, is := i.KitOut(); is {
		add("kit", "Give the kit back", "A competent person has looked at every piece that took the load; what failed has been taken out of the count.", "Give "+v.kitName(i.Kit)+" back")
	}
	if i.Class != nil && i.Told == nil {
		add("told", "Note that the scheme was told", "", "The scheme was told now")
	}
	return out
}

func (v *visit) classFields(i incident.Incident) []ui.Field {
	was := incident.Class{}
	if i.Class != nil {
		was = *i.Class
	}
	programmes := ui.Field{Name: "programme", Label: "Programmes that stop, where the cause is not shared", Kind: ui.Checkboxes}
	for _, p := range v.ref.Programmes.All(v.today) {
		chosen := false
		for _, x := range was.Programmes {
			chosen = chosen || x == p.ID
		}
		programmes.Options = append(programmes.Options, ui.Option{Value: string(p.ID), Label: v.ref.Text(p.Name), Chosen: chosen})
	}
	out := []ui.Field{
		{Name: "significant", Label: "Is it significant?", Kind: ui.Radio, Options: []ui.Option{
			{Value: "yes", Label: "Yes: it stops until the written release", Chosen: was.Significant}, {Value: "no", Label: "No", Chosen: i.Class != nil && !was.Significant}}},
		{Name: "shared", Label: "May the cause be at work elsewhere?", Kind: ui.Radio, Options: []ui.Option{
			{Value: "yes", Label: "Yes, or not known: every exercise stops", Chosen: was.Shared}, {Value: "no", Label: "No: only these programmes stop", Chosen: was.Significant && !was.Shared}}},
		programmes,
	}
	if i.Kind.LoadsKit() {
		kits := ui.Field{Name: "kit", Label: "Kit that took the load", Kind: ui.Select, Options: []ui.Option{{Label: "Choose"}}}
		for _, k := range v.ref.Kits.All(v.today) {
			kits.Options = append(kits.Options, ui.Option{Value: string(k.ID), Label: v.ref.Text(k.Name), Chosen: i.Load() == incident.Load{Kit: k.ID}})
		}
		kits.Options = append(kits.Options, v.loadParts(i.Load())...)
		kits.Options = append(kits.Options, ui.Option{Value: noKit, Label: "None of the yard’s", Chosen: was.NoKit})
		out = append(out, kits)
	}
	return out
}

// noKit is what the form sends where none of the yard's kits took the load.
const noKit = "none"

func classIncident(v *visit) error {
	return v.settle("class", "Classed.", func(f url.Values, of id.Incident, rev int64) error {
		bad := fault.Fields{}
		c := incidents.Classing{Significant: f.Get("significant") == "yes", Shared: f.Get("significant") == "yes" && f.Get("shared") != "no", Programmes: ids[id.Programme](f["programme"]),
			Load: loadOf(f.Get("kit")), NoKit: f.Get("kit") == noKit}
		if f.Get("significant") == "" {
			bad.Add("significant", "Say whether it is significant.")
		}
		if c.NoKit {
			c.Load = incident.Load{}
		}
		if err := bad.Err(); err != nil {
			return err
		}
		return v.Incidents.Class(v.r.Context(), v.actor, of, rev, c, v.key())
	})
}

func releaseIncident(v *visit) error {
	return v.settle("release", "The release is on file. What it stopped may go on.", func(f url.Values, of id.Incident, rev int64) error {
		bad := fault.Fields{}
		day := dayField(f, "day", bad)
		if err := bad.Err(); err != nil {
			return err
		}
		return v.Incidents.Release(v.r.Context(), v.actor, of, rev, day, f.Get("text"), v.key())
	})
}

func toldOfIncident(v *visit) error {
	return v.settle("told", "Noted.", func(_ url.Values, of id.Incident, rev int64) error {
		return v.Incidents.Told(v.r.Context(), v.actor, of, rev, v.key())
	})
}

func giveKitBack(v *visit) error {
	return v.settle("kit", "The kit is in use again.", func(_ url.Values, of id.Incident, rev int64) error {
		return v.Incidents.GiveKitBack(v.r.Context(), v.actor, of, rev, v.key())
	})
}

// settle runs one act on the incident of the address.
func (v *visit) settle(form, done string, do func(f url.Values, of id.Incident, rev int64) error) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	of := id.Incident(v.param("incident"))
	err = do(f, of, numberField(f, "rev"))
	if fields, ok := formErrors(err); ok {
		return v.incidentSheet(http.StatusUnprocessableEntity, sent{form, f, fields})
	}
	if err != nil {
		return err
	}
	return v.goTo("/incidents/"+string(of), done)
}

func incidentList(v *visit, t *taking) error {
	list, err := v.Incidents.List(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	return v.plain(t, []string{"What", "When", "Where", "Exercise", "State", "Tell the scheme by", "Told", "Written release", "Incident"}, func(*records.Lists) error {
		return each(t, list.Rows, func(r incidents.Row) []any {
			i := r.Incident
			_, state := v.incidentState(i)
			row := []any{incidentWords[i.Kind], v.at(i.At), v.incidentPlace(i), "", state, v.at(r.Due), "", "", string(i.ID)}
			if i.Exercise != "" {
				row[3] = v.exerciseName(i.Exercise, v.today)
			}
			if i.Told != nil {
				row[6] = v.at(i.Told.At)
			}
			if i.Release != nil {
				row[7] = i.Release.Day
			}
			return row
		})
	})
}
