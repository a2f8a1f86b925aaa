package page

import (
	"github.com/a-h/templ"

	"rungbook/internal/verdict"
	"rungbook/web/ui"
)

// incidentPages are reporting, settling and listing what went wrong.
func incidentPages() map[string]templ.Component {
	shell := sampleShell("yard", "Incidents")
	stop := ui.Notice{Level: verdict.Stops, Text: "Every exercise stops until a responsible person has classed it."}
	kinds := Taps{Title: "What happened?", Links: []ui.Link{link("Near miss", "/incidents/new?kind=near-miss"), link("Fall arrested", "/incidents/new?kind=fall-arrested")}}
	form := ui.Form{Action: "/incidents", Key: "k1", Hidden: []ui.Value{{Name: "kind", Value: "near-miss"}}}
	where := Taps{Title: "At a station", Name: "place", Form: form, Tap: []ui.Value{{Name: "Deck 14 north", Value: "station:s1"}}}
	noted := IncidentNoted{Shell: shell, Over: link("Report an incident", "/incidents/new"), Line: "Fall arrested, Deck 14 north, Tue 2 Mar 10:14", Stops: []ui.Notice{stop},
		Kit:  Taps{Title: "Which kit took the load?", Name: "kit", Form: ui.Form{Action: "/incidents/i1/noted", Key: "k2"}, Tap: []ui.Value{{Name: "Harnesses", Value: "k"}}},
		Form: ui.Form{Action: "/incidents/i1/noted", Key: "k3", Button: "Keep this text"}, Note: ui.Field{Name: "note", Label: "What was seen, without names", Kind: ui.Area},
		Saved: "A carabiner opened.", Open: link("Open the incident", "/incidents/i1")}
	return map[string]templ.Component{
		"incident-what":  IncidentReportPage(IncidentReport{Shell: shell, Over: link("Yard", "/"), Steps: []Taps{kinds}}),
		"incident-where": IncidentReportPage(IncidentReport{Shell: shell, Over: link("Yard", "/"), Line: "Near miss. The next tap records it, at this moment.", Steps: []Taps{where}}),
		"incident-noted": IncidentNotedPage(noted),
		"incidents": IncidentsPage(Incidents{Shell: shell, Finding: "2 incidents and near misses are on record; of 1 something waits.", Report: link("Report an incident", "/incidents/new"), Rows: []IncidentRow{
			{What: link("Fall arrested", "/incidents/i1"), When: "Tue 2 Mar 10:14", Where: "Deck 14 north", Level: verdict.Stops, State: "not classed", Due: "The scheme was to be told by Wed 3 Mar 10:14.", DueLate: true},
			{What: link("Near miss", "/incidents/i2"), When: "Mon 1 Mar 09:00", Where: "on the yard", State: "settled", Due: "told Mon 1 Mar 12:00"}}}),
		"incidents-none": IncidentsPage(Incidents{Shell: shell, Finding: "0 incidents and near misses are on record; of 0 something waits.", Report: link("Report an incident", "/incidents/new")}),
		"incident": IncidentPage(Incident{Shell: shell, Title: "Fall arrested, Tue 2 Mar 10:14", Over: link("Incidents", "/incidents"), Stops: []ui.Notice{stop},
			Facts: []ui.Fact{{Label: "Where", Value: link("Deck 14 north", "")}}, Stopped: []string{"Ladder climb"}, Steps: []CertificateStep{{When: "Tue 2 Mar 10:14", What: "classed", By: "by Lindqvist"}},
			Actions: []Action{{Title: "Class it", Form: ui.Form{Action: "/incidents/i1/class", Key: "k4", Button: "Class this incident"}}}}),
		"incident-read": IncidentPage(Incident{Shell: shell, Title: "Near miss, Tue 2 Mar 10:14", Over: link("Incidents", "/incidents"), Who: "A responsible person classes it, and puts its release on file."}),
	}
}
