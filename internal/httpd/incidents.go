package httpd

import (
	"net/http"
	"net/url"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/incident"
	"rungbook/internal/incidents"
	"rungbook/internal/verdict"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// incidentRoutes are what goes wrong: reported by anyone, settled by a responsible
// person.
func incidentRoutes() []route {
	return []route{
		{get, "/incidents/new", access.ReportIncident, reportForm},
		{post, "/incidents", access.ReportIncident, reportIncident},
		{get, "/incidents/{incident}/noted", access.ReportIncident, notedPage},
		{post, "/incidents/{incident}/noted", access.ReportIncident, addToIncident},
		{get, "/incidents", access.SeeIncidents, incidentsPage},
		{get, "/incidents/{incident}", access.SeeIncidents, incidentPage},
		{post, "/incidents/{incident}/class", access.ClassIncident, classIncident},
		{post, "/incidents/{incident}/release", access.ClassIncident, releaseIncident},
		{post, "/incidents/{incident}/told", access.ClassIncident, toldOfIncident},
		{post, "/incidents/{incident}/kit", access.ClassIncident, giveKitBack},
	}
}

// incidentWords says what happened, as buttons and lists do.
var incidentWords = map[incident.Kind]string{
	incident.FallArrested: "Fall arrested", incident.KitOverloaded: "Kit overloaded", incident.DroppedObject: "Dropped object",
	incident.Electric: "Electric shock or arc", incident.HandInjury: "Hand injury", incident.OtherInjury: "Other injury",
	incident.NearMiss: "Near miss", incident.Other: "Something else",
}

func reportForm(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	return v.report(http.StatusOK, f, nil)
}

// report asks what happened, then where. One tap records it.
func (v *visit) report(status int, f url.Values, bad fault.Fields) error {
	kind, of := incident.Kind(f.Get("kind")), id.Session(f.Get("session"))
	p := page.IncidentReport{Shell: v.page("Report an incident", "yard"), Over: ui.Link{Text: "Yard", Href: "/"}}
	if !access.May(v.actor, access.SeeYard) {
		p.Over = ui.Link{Text: "My path", Href: "/path"}
	}
	if bad != nil {
		p.Line = bad["kind"]
	}
	word, chosen := incidentWords[kind]
	if !chosen {
		what := page.Taps{Title: "What happened?"}
		for _, k := range incident.Kinds() {
			q := url.Values{"kind": {string(k)}}
			if of != "" {
				q.Set("session", string(of))
			}
			what.Links = append(what.Links, ui.Link{Text: incidentWords[k], Href: "/incidents/new?" + q.Encode()})
		}
		p.Steps = []page.Taps{what}
		return v.show(status, page.IncidentReportPage(p))
	}
	p.Line = word + ". The next tap records it, at this moment."
	p.Shell.Title = "Report an incident: where"
	places, err := v.Incidents.Places(v.r.Context(), v.actor, of)
	if err != nil {
		return err
	}
	v.ref = places.Ref
	group := func(title string, taps ...ui.Value) {
		if len(taps) > 0 {
			p.Steps = append(p.Steps, page.Taps{Title: title, Name: "place", Tap: taps,
				Form: ui.Form{Action: "/incidents", Key: v.freshKey(), Hidden: []ui.Value{{Name: "kind", Value: string(kind)}}}})
		}
	}
	var inSession, atStation, atRig []ui.Value
	for _, s := range places.Sessions {
		inSession = append(inSession, ui.Value{Name: v.span(s) + ", " + v.sessionLink(s).Text + ", " + v.stationName(s.Station), Value: "session:" + string(s.ID)})
	}
	for _, st := range places.Stations {
		atStation = append(atStation, ui.Value{Name: v.stationName(st.ID), Value: "station:" + string(st.ID)})
	}
	for _, r := range places.Rigs {
		atRig = append(atRig, ui.Value{Name: v.rigName(r.ID), Value: "rig:" + string(r.ID)})
	}
	group("In a session", inSession...)
	group("At a station", atStation...)
	group("At a rig", atRig...)
	group("Elsewhere", ui.Value{Name: "On the yard, or not known", Value: "yard:"})
	return v.show(status, page.IncidentReportPage(p))
}

func reportIncident(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	r := incidents.Report{Kind: incident.Kind(f.Get("kind"))}
	at, of, ok := strings.Cut(f.Get("place"), ":")
	switch at {
	case "session":
		r.Session = id.Session(of)
	case "station":
		r.Station = id.Station(of)
	case "rig":
		r.Rig = id.Rig(of)
	default:
		ok = ok && at == "yard"
	}
	if !ok {
		return v.report(http.StatusUnprocessableEntity, f, fault.Fields{"kind": "Choose where it happened."})
	}
	made, err := v.Incidents.Report(v.r.Context(), v.actor, r, v.key())
	if fields, ok := formErrors(err); ok {
		return v.report(http.StatusUnprocessableEntity, url.Values{}, fields)
	}
	if err != nil {
		return err
	}
	return v.goTo("/incidents/"+string(made)+"/noted", "")
}

func notedPage(v *visit) error { return v.noted(http.StatusOK, url.Values{}, nil) }

func (v *visit) noted(status int, f url.Values, bad fault.Fields) error {
	one, err := v.Incidents.One(v.r.Context(), v.actor, id.Incident(v.param("incident")))
	if err != nil {
		return err
	}
	v.ref = one.Ref
	i, here := one.Incident, "/incidents/"+string(one.Incident.ID)
	p := page.IncidentNoted{Shell: v.page("Incident recorded", "yard"), Over: ui.Link{Text: "Report an incident", Href: "/incidents/new"},
		Line: incidentWords[i.Kind] + ", " + v.incidentPlace(i) + ", " + v.words.Moment(i.At), Stops: v.incidentNotices(one.Row, one.Exercises)}
	if access.May(v.actor, access.SeeIncidents) {
		p.Open = ui.Link{Text: "Open the incident", Href: here}
	}
	if i.Class == nil {
		p.Form = ui.Form{Action: here + "/noted", Key: v.freshKey(), Button: "Keep this text"}
		p.Note = ui.Field{Name: "note", Label: "What was seen, without names", Kind: ui.Area, Value: f.Get("note"), Error: bad["note"], Hint: "May stay empty. Who was hurt or at fault is not asked."}
		p.Form.Errors = ui.Errors([]ui.Field{p.Note})
		p.Saved = one.Texts[i.Note]
	}
	if i.Kind.LoadsKit() && i.Kit == "" && i.Class == nil {
		p.Kit = page.Taps{Title: "Which kit took the load?", Name: "kit", Form: ui.Form{Action: here + "/noted", Key: v.freshKey()}}
		for _, k := range one.Ref.Kits.All(v.today) {
			p.Kit.Tap = append(p.Kit.Tap, ui.Value{Name: v.ref.Text(k.Name), Value: string(k.ID)})
		}
		if parts := v.loadParts(incident.Load{}); len(parts) > 0 {
			p.Part = ui.Form{Action: here + "/noted", Key: v.freshKey(), Button: "This alone took the load"}
			p.PartField = ui.Field{Name: "kit", Label: "Piece or item", Kind: ui.Select, Required: true, Options: append([]ui.Option{{Label: "Choose"}}, parts...), Error: bad["kit"]}
		}
	}
	return v.show(status, page.IncidentNotedPage(p))
}

func addToIncident(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	of := id.Incident(v.param("incident"))
	err = v.Incidents.Add(v.r.Context(), v.actor, of, incidents.Detail{Load: loadOf(f.Get("kit")), Text: f.Get("note")}, v.key())
	if fields, ok := formErrors(err); ok {
		if fields["kit"] != "" {
			fields.Add("note", "%s", fields["kit"])
		}
		return v.noted(http.StatusUnprocessableEntity, f, fields)
	}
	if err != nil {
		return err
	}
	return v.goTo("/incidents/"+string(of)+"/noted", "Kept.")
}

// incidentPlace names where it was.
func (v *visit) incidentPlace(i incident.Incident) string {
	switch {
	case i.Station != "":
		return v.stationName(i.Station)
	case i.Rig != "":
		return v.rigName(i.Rig)
	}
	return "on the yard"
}

// incidentNotices says what an incident stops now and until when, and by when the
// scheme must be told.
func (v *visit) incidentNotices(r incidents.Row, exercises []id.Exercise) []ui.Notice {
	i := r.Incident
	var out []ui.Notice
	if what := v.incidentStops(i, exercises); what != "" {
		until := " until the written release is on file."
		if i.Class == nil {
			until = " until a responsible person has classed it."
		}
		out = append(out, ui.Notice{Level: verdict.Stops, Text: what + until})
	}
	for _, q := range v.stillOut(i) {
		n := ui.Notice{Level: verdict.Stops, Text: "Out of use: " + v.thingLink(v.subjectOf(q)).Text + ". It took a load and is in quarantine until a competent person has looked at it and a responsible person lifts that."}
		if access.May(v.actor, access.SeeStation) {
			n.Link = ui.Link{Text: "Open the quarantine", Href: "/quarantines/" + string(q.ID)}
		}
		out = append(out, n)
	}
	if kit, is := i.KitOut(); is {
		out = append(out, ui.Notice{Level: verdict.Stops, Text: "Kit out of use: " + v.kitName(kit) + ". It took a load, and a competent person must look at it first."})
	}
	if due := v.incidentDue(r); due != "" {
		level := verdict.Cautions
		if r.Due != 0 && r.Due <= v.now {
			level = verdict.Stops
		}
		out = append(out, ui.Notice{Level: level, Word: "Report", Text: due})
	}
	return out
}

// incidentStops says what stops, "" for nothing.
func (v *visit) incidentStops(i incident.Incident, exercises []id.Exercise) string {
	stop, ok := i.Stop()
	switch {
	case !ok:
		return ""
	case stop.All():
		return "Every exercise stops"
	case stop.Station != "":
		return v.stationName(stop.Station) + " stops"
	case stop.Rig != "":
		return "All of " + v.rigName(stop.Rig) + " stops"
	case len(stop.Programmes) > 0:
		var names []string
		for _, p := range stop.Programmes {
			names = append(names, v.programmeName(p))
		}
		return "The exercises of " + strings.Join(names, ", ") + " stop"
	case len(exercises) == 1:
		return v.exerciseName(exercises[0], v.today) + " stops"
	}
	return v.exerciseName(i.Exercise, v.today) + " and all exercises of its programmes stop"
}

// incidentDue says by when the scheme must be told, "" once it was.
func (v *visit) incidentDue(r incidents.Row) string {
	switch {
	case r.Incident.Told != nil:
		return ""
	case r.Due == 0:
		return "The rule book states no time to tell the scheme in. Tell it at once."
	case r.Due <= v.now:
		return "The scheme was to be told by " + v.words.Moment(r.Due) + "."
	}
	return "Tell the scheme by " + v.words.Moment(r.Due) + "."
}

func (v *visit) kitName(of id.Kit) string {
	k, _ := v.ref.Kits.On(of, v.today)
	return orID(v.ref.Text(k.Name), of)
}
