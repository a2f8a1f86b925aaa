package page

import (
	"strings"
	"testing"

	"golang.org/x/net/html"

	"rungbook/web/ui"
)

func TestPlanningAsksWhatWhenAndHowLong(t *testing.T) {
	root := draw(t, PlanningPage(samplePlanning()))
	for label, name := range map[string]string{"From": "from", "Until": "until", "How long to search": "seconds"} {
		if got, _ := attr(control(t, root, label), "name"); got != name {
			t.Errorf("%q is sent as %q, want %q", label, got, name)
		}
	}
	for _, legend := range []string{"Intakes", "Finish soon", "Few days for each trainee", "Spare the staff"} {
		named(t, root, legend, "legend")
	}
	leads(t, root, "27-03 Norrvind Drift", "/drafts/dr2")
	holds(t, table(t, root, "Drafts"), "27-03 Norrvind Drift", "done", "Mon 8 – Fri 26 Mar", "84 of 84 placed at most 1.9 % better is possible")
}

func TestPlanningChoosesTraineesWithoutStartingASearch(t *testing.T) {
	b := named(t, draw(t, PlanningPage(samplePlanning())), "Choose trainees", "button")
	for key, want := range map[string]string{"formmethod": "get", "formaction": "/plan"} {
		if got, _ := attr(b, key); got != want {
			t.Errorf("%s is %q, want %q", key, got, want)
		}
	}
}

func TestPlanningCountsTheTraineesChosen(t *testing.T) {
	for chosen, want := range map[int]string{0: "0 of 2 trainees", 1: "1 of 2 trainees", 2: "2 of 2 trainees"} {
		p := samplePlanning()
		p.Trainees = &ui.Field{Name: "trainee", Label: "Trainees", Kind: ui.Checkboxes, Options: []ui.Option{{Value: "a", Label: "A", Chosen: chosen > 0}, {Value: "b", Label: "B", Chosen: chosen > 1}}}
		named(t, draw(t, PlanningPage(p)), want, "summary")
	}
}

// refresh returns what a browser without script is told in the head; with script
// the element is text, which html.Parse keeps as such.
func refresh(root *html.Node) string {
	for _, n := range all(root, tag("noscript")) {
		if s := said(n); strings.Contains(s, "http-equiv") {
			return s
		}
	}
	return ""
}

func TestASearchIsFollowedWithAndWithoutScript(t *testing.T) {
	root := draw(t, DraftPage(sampleLive("searching")))
	follows := all(root, func(e *html.Node) bool { v, _ := attr(e, "data-follow"); return v == "/drafts/dr2/progress" })
	if len(follows) != 1 || !strings.Contains(said(follows[0]), "80 of 84 exercises are placed.") {
		t.Error("no part of the page follows the search")
	}
	if got := refresh(root); !strings.Contains(got, `content="3"`) {
		t.Errorf("without script the page says %q", got)
	}
	if strings.Contains(said(follows[0]), "Stop and keep") {
		t.Error("the button stands in the part that is drawn anew, and would lose the focus")
	}
	if got := refresh(draw(t, DraftPage(sampleDraft()))); got != "" {
		t.Errorf("a draft that is found reloads itself: %s", got)
	}
}

func TestADraftSaysItsVerdictFiguresAndWhatIsLeftOut(t *testing.T) {
	root := draw(t, DraftPage(sampleDraft()))
	named(t, root, "At most 1.9 % better is possible.", "p")
	named(t, root, "Days per trainee 4.2, at most 6", "summary")
	holds(t, table(t, root, "Staff hours"), "Henrik Lindqvist", "42.5", "9")
	text := said(root)
	for _, want := range []string{"80 of 84 exercises are placed, in 31 sessions; 4 are not.", "nobody who may teach it is here after Fri 12 Mar", "one more person who may teach it"} {
		if !strings.Contains(text, want) {
			t.Errorf("the page doesn't say %q", want)
		}
	}
	leads(t, root, "Accept …", "/drafts/dr1/accept")
}

func TestADraftsBoardSaysWhatIsProposedAndWhatIsGivenUp(t *testing.T) {
	root := draw(t, DraftPage(sampleDraft()))
	want := map[string]int{"proposed, new": 2, "proposed, moves from Wed 3 Mar 13:00": 2, "given up, moves to Thu 4 Mar 08:00": 2} // board and list
	for _, a := range all(root, tag("a")) {
		for words := range want {
			if strings.Contains(spoken(a), words) {
				want[words]--
			}
		}
	}
	for words, n := range want {
		if n != 0 {
			t.Errorf("%q is spoken %d times too few", words, n)
		}
	}
	for _, word := range []string{"proposed", "given up", "booked", "pencilled"} {
		named(t, root, word, "span")
	}
}

func TestPeopleAreTickedOnlyOnceTheDraftIsAccepted(t *testing.T) {
	ticks := func(d Draft) []*html.Node {
		return all(draw(t, DraftPage(d)), func(e *html.Node) bool { v, _ := attr(e, "name"); return v == "person" })
	}
	d := sampleDraft()
	if n := len(ticks(d)); n != 0 {
		t.Errorf("%d people can be ticked before the draft is accepted", n)
	}
	d.Told.Form = ui.Form{Action: "/drafts/dr1/told", Key: "k", Button: "Save who was told"}
	if n := len(ticks(d)); n != 2 {
		t.Errorf("%d people can be ticked, want the 2 who were not told", n)
	}
	rows := table(t, draw(t, DraftPage(d)), "People concerned, before and after")
	holds(t, rows, "Maeve Ó Ceallaigh", "Wed 3 Mar 13:00–16:30 Ladder rescue, Deck 9 north", "Thu 4 Mar 08:00–11:30 Ladder rescue, Deck 9 north", "told Maeve Ó Ceallaigh")
	holds(t, rows, "Henrik Lindqvist", "nothing", "Thu 4 Mar 08:00–11:30 Ladder rescue, Deck 9 north", "told Tue 2 Mar 10:20, by Brennan")
	for i := range d.Told.Rows {
		d.Told.Rows[i].Told = "today"
	}
	if text := said(draw(t, DraftPage(d))); strings.Contains(text, "Save who was told") {
		t.Error("all are told, and the page still asks")
	}
}

func TestPeopleWithoutABeforeNeedNoColumnForIt(t *testing.T) {
	d := sampleDraft()
	d.Told.Rows = d.Told.Rows[1:]
	rows := table(t, draw(t, DraftPage(d)), "People concerned, before and after")
	if len(rows[0]) != 2 || rows[0][1] != "After" {
		t.Errorf("the columns are %q", rows[0])
	}
}

func TestADraftThatChangesNothingSaysSo(t *testing.T) {
	d := sampleDraft()
	d.Changes, d.Told = nil, DraftTold{}
	text := said(draw(t, DraftPage(d)))
	for _, want := range []string{"Nothing changes: what is booked stands as it is.", "Nobody’s sessions change."} {
		if !strings.Contains(text, want) {
			t.Errorf("the page doesn't say %q", want)
		}
	}
}

func TestComparingNamesTheBetterOfEachFigure(t *testing.T) {
	root := draw(t, DraftComparePage(sampleCompare()))
	holds(t, table(t, root, "Sessions that differ"), "Casualty lowering", "Wed 3 Mar 13:00–16:30, Deck 14 north 6 trainees with Lindqvist", "nothing")
	rows := table(t, root, "Figures of both drafts")
	holds(t, rows, "Placed", "84 of 84 better", "80 of 84")
	holds(t, rows, "Staff hours", "118.5 h", "110.0 h better")
	holds(t, rows, "Last day", "Tue 23 Mar", "Tue 23 Mar")
}

func TestMendSaysWhatIsLostHitAndWhatItDoesNotDo(t *testing.T) {
	root := draw(t, MendPage(sampleMend()))
	for _, fold := range []string{"Weather takes a day", "An instructor is away"} {
		named(t, root, fold, "summary")
	}
	named(t, root, "Make a repair draft", "button")
	named(t, root, "End it now stations at height: weather", "button")
	leads(t, root, "Move Harness basics, Wed 3 Mar 08:00–11:30", "/sessions/s8/move")
	text := said(root)
	for _, want := range []string{"Only the person responsible for its field puts a rig back in service.", "The person in charge at the yard judges it", "clears nobody to climb"} {
		if !strings.Contains(text, want) {
			t.Errorf("the page doesn't say %q", want)
		}
	}
	none := sampleMend()
	none.Hit, none.Days, none.Repair, none.Board = nil, nil, ui.Form{}, Week{}
	if text := said(draw(t, MendPage(none))); !strings.Contains(text, "there is none: all hold") || strings.Contains(text, "Make a repair draft") {
		t.Error("where nothing is hit the page doesn't say so, or offers a repair")
	}
}
