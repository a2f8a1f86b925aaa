package page

import (
	"strings"
	"testing"

	"github.com/a-h/templ"

	"rungbook/internal/verdict"
	"rungbook/web/chart"
	"rungbook/web/ui"
)

// setUpPages are the pages on which a yard is made and changed.
func setUpPages() map[string]templ.Component {
	done := StartList{Shell: sampleShell("set-up", "Set up"), Finding: "Nothing is missing.", First: StartFirst{Plain: true, Answer: "Sessions are booked. The yard works.", Book: link("Open the week", "/week")},
		Parts: []StartPart{{Name: "Yard", Answer: "Nothing is missing.", Have: []ui.Link{link("The yard", "/set-up/yard")}}}}
	fresh := sampleThing()
	fresh.Title, fresh.Uses, fresh.UsesSay, fresh.History, fresh.Actions, fresh.Draws, fresh.Form.Draws, fresh.Form.Also = "Add a rig", nil, "", nil, nil, false, "", ui.Also{}
	code := fresh
	code.Title, code.Codes = "New code for Eluned Vaughan-Prys", []CodeChosen{{When: "Tue 2 Mar 14:10", By: "Ngozi Okafor", Seen: "A document with their picture was seen"}, {When: "Mon 1 Mar 11:40", By: "nobody else’s", Seen: "At their first countersignature"}}
	return map[string]templ.Component{
		"own-code": ThingPage(code),
		"set-up":   StartListPage(sampleStartList()), "set-up-done": StartListPage(done),
		"things": ThingsPage(sampleThings()), "things-none": ThingsPage(Things{Shell: sampleShell("set-up", "Zones"), Title: "Zones", Empty: "Here stands ground that stations share.", Add: link("Add a zone", "/set-up/zones/new")}),
		"thing": ThingPage(sampleThing()), "thing-new": ThingPage(fresh), "starter": StarterPage(sampleStarter()),
	}
}

func sampleStartList() StartList {
	return StartList{
		Shell: sampleShell("set-up", "Set up"), Finding: "2 parts lack something.", Starter: link("See the example curriculum", "/set-up/starter"),
		First: StartFirst{Level: verdict.Stops, Answer: "No session can be booked yet.", Note: "The rules were asked for Harness basics:", Why: []ui.Finding{{Level: verdict.Stops, Rule: "Qualified", Found: "Nobody may teach it.", Required: "1 instructor"}}},
		Parts: []StartPart{
			{Name: "Yard", Answer: "Nothing is missing.", Have: []ui.Link{link("The yard", "/set-up/yard")}},
			{Name: "People and what they may do", Level: verdict.Stops, Answer: "8 things are missing.", More: 2, Have: []ui.Link{link("People (3)", "/set-up/people"), link("Appointments", "/set-up/appointments")},
				Missing: []StartMissing{{Say: "Nobody may teach Harness basics", Do: link("Record papers", "/set-up/people")}, {Say: "Nobody has first aid, which stations ask for"}}},
		},
	}
}

func sampleThings() Things {
	return Things{
		Shell: sampleShell("set-up", "Rigs"), Title: "Rigs", Line: "3 rigs are on record.", Detail: "Measures", Add: link("Add a rig", "/set-up/rigs/new"), Also: []ui.Link{link("Stations", "/set-up/stations")}, Next: link("Next: zones, circuits, kits", "/set-up/zones"),
		Rows: []ThingRow{
			{Name: link("Tower platform", "/set-up/rigs/r1"), Detail: "tower platform, 18.6 m high"},
			{Name: link("Übungsgondel der Sandvik-Öst-Ausbildungsstätte", "/set-up/rigs/r2"), Detail: "nacelle house, 8.2 m high", Level: verdict.Stops, Note: "in conversion", Do: []ui.Link{link("Change its state", "/rigs/r2")}},
		},
	}
}

func sampleThing() Thing {
	name := ui.Field{Name: "name", Label: "Name", Value: "", Required: true, Error: "The rig has no name."}
	p := Thing{
		Shell: sampleShell("set-up", "Change Tower platform"), Title: "Change Tower platform", Over: link("Rigs", "/set-up/rigs"), Line: "Measures in metres; the drawing follows them.", Draws: true,
		Drawing: chart.Elevation(otherYard(), chart.Options{Width: 460}), Say: "The yard from the side, with what is typed.",
		Form: ui.Form{Action: "/set-up/rigs/r1", Key: "k1", Button: "Save the change", Draws: "drawing", Also: ui.Also{Text: "Draw it", Action: "/set-up/rigs/r1"}, Hidden: []ui.Value{{Name: "rev", Value: "3"}}},
		Groups: []FieldGroup{
			{Fields: []ui.Field{name}},
			{Title: "Measures", Side: true, Fields: []ui.Field{{Name: "height", Label: "Height of its top", Value: "18.6", Unit: "m", Short: true}, {Name: "width", Label: "Width", Value: "4.2", Unit: "m", Short: true}}},
			{Title: "Of a blade or a nacelle", Folded: true, Note: "Only where it applies.", Fields: []ui.Field{{Name: "base", Label: "Its lower end lies at", Unit: "m", Short: true}}},
		},
		UsesSay: "1 session still to run and these name it:", Uses: []ThingUse{{What: "station", Name: link("Lower deck", "/set-up/stations/s1")}, {What: "rescue plan", Name: ui.Link{Text: "Rescue from the tower"}}},
		History: []ThingStep{{When: "Tue 2 Mar 09:40", What: "changed", By: "by Brennan", Counts: "counts from Mon 8 Mar", Changed: "Changed: people at once"}, {When: "Mon 1 Feb 10:00", What: "recorded"}},
		Aside:   []ui.Link{link("State and inspections of this rig", "/rigs/r1")},
		Actions: []Action{{Title: "Retire this rig", Form: ui.Form{Action: "/set-up/rigs/r1/retire", Key: "k2", Button: "Retire Tower platform", Grave: true}, Fields: []ui.Field{{Name: "retired", Label: "First day without it", Kind: ui.Date}}}},
	}
	p.Form.Errors = ui.Errors(p.Groups[0].Fields)
	return p
}

func sampleStarter() Starter {
	return Starter{
		Shell: sampleShell("set-up", "Example curriculum"), Form: ui.Form{Action: "/set-up/starter", Key: "k1", Button: "Begin with these examples"},
		Groups: []FieldGroup{{Fields: []ui.Field{{Name: "examples", Label: "Begin with", Kind: ui.Checkboxes, Options: []ui.Option{{Value: "height", Label: "Work at height", Note: "6 exercises"}}}}}},
		Programmes: []StarterProgramme{{Name: "Work at height", Hours: "13 h 25 of contact time: a published standard, table 5 (read)", Exercises: []StarterExercise{
			{Name: "Rescue from a deck", Unit: "Rescue", Length: "3 h", LengthFrom: "a published standard, lesson 16 (read)", Ratio: "1 to 6", RatioFrom: "a published standard, table 13 (read)", After: "Ladder", Needs: "medical height", Outcomes: []string{"Lowers a casualty with the rescue device"}}}},
			{Name: "Blade inspection"}},
	}
}

func TestTheStartListSaysWhatIsMissingAndWhereToMendIt(t *testing.T) {
	said := said(draw(t, StartListPage(sampleStartList())))
	for _, want := range []string{"8 things are missing.", "Nobody may teach Harness basics Record papers", "and 2 more", "No session can be booked yet.", "Nobody may teach it."} {
		if !strings.Contains(said, want) {
			t.Errorf("the list does not say %q", want)
		}
	}
	if strings.Contains(said, "Clear") {
		t.Error("a part of setting up is called clear: only a rule's answer is")
	}
}

func TestAnExampleIsNeverCalledCompleteOrApproved(t *testing.T) {
	text := said(draw(t, StarterPage(sampleStarter())))
	for _, want := range []string{"It is not complete, and nobody has approved it", "a published standard, lesson 16 (read)", "No figure for the whole was found."} {
		if !strings.Contains(text, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
}
