package page

import (
	"github.com/a-h/templ"

	"rungbook/internal/verdict"
	"rungbook/web/chart"
	"rungbook/web/ui"
)

func sampleBooking() map[string]templ.Component {
	ask, none, move := sampleBook(), sampleBook(), sampleBook()
	ask.Answer, ask.Ask = nil, NewBookAsk(BookChoices{Action: "/book", Exercises: sampleExercises(""), Intakes: sampleIntakeOptions(""), Stations: sampleStationOptions(), From: "2027-03-02", Until: "2027-03-15"})
	none.Answer = &BookAnswer{Title: "No free time", Line: "Harness basics for 6 trainees of 27-03, Tue 2 – Fri 5 Mar", Blocked: "Deck 14 north and Deck 9 north are taken on all four days, and Deck 9 south is shut to Thu 4 Mar.",
		Steps: []ui.Link{link("Ask for Mon 8 – Fri 19 Mar", "/book?from=2027-03-08"), link("Open the week", "/week/2027-W09")}, Refused: sampleRefusals()}
	move.Title, move.Over, move.Line = "Move Harness basics", link("Harness basics, Wed 3 Mar", "/sessions/s8"), "Now Wed 3 Mar 08:00–11:30, Deck 9 south; 6 trainees with Okafor."
	wrong := sampleBook()
	wrong.Answer, wrong.Ask = nil, NewBookAsk(BookChoices{Action: "/book", Exercises: sampleExercises(""), Intakes: sampleIntakeOptions(""), Stations: sampleStationOptions(), From: "2027-03-12", Until: "2027-03-02",
		Errors: map[string]string{"exercise": "Choose an exercise.", "until": "The last day lies before the first. Give a later last day."}})
	return map[string]templ.Component{
		"book":              BookPage(sampleBook()),
		"again":             AgainPage(sampleAgain()),
		"again-nobody":      AgainPage(Again{Shell: sampleShell("book", "Other times"), Title: "Other times for Harness basics", Over: link("Harness basics, Thu 4 Mar 08:00", "/sessions/s8"), Line: "Nobody waits: each of its trainees has done it, is booked for it again, or does not need it."}),
		"book-ask":          BookPage(ask),
		"book-wrong":        BookPage(wrong),
		"book-none":         BookPage(none),
		"book-move":         BookPage(move),
		"proposal":          ProposalPage(sampleProposal(verdict.Clear)),
		"proposal-pencil":   ProposalPage(sampleProposal(verdict.Cautions)),
		"proposal-refused":  ProposalPage(sampleProposal(verdict.Stops)),
		"conflict":          ConflictPage(sampleConflict()),
		"session":           SessionPage(sampleSessionPage(verdict.Clear)),
		"session-pencilled": SessionPage(sampleSessionPage(verdict.Cautions)),
		"session-broken":    SessionPage(sampleSessionPage(verdict.Stops)),
		"session-down":      SessionPage(sampleDownPage()),
		"stand-down":        StandDownPage(sampleStandDown(nil)),
		"stand-down-wrong":  StandDownPage(sampleStandDown(map[string]string{"reason": "Choose a reason."})),
		"attention-none":    AttentionPage(Attention{Shell: sampleShell("attention", "Needs attention")}),
	}
}

func sampleExercises(chosen string) []ui.Group {
	return []ui.Group{
		{Label: "Work at height", Options: []ui.Option{{Value: "e1", Label: "Harness basics", Note: "3 h 30", Chosen: chosen == "e1"}, {Value: "e2", Label: "Casualty lowering", Note: "3 h 30"}, {Value: "e3", Label: "Ladder rescue", Note: "3 h"}}},
		{Label: "Hydraulic systems", Options: []ui.Option{{Value: "e7", Label: "Pitch pump", Note: "3 h"}, {Value: "e8", Label: "Accumulator, pressure release", Note: "3 h"}}},
	}
}

func sampleIntakeOptions(chosen string) []ui.Option {
	return []ui.Option{{Label: "Choose an intake"}, {Value: "i3", Label: "27-03 Norrvind Drift", Note: "Mon 1 – Fri 12 Mar", Chosen: chosen == "i3"}, {Value: "i4", Label: "27-04 Almacén Eólico", Note: "Mon 15 – Fri 19 Mar"}}
}

func sampleStationOptions() []ui.Option {
	return []ui.Option{{Label: "Any that fits"}, {Value: "d14n", Label: "Deck 14 north"}, {Value: "d9n", Label: "Deck 9 north"}}
}

var sampleTrainees = []string{"Ilze Krastiņa", "Maximiliana Theodoropoulou-Vandenbergh", "Tadhg Ó Súilleabháin", "Aino Virtanen", "Bartłomiej Wójcik", "Chiara Bellandi", "Mehmet Yıldırım", "Sanne de Graaf"}

func traineeOptions(in int) []ui.Option {
	var out []ui.Option
	for i, n := range sampleTrainees {
		out = append(out, ui.Option{Value: "t" + string(rune('1'+i)), Label: n, Chosen: i < in})
	}
	return out
}

func sampleRest() ui.Finding {
	return ui.Finding{Level: verdict.Stops, Rule: "Daily rest", Who: link("Henrik Lindqvist", "/people/p2"),
		Found: "Lindqvist ends at 20:00 on Mon 1 Mar; 12 h to Tue 2 Mar 08:00 less travel leave 10 h", Required: "11 h rest, to Tue 2 Mar 09:00", Cause: link("rule book, EU adult, daily rest", "/rule-book#l3")}
}

func sampleReview() ui.Finding {
	return ui.Finding{Level: verdict.Cautions, Rule: "Rescue plan review", Who: link("Deck 9 north", "/stations/d9n"),
		Found: "rescue plan of Deck 9 north, version 4, is due for review by Mon 15 Mar", Required: "more than 14 days before its review, or an accepted reason"}
}

func sampleRefusals() []BookRefusal {
	show := func(say, at string) *ui.Change {
		return &ui.Change{Say: say, Action: "/book/proposal", Get: true, Values: []ui.Value{{Name: "start", Value: at}}}
	}
	return []BookRefusal{
		{When: "Tue 2 Mar 08:00–11:30", Station: link("Deck 9 north", "/stations/d9n"), Findings: []ui.Finding{sampleRest()}, Change: show("Tue 2 Mar 09:30 on the same station", "2027-03-02T09:30")},
		{When: "Tue 2 Mar 13:00–16:30", Station: link("Deck 9 south", "/stations/d9s"), Findings: []ui.Finding{{Level: verdict.Stops, Rule: "Station shut", Who: link("Deck 9 south", "/stations/d9s"), Found: "shut from Mon 1 Mar 16:20 to Thu 4 Mar: anchor test", Required: "a station that is open for the whole session"}, {Level: verdict.Stops, Rule: "Rescue cover", Who: link("Deck 9 south", "/stations/d9s"), Found: "1 rescuer free", Required: "2 rescuers"}}, Change: show("Wed 3 Mar 13:00 on Deck 9 north", "2027-03-03T13:00")},
		{When: "Wed 3 Mar 08:00–11:30", Station: link("Deck 14 north", "/stations/d14n"), Findings: []ui.Finding{{Level: verdict.Stops, Rule: "Double booking", Who: link("Deck 14 north", "/stations/d14n"), Found: "Harness basics with Okafor is booked there 08:00–11:30", Required: "a station used by one group at a time"}}, Change: show("Wed 3 Mar 13:00 on the same station", "2027-03-03T13:00")},
	}
}

func sampleOffers() []BookOffer {
	offer := func(rank, when, short, station string, people []ui.Fact, notes ...string) BookOffer {
		return BookOffer{Rank: rank, When: when, Station: link(station, "/stations/d14n"), Rig: "Tower platform", People: people, Notes: notes,
			Book:   ui.Form{Action: "/book", Key: "k" + rank, Button: "Book " + short, Hidden: []ui.Value{{Name: "exercise", Value: "e1"}, {Name: "start", Value: when}}},
			Adjust: link("Adjust people", "/book/proposal?exercise=e1&start="+rank)}
	}
	who := func(instructor, rescue string) []ui.Fact {
		return []ui.Fact{{Label: "Instructor", Value: link(instructor, "")}, {Label: "Rescue", Value: link(rescue, "")}}
	}
	list := []BookOffer{
		offer("1", "Tue 2 Mar 13:00–16:30", "Tue 2 Mar 13:00", "Deck 14 north", who("Ngozi Okafor", "Henrik Lindqvist"), "no extra day for anyone", "30 min idle", "staff 7 h"),
		offer("2", "Wed 3 Mar 13:00–16:30", "Wed 3 Mar 13:00", "Deck 14 north", who("Ngozi Okafor", "Henrik Lindqvist"), "no extra day for anyone", "1 h idle", "staff 7 h"),
		offer("3", "Thu 4 Mar 08:00–11:30", "Thu 4 Mar 08:00", "Deck 9 north", who("Folake Adeyemi", "Henrik Lindqvist and Ngozi Okafor"), "1 extra day for 6 trainees", "staff 10 h 30"),
		offer("4", "Fri 5 Mar 08:00–11:30", "Fri 5 Mar 08:00", "Deck 9 north", who("Maximiliana Theodoropoulou-Vandenbergh", "Henrik Lindqvist"), "1 extra day for 6 trainees", "staff 7 h"),
	}
	list[2].Cautions = []ui.Finding{sampleReview()}
	list[2].Book.Button = "Pencil Thu 4 Mar 08:00"
	return list
}

func sampleBook() Book {
	b := Book{
		Shell: sampleShell("book", "Book a session"), Title: "Book a session",
		Ask: NewBookAsk(BookChoices{Action: "/book", Exercises: sampleExercises("e1"), Intakes: sampleIntakeOptions("i3"), Intake: "i3", Trainees: traineeOptions(8), Stations: sampleStationOptions(), From: "2027-03-02", Until: "2027-03-15"}),
		Answer: &BookAnswer{
			Title: "4 free times", Line: "Harness basics for 6 trainees of 27-03 Norrvind Drift, Tue 2 – Mon 15 Mar; best first.", Offers: sampleOffers(),
			NotYet:  []BookBarred{{Names: []ui.Link{link("Mehmet Yıldırım", "/people/t7")}, Why: []ui.Finding{{Level: verdict.Stops, Rule: "Medical fitness", Found: "his fitness certificate lapsed on Mon 1 Mar", Required: "valid on the day of the session"}}}},
			Group:   BookNames{Say: "6 trainees take part", Names: []ui.Link{link("Ilze Krūmiņa", "/people/t1"), link("Maximiliana Theodoropoulou-Vandenbergh", "/people/t2")}},
			Left:    BookNames{Say: "One session takes 6; left for another group: 1 trainee", Names: []ui.Link{link("Sanne de Graaf", "/people/t8")}},
			Rest:    link("Ask for the other trainee", "/book?exercise=e1&trainee=t8"),
			Had:     BookNames{Say: "2 trainees need it no more: done, or booked already", Names: []ui.Link{link("Aoife Brennan", "/people/t9"), link("Rui Ferreira", "/people/t10")}},
			Refused: sampleRefusals(), More: "The first 12 are shown.",
		},
	}
	return b
}

func sampleAgain() Again {
	return Again{Shell: sampleShell("book", "Other times"), Title: "Other times for Harness basics", Over: link("Harness basics, Thu 4 Mar 08:00", "/sessions/s8"),
		Line: "6 trainees wait: it was stood down, and what was not done is needed again.", Answer: sampleBook().Answer}
}

func sampleProposal(level verdict.Level) Proposal {
	people := ProposalPeople{Trainees: traineeOptions(6),
		Instructors: []ui.Option{{Value: "p1", Label: "Ngozi Okafor", Chosen: true}, {Value: "p3", Label: "Folake Adeyemi", Note: "stops: daily rest"}, {Value: "p4", Label: "Maximiliana Theodoropoulou-Vandenbergh", Note: "stops: double booking, qualification"}},
		Rescuers:    []ui.Option{{Value: "p2", Label: "Henrik Lindqvist", Chosen: true}, {Value: "p5", Label: "Rui Ferreira"}, {Value: "p6", Label: "Aoife Brennan", Note: "stops: double booking"}}}
	form := ui.Form{Action: "/book", Key: "k7", Hidden: []ui.Value{{Name: "exercise", Value: "e1"}, {Name: "station", Value: "d9n"}, {Name: "start", Value: "2027-03-04T08:00"}}}
	p := NewProposal(sampleShell("book", "Harness basics, Thu 4 Mar 08:00"), "Harness basics, Thu 4 Mar 08:00", form, people, level == verdict.Cautions, "")
	p.Over = link("Free times for Harness basics", "/book?exercise=e1")
	p.Facts = []ui.Fact{{Label: "When", Value: link("Thu 4 Mar 08:00–11:30, 3 h 30", "")}, {Label: "Station", Value: link("Deck 9 north, Tower platform", "/stations/d9n")}, {Label: "Group", Value: link("6 of 6 places, intake 27-03 Norrvind Drift", "")}}
	p.Verdict.Level = level
	switch level {
	case verdict.Clear:
		p.Verdict.Say, p.Press = "every rule holds", "Book Thu 4 Mar 08:00"
	case verdict.Cautions:
		p.Verdict.Say, p.Press, p.Waits = "1 caution", "Pencil Thu 4 Mar 08:00", "Waits for: height and rescue."
		p.Verdict.Findings = []ui.Finding{sampleReview()}
	case verdict.Stops:
		p.Refused = "Not booked: Lindqvist ends at 20:00 on Monday, and 11 h rest run to Tuesday 09:00."
		p.Verdict.Say, p.Verdict.Findings = "1 rule stops it, 1 caution", []ui.Finding{sampleRest(), sampleReview()}
		p.Verdict.Changes = []ui.Change{{Say: "Tue 2 Mar 09:30 on the same station", Action: "/book/proposal", Get: true}}
	}
	return p
}

func sampleConflict() Conflict {
	return Conflict{
		Shell: sampleShell("book", "Okafor was first"), Title: "Okafor was first",
		First: "Okafor booked Deck 14 north, Tue 2 Mar 13:00–16:30, two minutes ago.", Theirs: link("Open that session", "/sessions/s40"),
		Wanted: "You asked for Harness basics with 6 trainees of 27-03 there.", Answer: &BookAnswer{Title: "3 times are free now", Offers: sampleOffers()[1:]},
		Again: link("Ask for other days", "/book?exercise=e1"),
	}
}

func sampleSessionPage(level verdict.Level) Session {
	s := Session{
		Shell: sampleShell("week", "Harness basics, Thu 4 Mar 08:00"), Exercise: "Harness basics", Over: link("Thu 4 Mar", "/day/2027-03-04"),
		Times: "Thu 4 Mar 08:00–11:30", Length: "3 h 30", State: "booked",
		Station: link("Deck 9 north", "/stations/d9n"), Rig: link("Tower platform", "/rigs/tower"),
		Locator: chart.Locator(sampleMap("d9n"), "Carrowmoyle: here is station 2, Deck 9 north"),
		Needs:   []ui.Fact{{Label: "Ratio", Value: link("1 instructor for 6 trainees", "/rule-book#l5")}, {Label: "Zone", Value: link("drop zone of the tower, closed while it runs", "")}},
		Rescue:  SessionRescue{Plan: link("Version 4, approved Mon 1 Feb", "/stations/d9n#rescue"), Note: "last drilled Thu 14 Jan; review by Mon 15 Mar"},
		Places:  "6 of 6 places",
		Staff: []SessionPerson{{Name: link("Ngozi Okafor", "/people/p1"), Part: "instructor, leads", Note: "qualified to Fri 18 Jun"},
			{Name: link("Henrik Lindqvist", "/people/p2"), Part: "standby rescuer", Note: "rescue competence to Tue 7 Sep"}},
		Outcomes: []SessionOutcome{{"Checks a harness before use and finds a planted fault", "Work at height, unit 1"}, {"Puts on and adjusts a full-body harness", "Work at height, unit 1"}, {"Moves along a deck always attached", "Work at height, unit 2"}},
		Checks:   SessionChecks{Asked: true, Level: level, Say: map[verdict.Level]string{verdict.Clear: "every rule holds; 1 caution is accepted", verdict.Cautions: "2 cautions wait", verdict.Stops: "1 rule stops it"}[level], Note: "Judged against the records of Tue 2 Mar 10:14."},
		History: []SessionEntry{{Act: "moved", What: "from Wed 3 Mar 08:00, Deck 9 south", By: link("Ngozi Okafor", "/people/p1"), When: "Mon 1 Mar 16:40", Entry: "20 398"},
			{Act: "booked", By: link("Aoife Brennan", "/people/p6"), When: "Mon 15 Feb 09:12", Entry: "19 977"}},
		Actions: SessionActions{Move: link("Move…", "/sessions/s8/move"), People: link("Change people…", "/sessions/s8/people"), StandDown: link("Stand down…", "/sessions/s8/stand-down")},
	}
	join := ui.Form{Action: "/sessions/s8/others", Key: "k20", Button: "Let them join"}
	s.Others = SessionOthers{Join: &join, Leave: []ui.Form{{Action: "/sessions/s8/others", Key: "k21", Button: "Take out Wen Halloran"}}, Open: true,
		Fields: []ui.Field{{Name: "visitor", ID: "other-name", Label: "Or somebody else, by name"}}}
	for _, n := range sampleTrainees[:6] {
		s.Trainees = append(s.Trainees, SessionTrainee{Name: link(n, "/people/t1"), Intake: link("27-03", "/intakes/i3"), Code: link("Forgot it…", "/sessions/s1/trainees/t1/own-code")})
	}
	switch level {
	case verdict.Cautions:
		s.State, s.StateNote = "pencilled", "waits for: height and rescue"
		s.Checks.Waiting = []Caution{NewCaution("1", sampleReview(), "Yours to accept, as responsible for height and rescue.", ui.Form{Action: "/sessions/s8/accept", Key: "k9"}, true, "", nil),
			{Finding: ui.Finding{Level: verdict.Cautions, Rule: "Days in a row", Who: link("Ngozi Okafor", "/people/p1"), Found: "Okafor has times on 12 days in a row from Mon 22 Feb", Required: "fewer than 12 days in a row, or an accepted reason"}, Waits: "Waits for an administrator."}}
	case verdict.Stops:
		s.Checks.Findings = []ui.Finding{sampleFinding()}
	default:
		s.Checks.Findings = []ui.Finding{sampleReview()}
		s.Accepted = []SessionAcceptance{{Caution: "Rescue plan review", By: link("Henrik Lindqvist", "/people/p2"), When: "Mon 1 Mar 17:02", Reason: "Review is on Friday; nothing on deck 9 has changed since version 4.", Own: true, Entry: "20 401"}}
	}
	return s
}

func sampleDownPage() Session {
	s := sampleSessionPage(verdict.Clear)
	s.State, s.StateNote, s.Trial = "stood down", "weather: gusts above 15 m/s forecast", "Trial session: drill"
	s.Checks = SessionChecks{Note: "Not judged: it is stood down. Reopening judges it as if it were new."}
	s.Accepted, s.Rescue, s.Locator = nil, SessionRescue{Note: "No rescue plan is in force for Deck 9 north on Thu 4 Mar."}, nil
	s.Actions = SessionActions{Reopen: &ui.Form{Action: "/sessions/s8/reopen", Key: "k11", Button: "Reopen Thu 4 Mar 08:00"}}
	return s
}

func sampleStandDown(errors map[string]string) StandDown {
	return NewStandDown(sampleShell("week", "Stand down Harness basics"), "Harness basics", "Thu 4 Mar 08:00–11:30, Deck 9 north; 6 trainees with Okafor.", link("Harness basics", "/sessions/s8"),
		ui.Form{Action: "/sessions/s8/stand-down", Key: "k10", Button: "Stand down Thu 4 Mar 08:00"},
		[]ui.Option{{Value: "weather", Label: "Weather"}, {Value: "rig", Label: "Rig", Note: "out of service, shut, damaged"}, {Value: "people-not-available", Label: "People not available"}, {Value: "other", Label: "Other"}},
		"", []string{"6 trainees of 27-03 need Harness basics again.", "Casualty lowering on Fri 5 Mar needs it first for 6 trainees."}, errors)
}
