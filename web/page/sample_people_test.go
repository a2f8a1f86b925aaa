package page

import (
	"rungbook/internal/verdict"
	"rungbook/web/ui"
)

func samplePeople() People {
	return People{
		Shell: sampleShell("people", "People"), Finding: "94 trainees and 12 staff are here now.",
		Filter: ui.Form{Action: "/people", Get: true, Button: "Show", Swap: "list"},
		Fields: []ui.Field{
			{Name: "name", Label: "Part of a name", Kind: ui.Search, Value: "o"},
			{Name: "employer", Label: "Employer", Kind: ui.Select, Options: []ui.Option{{Label: "All employers"}, {Value: "e1", Label: "Norrvind Drift"}}},
			{Name: "intake", Label: "Intake", Kind: ui.Select, Options: []ui.Option{{Label: "All intakes"}, {Value: "i1", Label: "27-03"}}},
		},
		Rows: []PersonRow{
			{Name: link("Ngozi Okafor", "/people/p1"), Part: "instructor", Next: link("today 13:00 Casualty lowering", "/sessions/s3")},
			{Name: link("Maximiliana Theodoropoulou-Vandenbergh", "/people/t2"), Part: "trainee", Employer: "Norrvind Drift", Intake: link("27-03", "/intakes/i1"), Next: link("Wed 3 Mar 08:00 Ladder climb", "/sessions/s4"), Level: verdict.Cautions, Note: "medical ends Fri 5 Mar"},
			{Name: link("Ilze Krūmiņa", "/people/t1"), Part: "trainee", Employer: "Norrvind Drift", Intake: link("27-03", "/intakes/i1"), Level: verdict.Stops, Note: "medical lapsed Mon 1 Mar"},
		},
		Pages: ui.Pages{Shown: "Krūmiņa to Theodoropoulou-Vandenbergh", Next: "/people?after=t2"},
	}
}

func sampleHoldings() []Holding {
	return []Holding{
		{Name: link("Work at height", "/certificates/1042"), Number: "1042", LastDay: "Sat 2 Mar 2029", Left: "731 days left"},
		{Name: link("Medical fitness", ""), LastDay: "Fri 5 Mar 2027", Left: "3 days left", Level: verdict.Cautions},
		{Name: link("First aid", ""), Number: "871", LastDay: "Thu 11 Feb 2027", Left: "lapsed 19 days ago", Level: verdict.Stops},
	}
}

func sampleSessions(state string) []PersonSession {
	return []PersonSession{
		{Day: "Tue 2 Mar", Times: "08:00–11:30", Exercise: link("Harness basics", "/sessions/s1"), Station: "Deck 14 north", Part: "trainee", Attendance: "present", Length: "3 h 30", State: state},
		{Day: "Mon 1 Mar", Times: "13:00–16:00", Exercise: link("First aid theory", "/sessions/s0"), Station: "Room", Part: "trainee", Attendance: "left 15:10", Length: "2 h 10", State: "cut short"},
	}
}

func sampleHours() []HoursRow {
	return []HoursRow{
		{Exercise: "Harness basics", Rig: "Tower platform", Sessions: link("4", "/people/t2?exercise=x1&rig=tower#sessions"), Hours: link("14.0", "/people/t2?exercise=x1&rig=tower#sessions")},
		{Exercise: "First aid theory", Rig: "Classroom", Sessions: link("1", "/people/t2?exercise=x2&rig=class#sessions"), Hours: link("2.2", "/people/t2?exercise=x2&rig=class#sessions")},
	}
}

func samplePerson() Person {
	return Person{
		Shell: sampleShell("people", "Maximiliana Theodoropoulou-Vandenbergh"), Name: "Maximiliana Theodoropoulou-Vandenbergh", Line: "trainee, Norrvind Drift, intake 27-03",
		Facts:    []ui.Fact{{Label: "Employer", Value: link("Norrvind Drift", "/people?employer=e1")}, {Label: "Intake", Value: link("27-03, Mon 1 – Fri 12 Mar", "/intakes/i1")}, {Label: "Rest policy", Value: link("European Union, adult", "/rule-book#eu-adult")}},
		Holdings: sampleHoldings()[:2], Over: sampleHoldings()[2:], Hours: sampleHours(), Total: link("16.2", "/people/t2#sessions"), Trains: true, PastSay: "2 sessions, latest first",
		Coming: []PersonSession{{Day: "Wed 3 Mar", Times: "08:00–12:00", Exercise: link("Ladder climb", "/sessions/s4"), Station: "Ladder bay", Part: "trainee", Length: "4 h", State: "booked"}, {Day: "Thu 4 Mar", Times: "08:00–12:00", Exercise: link("Ladder rescue", "/sessions/s5"), Station: "Ladder bay", Part: "trainee", Length: "4 h", State: "pencilled"}},
		Past:   sampleSessions("signed off"), Results: []Result{{Outcome: "Inspects and fits a harness", Result: "competent", Session: link("Tue 2 Mar, Harness basics", "/sessions/s1"), By: "Okafor"}},
		Pages: ui.Pages{Next: "/people/t2?before=s0"},
	}
}

func samplePath() Path {
	p := Path{
		Shell: sampleShell("path", "My path"), Name: "Ilze Krūmiņa", Line: "Intake 27-03, Mon 1 – Fri 12 Mar", Next: "Wed 3 Mar 08:00–12:00, Ladder climb, Ladder bay",
		Coming: samplePerson().Coming, Holdings: sampleHoldings(), Hours: sampleHours(), Total: link("16.2", ""), Past: sampleSessions("signed off"),
		Programmes: []PathProgramme{{Name: "Work at height", Say: "2 of 7 outcomes", Done: "2", Of: "7"}},
	}
	states := []string{"competent", "competent", "not yet competent", "booked", "booked", "open", "open"}
	pr := &p.Programmes[0]
	for i, o := range sampleOutcomes {
		if i == 0 || sampleOutcomes[i-1].unit != o.unit {
			pr.Units = append(pr.Units, PathUnit{Name: o.unit})
		}
		step := PathStep{Outcome: o.outcome, State: states[i]}
		if states[i] != "open" {
			step.When = link("Tue 2 Mar, Harness basics", "/sessions/s1")
		}
		u := &pr.Units[len(pr.Units)-1]
		u.Steps = append(u.Steps, step)
	}
	p.Shell.NoSearch = true
	p.Shell.Nav = ui.Nav(func(s string) bool { return s == "path" }, "")
	return p
}

func sampleCertificates() Certificates {
	return Certificates{
		Shell: sampleShell("certificates", "Certificates"), Finding: "318 certificates stand; 17 end within 90 days.",
		Filter: ui.Form{Action: "/certificates", Get: true, Button: "Show", Swap: "list"},
		Fields: []ui.Field{
			{Name: "employer", Label: "Employer", Kind: ui.Select, Options: []ui.Option{{Label: "All employers"}, {Value: "e1", Label: "Norrvind Drift"}}},
			{Name: "programme", Label: "Programme", Kind: ui.Select, Options: []ui.Option{{Label: "All programmes"}, {Value: "h", Label: "Work at height"}}},
		},
		Rows: []CertificateRow{
			{Number: link("871", "/certificates/871"), Person: link("Oriol Casademont", "/people/t7"), Programme: "Work at height", Employer: "Norrvind Drift", LastDay: "Sat 27 Feb 2027", Month: "2027-02", Left: "lapsed 3 days ago", Level: verdict.Stops},
			{Number: link("904", "/certificates/904"), Person: link("Maximiliana Theodoropoulou-Vandenbergh", "/people/t2"), Programme: "Hydraulic systems", Employer: "Norrvind Drift", LastDay: "Tue 2 Mar 2027", Month: "2027-03", Left: "last day today", Level: verdict.Cautions},
			{Number: link("1042", "/certificates/1042"), Person: link("Ilze Krūmiņa", "/people/t1"), Programme: "Work at height", Employer: "Norrvind Drift", LastDay: "Sat 2 Mar 2029", Left: "731 days left"},
		},
		Pages: ui.Pages{Shown: "by last valid day", First: "/certificates", Next: "/certificates?after=1042"},
	}
}

func sampleIntakes() Intakes {
	return Intakes{
		Shell: sampleShell("intakes", "Intakes"), Finding: "2 intakes run, 1 comes.",
		Groups: []IntakeGroup{
			{Name: "Running", Rows: []IntakeRow{{Name: link("27-03", "/intakes/i1"), Employer: "Norrvind Drift", Programme: "Work at height", Window: "Mon 1 – Fri 12 Mar", Left: "10 days left", Trainees: "12", Say: "31 of 84 outcomes", Done: "31", Of: "84"}}},
			{Name: "Coming", Rows: []IntakeRow{{Name: link("27-04", "/intakes/i2"), Employer: "Almacén Eólico", Programme: "Hydraulic systems", Window: "Mon 15 – Fri 19 Mar", Trainees: "8", Say: "none yet", Done: "0", Of: "40"}}},
		},
	}
}

func sampleIntake() Intake {
	return Intake{
		Shell: sampleShell("intakes", "Intake 27-03"), Name: "Intake 27-03", Line: "Norrvind Drift, Mon 1 – Fri 12 Mar",
		Facts: []ui.Fact{{Label: "Programme", Value: link("Work at height, version 3", "")}},
		Trainees: []IntakeTrainee{
			{Name: link("Ilze Krūmiņa", "/people/t1"), Say: "2 of 7 outcomes", Done: "2", Of: "7", Level: verdict.Stops, Note: "medical lapsed Mon 1 Mar"},
			{Name: link("Maximiliana Theodoropoulou-Vandenbergh", "/people/t2"), Say: "3 of 7 outcomes", Done: "3", Of: "7", Next: link("Wed 3 Mar 08:00 Ladder climb", "/sessions/s4")},
		},
		Sessions: samplePerson().Coming, Book: link("Book a session for this intake", "/book?intake=i1"),
	}
}

func sampleSearch() Search {
	s := Search{Shell: sampleShell("", "Search"), Query: "deck", Finding: "3 found for “deck”", Groups: []SearchGroup{
		{Name: "Stations", Hits: []SearchHit{{Link: link("Deck 9 north", "/stations/d9n"), Note: "Tower platform"}, {Link: link("Deck 9 south", "/stations/d9s"), Note: "Tower platform, shut"}}},
		{Name: "Sessions", Hits: []SearchHit{{Link: link("Harness basics, deck 14 north", "/sessions/s1"), Note: "Tue 2 Mar 08:00–11:30"}}, More: link("Show all sessions", "/search?q=deck&kind=session")},
	}}
	s.Shell.Query = "deck"
	return s
}

func sampleCertificate() Certificate {
	form := func(move, button string) ui.Form {
		return ui.Form{Action: "/certificates/c1/" + move, Key: "key-" + move, Button: button, Hidden: []ui.Value{{Name: "rev", Value: "3"}}}
	}
	why := func(move string) ui.Field {
		return ui.Field{ID: move + "-why", Name: "why", Label: "Reason", Required: true}
	}
	correct := Action{Title: "Correct the days", Note: "The days as the paper says them.", Form: form("corrected", "Correct the days"), Fields: []ui.Field{
		{ID: "corrected-until", Name: "until", Label: "Last valid day", Kind: ui.Date, Short: true, Value: "2027-03-05", Error: "These are the days on record already."}, why("corrected")}}
	correct.Form.Errors = ui.Errors(correct.Fields)
	withdraw := Action{Title: "Withdraw it", Form: form("withdrawn", "Withdraw this certificate"), Fields: []ui.Field{why("withdrawn")}}
	withdraw.Form.Grave = true
	return Certificate{
		Shell: sampleShell("certificates", "Medical fitness: height, number 1042"), Title: "Medical fitness: height, number 1042", Over: link("Ilze Krūmiņa", "/people/t1#certificates"),
		Level: verdict.Cautions, State: "3 days left", Appeals: []ui.Link{link("An appeal is open against it", "/complaints/c1"), link("An appeal is open against it", "")}, Facts: []ui.Fact{{Label: "First valid day", Value: link("Fri 6 Mar 2026", "")}, {Label: "Last valid day", Value: link("Fri 5 Mar 2027", "")}},
		Steps: []CertificateStep{{When: "Mon 1 Mar 09:12", What: "corrected", By: "by Ngozi Okafor", Changed: "Last valid day Fri 5 Mar 2027, was Fri 5 Mar 2072", Counts: "counts from Fri 6 Mar 2026", Why: "Two digits were swapped when it was typed in."},
			{When: "Tue 2 Feb 10:00", What: "seen", By: "by Ngozi Okafor", Counts: "counts from Fri 6 Mar 2026"}},
		Coming: samplePerson().Coming, Actions: []Action{correct, withdraw},
	}
}

func sampleMine() Mine {
	now := MineSession{Times: "08:00–11:30", Exercise: link("Harness basics", "/sessions/s1"), Where: "Tower platform, Deck 14 north", Part: "instructor", State: "under way",
		Facts:    []ui.Fact{{Label: "Kit", Value: link("1 × Harness set of six", "")}, {Label: "Rescue plan", Value: link("Tower rescue, version 4", "/stations/d4n")}},
		Trainees: []string{"Ilze Krūmiņa", "Maximiliana Theodoropoulou-Vandenbergh"}, Do: []ui.Link{link("Open the session", "/sessions/s1"), link("Open the station", "/stations/d4n")}}
	next := now
	next.Times, next.State, next.Exercise, next.Judged, next.Level, next.Say = "13:00–16:00", "pencilled", link("Casualty lowering", "/sessions/s3"), true, verdict.Stops, "1 rule stops it"
	next.NotToStart = "Not to start: it is only pencilled. A caution waits for somebody's word."
	next.Stops = []ui.Finding{{Level: verdict.Stops, Rule: "station shut", Found: "shut from 12:00", Required: "open from 13:00 to 16:00"}}
	return Mine{Shell: sampleShell("yard", "My day"), Line: "Tue 2 Mar 2027, 10:14", Now: []MineSession{now}, Next: []MineSession{next}, Rest: samplePerson().Coming, Later: link("Wed 3 Mar 08:00–11:30, Ladder climb", "/sessions/s4")}
}
