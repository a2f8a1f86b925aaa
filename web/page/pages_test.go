package page

import (
	"strings"
	"testing"

	"golang.org/x/net/html"

	"rungbook/internal/verdict"
	"rungbook/web/ui"
)

func TestYardShowsEachStationInTheDrawingAndInTheList(t *testing.T) {
	root := draw(t, YardPage(sampleYardPage()))
	elevation := func(e *html.Node) bool {
		v, _ := attr(e, "aria-label")
		return e.Data == "svg" && strings.HasPrefix(v, "Elevation of Carrowmoyle, to scale")
	}
	wide, inRows := all(all(root, class("yard-drawing"))[0], elevation), all(root, class("yard-rows"))[0]
	if n := len(all(inRows, elevation)); len(wide) != 1 || n != 2 {
		t.Fatalf("%d elevations in one row and %d in two, want 1 and 2", len(wide), n)
	}
	rows := table(t, root, "Rigs and stations, now")
	for _, r := range sampleYard().Rigs {
		for _, s := range r.Stations {
			toStation := func(e *html.Node) bool { v, _ := attr(e, "href"); return e.Data == "a" && v == s.Href }
			links := all(wide[0], toStation)
			if n := len(all(inRows, toStation)); len(links) != 1 || n != 1 {
				t.Errorf("%s: %d links in the drawing and %d in its two rows, want 1 each", s.Name, len(links), n)
				continue
			}
			if spoken, _ := attr(links[0], "aria-label"); !strings.Contains(spoken, s.Name) || !strings.Contains(spoken, s.Say) {
				t.Errorf("%s is spoken as %q, which lacks %q", s.Name, spoken, s.Say)
			}
			holds(t, rows, s.Mark, s.Name)
		}
	}
	holds(t, rows, "3", "Deck 9 south", "shut Anchor test, to Thu 4 Mar 12:00")
	holds(t, rows, "1", "Deck 14 north", "in use", "Harness basics to 11:30", "6 of 6")
	leads(t, root, "2 sessions need attention", "/attention")
}

func TestYardWithoutRigsOffersTheFirstStep(t *testing.T) {
	root := draw(t, YardPage(Yard{Shell: sampleShell("yard", "Yard"), Name: "Carrowmoyle", NewRig: link("Enter the first rig", "/rigs/new")}))
	leads(t, root, "Enter the first rig", "/rigs/new")
	if n := len(all(root, tag("svg"))); n != 0 {
		t.Errorf("%d drawings of nothing", n)
	}
}

func TestCoverageMarksWhatHangsOnOneStation(t *testing.T) {
	root := draw(t, CoveragePage(sampleCoverage(false)))
	named(t, root, "Hangs on one station", "h2")
	leads(t, root, "Ladder bay", "/stations/d4n")
	rows := table(t, root, "Which station delivers which outcome")
	holds(t, rows, "Frees a casualty from a ladder", "Ladder rescue", "1 station only Deck 14 north, Room")
	holds(t, rows, "Inspects and fits a harness", "Harness basics", "2 stations Deck 14 north, Room", "Harness basics")
}

func TestCoverageWithoutARigShowsWhatIsLostAndWhoIsStuck(t *testing.T) {
	root := draw(t, CoveragePage(sampleCoverage(true)))
	named(t, root, "Without the tower platform", "h2")
	holds(t, table(t, root, "Who is stuck"), "Ilze Krūmiņa", "27-03", "Inspects and fits a harness")
	holds(t, table(t, root, "Which station delivers which outcome"), "Inspects and fits a harness", "Harness basics", "lost Deck 14 north, Room", "lost")
	p := sampleCoverage(true)
	p.Loss.Outcomes, p.Loss.Stuck = nil, nil
	if rows := all(draw(t, CoveragePage(p)), func(e *html.Node) bool { return e.Data == "caption" && said(e) == "Who is stuck" }); len(rows) != 0 {
		t.Error("a table of nobody is shown when nothing is lost")
	}
}

func TestRuleBookShowsSourceAndWhatIsNotChecked(t *testing.T) {
	root := draw(t, RuleBookPage(sampleRuleBook()))
	rows := table(t, root, "European Union, adult: limits")
	holds(t, rows, "Rest between two working days", "11 h", "article 3 Directive 2003/88/EC", "read", "Daily rest")
	holds(t, rows, "Average week over four months", "48 h", "article 6 Directive 2003/88/EC", "read", "not checked by Rungbook")
	leads(t, root, "Read and confirm energy", "/rule-book/confirm#lines_energy")
	leads(t, root, "Version 2", "/rule-book?version=2")
}

func TestARefusedChangeOpensItsFormWithWhatWasTyped(t *testing.T) {
	root := draw(t, RuleBookPage(sampleRuleBook()))
	from := control(t, root, "From")
	if v, _ := attr(from, "value"); v != "2027-03-01" {
		t.Errorf("the day typed was %q, want 2027-03-01", v)
	}
	if v, _ := attr(from, "aria-invalid"); v != "true" {
		t.Error("the refused field is not marked invalid")
	}
	open := all(root, func(e *html.Node) bool { _, ok := attr(e, "open"); return e.Data == "details" && ok })
	if len(open) != 1 {
		t.Errorf("%d forms stand open, want the refused one", len(open))
	}
}

func TestStationSaysWhyItStopsAndWhatWouldClearIt(t *testing.T) {
	root := draw(t, StationPage(sampleStation()))
	text := said(all(root, tag("main"))[0])
	for _, want := range []string{"Stops may not be used today", "Stops Inspection overdue since Wed 24 Feb (deck and railing) Back in use: record the inspection that passes", "Stops Shut to Thu 4 Mar 18:00: anchor test Back in use: open it", "Tower rescue, version 4, in force from Mon 14 Sep 2026", "Approved by Ngozi Okafor, drilled Fri 12 Feb"} {
		if !strings.Contains(text, want) {
			t.Errorf("the page doesn't say %q", want)
		}
	}
	leads(t, root, "record the inspection that passes", "?do=inspection&line=l9#change")
	named(t, root, "Open deck 9 south", "button")
	holds(t, table(t, root, "Inspections"), "Deck and railing", "3 months", "Tue 24 Nov 2026, passed, Okafor", "Wed 24 Feb", "overdue since Wed 24 Feb")
}

func TestStationWithoutARescuePlanStops(t *testing.T) {
	p := sampleStation()
	p.Plans, p.Inspections = nil, nil
	text := said(draw(t, StationPage(p)))
	for _, want := range []string{"Stops No rescue plan has been approved for this station.", "What is not inspected is not in service."} {
		if !strings.Contains(text, want) {
			t.Errorf("the page doesn't say %q", want)
		}
	}
}

func TestRigListsCausesStationsAndClocks(t *testing.T) {
	root := draw(t, RigPage(sampleRig()))
	if !strings.Contains(said(root), "Stops Inspection overdue since Wed 24 Feb (deck and railing) Back in use: record the inspection") {
		t.Error("the cause is not told")
	}
	holds(t, table(t, root, "Stations"), "3", "Deck 9 south", "Stops shut to Thu 4 Mar: anchor test", "6")
	holds(t, table(t, root, "Kits"), "Rescue kit R2", "rescue on deck 14", "Sun 14 Mar", "12 days left")
	holds(t, table(t, root, "States"), "in service", "Mon 4 May 2026", "374")
}

func TestPersonNumbersLeadToTheirSessions(t *testing.T) {
	root := draw(t, PersonPage(samplePerson()))
	leads(t, root, "14.0", "/people/t2?exercise=x1&rig=tower#sessions")
	leads(t, root, "4", "/people/t2?exercise=x1&rig=tower#sessions")
	holds(t, table(t, root, "Ended or replaced"), "First aid", "871", "Thu 11 Feb 2027", "lapsed 19 days ago")
	holds(t, table(t, root, "Sessions held"), "Tue 2 Mar", "08:00–11:30", "Harness basics", "Deck 14 north", "trainee", "present", "3 h 30", "signed off")
	holds(t, table(t, root, "Results by outcome"), "Inspects and fits a harness", "competent")
}

func TestPathShowsNothingOfOthers(t *testing.T) {
	root := draw(t, PathPage(samplePath()))
	if n := len(all(root, func(e *html.Node) bool { v, _ := attr(e, "role"); return v == "search" })); n != 0 {
		t.Error("a trainee is offered a search over others")
	}
	if nav := said(all(root, tag("nav"))[0]); nav != "My path" {
		t.Errorf("a trainee's navigation is %q, want only My path", nav)
	}
	bar := all(root, tag("progress"))[0]
	if v, _ := attr(bar, "aria-label"); v != "2 of 7 outcomes" {
		t.Errorf("the bar says %q", v)
	}
}

func TestListsFilterAndPageByKey(t *testing.T) {
	root := draw(t, CertificatesPage(sampleCertificates()))
	if form := all(root, func(e *html.Node) bool { v, _ := attr(e, "action"); return v == "/certificates" }); len(form) != 1 {
		t.Fatal("no filter form")
	} else if m, _ := attr(form[0], "method"); m != "get" {
		t.Errorf("the filter is sent by %q, want get", m)
	}
	holds(t, table(t, root, "Certificates by last valid day"), "904", "Maximiliana Theodoropoulou-Vandenbergh", "Hydraulic systems", "Norrvind Drift", "Tue 2 Mar 2027", "last day today")
	leads(t, root, "Next page", "/certificates?after=1042")

	p := samplePeople()
	p.Rows, p.Pages = nil, ui.Pages{}
	empty := draw(t, PeoplePage(p))
	leads(t, empty, "Show everybody", "/people")
}

func TestIntakeOffersToBook(t *testing.T) {
	root := draw(t, IntakePage(sampleIntake()))
	leads(t, root, "Book a session for this intake", "/book?intake=i1")
	holds(t, table(t, root, "Trainees of this intake"), "Ilze Krūmiņa", "2 of 7 outcomes", "", "medical lapsed Mon 1 Mar")
	holds(t, table(t, draw(t, IntakesPage(sampleIntakes())), "Running intakes"), "27-03", "Norrvind Drift", "Work at height", "Mon 1 – Fri 12 Mar 10 days left", "12")
}

func TestSearchKeepsWhatWasTyped(t *testing.T) {
	root := draw(t, SearchPage(sampleSearch()))
	if v, _ := attr(control(t, root, "Search people, certificates, sessions, stations"), "value"); v != "deck" {
		t.Errorf("the search field holds %q, want deck", v)
	}
	leads(t, root, "Deck 9 north", "/stations/d9n")
}

func TestSignInKeepsTheAddressButNeverThePassword(t *testing.T) {
	root := draw(t, SignInPage(NewSignIn(sampleDoor(), "ngozi@example.org", "/week", "E-mail and password don't match.")))
	if v, _ := attr(control(t, root, "E-mail"), "value"); v != "ngozi@example.org" {
		t.Errorf("the e-mail typed became %q", v)
	}
	if v, has := attr(control(t, root, "Password"), "value"); has {
		t.Errorf("the password field holds %q", v)
	}
	leads(t, root, "E-mail and password don't match.", "#email")
}

func TestFirstAdministratorPutsMessagesBesideTheirFields(t *testing.T) {
	root := draw(t, FirstAdministratorPage(NewFirstAdministrator(sampleDoor(), 15, "k1", "c0de", "Ngozi", "", map[string]string{"email": "E-mail is empty.", "again": "The two passwords differ."})))
	for label, message := range map[string]string{"E-mail": "E-mail is empty.", "Password, once more": "The two passwords differ."} {
		by, _ := attr(control(t, root, label), "aria-describedby")
		found := all(root, func(e *html.Node) bool { v, _ := attr(e, "id"); return v != "" && strings.HasSuffix(by, v) })
		if len(found) == 0 || said(found[0]) != message {
			t.Errorf("%s is described by %q, want %q", label, by, message)
		}
	}
}

func TestNoticeOfAnUnconfirmedRuleBookStandsAboveThePage(t *testing.T) {
	s := sampleShell("yard", "Yard")
	s.Notices = []ui.Notice{{Level: verdict.Stops, Text: "Rule book not confirmed.", Link: link("Open the rule book", "/rule-book")}}
	main := said(all(draw(t, YardPage(Yard{Shell: s, Name: "Carrowmoyle"})), tag("main"))[0])
	if !strings.HasPrefix(main, "Stops Rule book not confirmed. Open the rule book Carrowmoyle") {
		t.Errorf("the page begins %q", main[:min(80, len(main))])
	}
}

func TestProblemSaysWhatCanBeDone(t *testing.T) {
	root := draw(t, ProblemPage(Problem{Shell: sampleShell("", "No such session"), Title: "No such session", Text: "There is no session 12.", Back: link("Open the week", "/week")}))
	named(t, root, "No such session", "h1")
	leads(t, root, "Open the week", "/week")
}
