package page

import (
	"fmt"

	"rungbook/internal/verdict"
	"rungbook/web/chart"
	"rungbook/web/ui"
)

func link(text, href string) ui.Link { return ui.Link{Text: text, Href: href} }

func sampleMap(here string) chart.Drawing {
	return chart.Elevation(sampleYard(), chart.Options{Width: 360, Here: here})
}

var sampleOutcomes = []struct{ unit, outcome, exercise string }{
	{"Harness and lanyards", "Inspects and fits a harness", "Harness basics"},
	{"Harness and lanyards", "Moves with two lanyards, always attached", "Harness basics, ladder climb"},
	{"Harness and lanyards", "Positions with a work-positioning lanyard", "Positioning"},
	{"Rescue from height", "Lowers a casualty from a deck", "Casualty lowering"},
	{"Rescue from height", "Frees a casualty from a ladder", "Ladder rescue"},
	{"Rescue from height", "Raises the alarm and leads outside help", "First aid theory"},
	{"Blade access", "Approaches the blade face by rope", "Blade approach"},
}

func sampleCoverage(without bool) Coverage {
	p := Coverage{
		Shell: sampleShell("coverage", "Coverage"), Finding: "2 of 7 outcomes hang on one station.",
		Filter: ui.Form{Action: "/coverage", Get: true, Button: "Show"},
		Fields: []ui.Field{
			{Name: "programme", Label: "Programme", Kind: ui.Select, Options: []ui.Option{{Value: "", Label: "All programmes"}, {Value: "h", Label: "Work at height", Chosen: true}}},
			{Name: "without", Label: "Without rig", Kind: ui.Select, Options: []ui.Option{{Value: "", Label: "None left out"}, {Value: "tower", Label: "Tower platform", Chosen: without}}},
		},
		Shut: []CoverageShut{{Rig: link("Short tower", "/rigs/r6/dossier"), Says: "In conversion: 1 of 9 points lacks accepted evidence. Every booking on its stations stops.", Gives: "3 outcomes, 1 of them nowhere else today."}},
		Singles: []CoverageSingle{
			{Station: link("Ladder bay", "/stations/d4n"), Count: "2 outcomes", Outcomes: []string{"Frees a casualty from a ladder", "Climbs with the fall-arrest runner and rests on it"}},
			{Station: link("Upper face", "/stations/b1"), Count: "1 outcome", Outcomes: []string{"Approaches the blade face by rope"}},
		},
	}
	for _, r := range sampleYard().Rigs {
		c := CoverageRig{Name: r.Name, Span: fmt.Sprint(len(r.Stations)), Out: without && r.ID == "tower"}
		for _, s := range r.Stations {
			c.Stations = append(c.Stations, CoverageStation{Name: s.Name, Href: s.Href})
		}
		p.Rigs = append(p.Rigs, c)
	}
	for i, o := range sampleOutcomes {
		if i == 0 || sampleOutcomes[i-1].unit != o.unit {
			p.Groups = append(p.Groups, CoverageGroup{Programme: "Work at height", Unit: o.unit, Span: "16"})
		}
		row := CoverageRow{Outcome: o.outcome, Exercises: o.exercise, Count: "2 stations", Where: "Deck 14 north, Room", Cells: make([]CoverageCell, 13)}
		row.Cells[i] = CoverageCell{Delivers: true, Say: o.exercise}
		switch {
		case i == 4 || i == 6:
			row.Cells[i].Only, row.Level, row.Count = true, verdict.Cautions, "1 station only"
		case without && i < 2:
			row.Cells[i], row.Level, row.Count = CoverageCell{Lost: true, Say: "lost"}, verdict.Stops, "lost"
		default:
			row.Cells[12] = CoverageCell{Delivers: true, Say: o.exercise}
		}
		g := &p.Groups[len(p.Groups)-1]
		g.Rows = append(g.Rows, row)
	}
	if without {
		p.Loss = &CoverageLoss{
			StuckCount: link("2 trainees are stuck", "#stuck"), LapsingCount: link("1 certificate of theirs lapses within 90 days", "#lapsing"),
			Lapsing: []CoverageLapsing{{Certificate: link("Certificate 1042", "/certificates/c1"), Person: link("Wiremu Tahana", "/people/p1"), Until: "Wed 31 Mar"}},
			Rig:     "the tower platform", Sentence: "Without the tower platform 2 outcomes can't be trained and 2 trainees are stuck.",
			Outcomes: []string{"Inspects and fits a harness", "Moves with two lanyards, always attached"},
			Stuck: []CoverageStuck{
				{Trainee: link("Ilze Krūmiņa", "/people/t1"), Intake: "27-03", Needs: "Inspects and fits a harness"},
				{Trainee: link("Maximiliana Theodoropoulou-Vandenbergh", "/people/t2"), Intake: "27-03", Needs: "Moves with two lanyards, always attached"},
			},
		}
	}
	return p
}

func sampleRuleBook() RuleBook {
	return RuleBook{
		Shell: sampleShell("rule-book", "Rule book"), Version: "Version 3, in force since Fri 1 Jan 2027",
		Level: verdict.Stops, Answer: "Not confirmed: energy",
		Fields: []RuleField{
			{Name: "Height and rescue", By: "Ngozi Okafor", On: "Mon 4 Jan"},
			{Name: "Energy", Level: verdict.Stops, Do: ui.Link{Text: "Read and confirm energy", Href: "/rule-book/confirm#lines_energy"}},
			{Name: "Curriculum", By: "Piet Verhoeven", On: "Tue 5 Jan"},
		},
		Profiles: []RuleProfile{
			{ID: "eu-adult", Name: "European Union, adult", Count: "3 limits, 1 of them not checked by Rungbook", Note: "Member states may be stricter.", Lines: []RuleLine{
				{ID: "l1", What: "Rest between two working days", Value: "11 h", Source: "Directive 2003/88/EC", Clause: "article 3", Mark: "read", Judged: "Daily rest"},
				{ID: "l2", What: "Longest day without a break", Value: "6 h", Source: "Directive 2003/88/EC", Clause: "article 4", Mark: "read", Judged: "Break", Was: []string{"5 h 30 before Fri 1 Jan 2027", "5 h before Wed 1 Jul 2026"}},
				{ID: "l3", What: "Average week over four months", Value: "48 h", Source: "Directive 2003/88/EC", Clause: "article 6", Mark: "read"},
			}},
			{ID: "site", Name: "Site", Count: "1 limit", Note: "The centre sets its own.", Lines: []RuleLine{
				{ID: "l4", What: "Trainees to one instructor at height", Value: "4 trainees", Source: "Risk assessment of the yard, version 2", Clause: "3.1", Mark: "common practice", Judged: "Ratio"},
			}},
		},
		Versions: []RuleVersion{
			{Name: link("Version 3", "/rule-book?version=3"), From: "Fri 1 Jan 2027", Answer: "not confirmed: energy", Level: verdict.Stops, Changes: []ui.Link{link("European Union, adult: longest day without a break, 5 h 30 to 6 h", "#l2")}, Now: true},
			{Name: link("Version 2", "/rule-book?version=2"), From: "Wed 1 Jul 2026", Answer: "confirmed for all fields", Changes: []ui.Link{link("European Union, adult: rest between two working days, 10 h to 11 h", "#l1")}},
		},
		Actions: []Action{{
			Title: "Change a limit from a day on", Note: "Makes a new version. All booked sessions after that day are judged again.",
			Form: ui.Form{Action: "/rule-book/versions", Key: "k", Button: "Make version 4", Errors: []ui.FieldError{{Field: "from", Text: "From: Mon 1 Mar lies in the past. A limit changes from tomorrow on."}}},
			Fields: []ui.Field{
				{Name: "line", Label: "Limit", Kind: ui.Select, Options: []ui.Option{{Value: "l1", Label: "Rest between two working days (11 h)"}}},
				{Name: "value", Label: "New value", Kind: ui.Number, Unit: "h", Value: "12"},
				{Name: "from", Label: "From", Kind: ui.Date, Short: true, Value: "2027-03-01", Error: "Mon 1 Mar lies in the past. A limit changes from tomorrow on."},
				{Name: "reason", Label: "Reason", Kind: ui.Area, Hint: "Kept beside the version; name the document."},
			},
		}},
	}
}

func sampleInspections() []Inspection {
	return []Inspection{
		{What: "Anchors, visual", Every: "7 days", Last: "Fri 26 Feb, passed, Lindqvist", Due: "Fri 5 Mar", Left: "due in 3 days"},
		{What: "Deck and railing", Every: "3 months", Last: "Tue 24 Nov 2026, passed, Okafor", Due: "Wed 24 Feb", Left: "overdue since Wed 24 Feb", Level: verdict.Stops, Record: link("Record", "?do=inspection&line=l9#change")},
	}
}

func sampleRig() Rig {
	return Rig{
		Shell: sampleShell("yard", "Tower platform"), Name: "Tower platform", Line: "Tower section, 18.0 m, in service since Mon 4 May 2026",
		Level: verdict.Stops, Causes: []StopCause{{Say: "Inspection overdue since Wed 24 Feb (deck and railing)", Back: link("record the inspection", "?do=inspection#change")}},
		Facts: []ui.Fact{{Label: "State", Value: link("in service", "")}, {Label: "Head-count limit", Value: link("14 people", "")}, {Label: "Responsible", Value: link("Ngozi Okafor", "/people/p1")}},
		Map:   sampleMap(""), MapSay: "Tower platform in the yard",
		Stations: []RigStation{
			{Mark: "1", Name: link("Deck 14 north", "/stations/d14n"), State: "may be used", Places: "6"},
			{Mark: "3", Name: link("Deck 9 south", "/stations/d9s"), Level: verdict.Stops, State: "shut to Thu 4 Mar: anchor test", Places: "6"},
		},
		Inspections: sampleInspections(),
		Kits:        []Kit{{Name: link("Rescue kit R2", "/kits/r2"), Needed: "rescue on deck 14", Until: "Sun 14 Mar", Left: "12 days left", Level: verdict.Cautions}},
		States:      []RigState{{State: "in service", From: "Mon 4 May 2026", Entry: "374"}, {State: "in conversion", From: "Mon 5 Jan 2026", Entry: "3"}},
		Actions: []Action{{Title: "Change the state", Note: "Taken out of service, its booked sessions go to Needs attention.",
			Form: ui.Form{Action: "/rigs/tower/state", Key: "k", Button: "Change the state", Grave: true},
			Fields: []ui.Field{
				{Name: "state", Label: "State", Kind: ui.Radio, Options: []ui.Option{{Value: "in-service", Label: "In service", Chosen: true}, {Value: "restricted", Label: "Restricted", Note: "only what the note allows"}, {Value: "withdrawn", Label: "Withdrawn"}}},
				{Name: "from", ID: "state-from", Label: "From", Kind: ui.Date, Short: true},
			}}},
	}
}

func sampleFinding() ui.Finding {
	return ui.Finding{
		Level: verdict.Stops, Rule: "Inspection", Who: link("Deck 9 south", "/stations/d9s"),
		Found: "Inspection of deck and railing overdue since Wed 24 Feb.", Required: "Every 3 months; the last was Tue 24 Nov 2026.",
		Cause:  link("rule book, site, inspection of decks", "/rule-book#l9"),
		Change: &ui.Change{Say: "Deck 9 north at the same time", Action: "/book", Get: true, Values: []ui.Value{{Name: "station", Value: "d9n"}}},
	}
}

func sampleStation() Station {
	return Station{
		Shell: sampleShell("yard", "Deck 9 south"), Name: "Deck 9 south", Mark: "3", Rig: link("Tower platform", "/rigs/tower"),
		Line: "6 places · height · rescue needed", Level: verdict.Stops, Answer: "may not be used today",
		Causes: []StopCause{{Say: "Shut to Thu 4 Mar 18:00: anchor test", Back: link("open it", "#shut")}, {Say: "Inspection overdue since Wed 24 Feb (deck and railing)", Back: link("record the inspection that passes", "?do=inspection&line=l9#change")}, {Say: "No rescue plan in force", Back: link("Okafor approves a version", "")}},
		Facts:  []ui.Fact{{Label: "Places", Value: link("6", "")}, {Label: "Height", Value: link("9.0 m", "")}, {Label: "Zone", Value: link("drop zone south", "")}},
		Map:    sampleMap("d9s"), MapSay: "Here: station 3, deck 9 south",
		Today:       sampleYardPage().Next,
		Shuts:       []StationShut{{Period: "Mon 1 Mar 07:00 – Thu 4 Mar 18:00", Reason: "Anchor test", Note: "Waits for the load cell.", By: "Shut by Okafor.", Open: &ui.Form{Action: "/shuts/1/open", Key: "k", Button: "Open deck 9 south"}}},
		Inspections: sampleInspections(),
		Plans:       []RescuePlan{{Version: link("Tower rescue, version 4, in force", "/rescue/p1"), From: "Mon 14 Sep 2026", Review: "due in 12 days", Level: verdict.Cautions, Approved: "Ngozi Okafor", Drilled: "Fri 12 Feb", Needs: "2 rescuers, rescue kit R2, reached in 10 min"}, {Version: link("Tower rescue, version 3, replaced", "/rescue/p1"), From: "Mon 2 Mar 2026", Review: "replaced", Approved: "Ngozi Okafor", Drilled: "Tue 11 Aug 2026", Needs: "2 rescuers, rescue kit R1, reached in 12 min"}},
		Exercises:   []ui.Link{link("Harness basics", "/exercises/1"), link("Casualty lowering", "/exercises/2")},
		Actions: []Action{
			{Title: "Shut this station", Note: "Booked sessions in that time go to Needs attention.", Form: ui.Form{Action: "/stations/d9s/shuts", Key: "k", Button: "Shut deck 9 south", Grave: true},
				Fields: []ui.Field{
					{Name: "reason", Label: "Reason", Kind: ui.Select, Options: []ui.Option{{Value: "test", Label: "Anchor test"}, {Value: "damage", Label: "Damage"}}},
					{Name: "from", Label: "From", Kind: ui.Date, Short: true, Value: "2027-03-02"}, {Name: "to", Label: "To, that day included", Kind: ui.Date, Short: true},
					{Name: "note", Label: "Note", Kind: ui.Area},
				}},
			{Title: "Record an inspection", Form: ui.Form{Action: "/stations/d9s/inspections", Key: "k2", Button: "Record the inspection"},
				Fields: []ui.Field{{Name: "which", Label: "Inspection", Kind: ui.Select, Options: []ui.Option{{Value: "deck", Label: "Deck and railing, every 3 months"}}}, {Name: "day", Label: "Day", Kind: ui.Date, Short: true}, {Name: "result", Label: "Result", Kind: ui.Radio, Options: []ui.Option{{Value: "passed", Label: "Passed"}, {Value: "failed", Label: "Failed", Note: "the station stops at once"}}}}},
		},
	}
}
