package ui

import (
	"bytes"
	"context"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/a-h/templ"

	"rungbook/internal/civil"
	"rungbook/internal/verdict"
)

var update = flag.Bool("update", false, "write the golden parts anew")

func rendered(t *testing.T, c templ.Component) string {
	t.Helper()
	var b bytes.Buffer
	if err := c.Render(context.Background(), &b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func deckFinding() Finding {
	return Finding{
		Level: verdict.Stops, Rule: "Daily rest", Who: Link{"Lindqvist", "/people/p2"},
		Found: "Ends at 20:00 on Mon 1 Mar.", Required: "11 h rest, to Tue 2 Mar 07:00.",
		Change: &Change{Say: "Tue 2 Mar 07:00", Action: "/book", Get: true, Values: []Value{{"start", "2027-03-02T07:00"}}},
	}
}

func TestSmallPartsLookAsTheyDid(t *testing.T) {
	for name, c := range map[string]templ.Component{
		"finding.html":        FindingBox(deckFinding()),
		"answer-clear.html":   Answer(verdict.Clear),
		"answer-caution.html": Answer(verdict.Cautions),
		"answer-stops.html":   Answer(verdict.Stops),
		"field.html":          FieldBox(Field{Name: "wind", Label: "Wind", Kind: Number, Unit: "m/s", Hint: "Ten minutes' mean.", Error: "Wind is empty.", Required: true, Min: "0", Max: "60", Step: "0.1", InputMode: "decimal"}),
		"choices.html":        FieldBox(Field{Name: "result", Label: "Result", Kind: Radio, Error: "Choose one.", Options: []Option{{Value: "passed", Label: "Passed", Chosen: true}, {Value: "failed", Label: "Failed", Note: "the station stops at once"}, {Value: "none", Label: "Not done", Shut: true}}}),
	} {
		got := strings.ReplaceAll(rendered(t, c), "><", ">\n<") + "\n"
		path := filepath.Join("testdata", name)
		if *update {
			if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if got != string(want) {
			t.Errorf("%s has changed; look at it and run the test with -update. Got:\n%s", name, got)
		}
	}
}

func TestAVerdictNeverStandsWithoutItsWord(t *testing.T) {
	for level, word := range map[verdict.Level]string{verdict.Clear: "Clear", verdict.Cautions: "Cautions", verdict.Stops: "Stops"} {
		if got := rendered(t, Answer(level)); !strings.Contains(got, word) || !strings.Contains(got, "<svg") {
			t.Errorf("%v is drawn as %s", level, got)
		}
	}
}

func TestANearestChangeThatCantBeMadeHereIsOnlyTold(t *testing.T) {
	f := deckFinding()
	f.Change.Action = ""
	got := rendered(t, FindingBox(f))
	if strings.Contains(got, "<button") || !strings.Contains(got, "Tue 2 Mar 07:00") {
		t.Errorf("drawn as %s", got)
	}
	f.Change = nil
	if got := rendered(t, FindingBox(f)); strings.Contains(got, "Nearest change") {
		t.Errorf("a change is offered where none is known: %s", got)
	}
}

func TestFindingOfWordsValuesInThePagesStyle(t *testing.T) {
	style := verdict.Style{
		Ref:     func(r verdict.Ref) string { return "Lindqvist" },
		Day:     func(civil.Day) string { return "Mon 1 Mar" },
		Instant: func(civil.Instant) string { return "20:00" },
		Period:  func(civil.Period) string { return "08:00–11:30" },
	}
	f := verdict.Finding{
		Level: verdict.Stops, Rule: "daily-rest", Who: verdict.Ref{Kind: verdict.Person, ID: "p2"},
		Found: verdict.Say("ends at ", civil.Instant(9)), Required: verdict.Say(civil.Minutes(660), " rest"),
		Nearest: &verdict.Nearest{Say: verdict.Say("on ", civil.Day(5)), Start: 7},
	}
	got := FindingOf(f, style, "Daily rest", func(n verdict.Nearest) (string, []Value) { return "/book", []Value{{"start", "7"}} })
	if got.Who.Text != "Lindqvist" || got.Found != "ends at 20:00" || got.Required != "11 h rest" || got.Rule != "Daily rest" {
		t.Errorf("worded as %+v", got)
	}
	if got.Change == nil || got.Change.Say != "on Mon 1 Mar" || got.Change.Action != "/book" || len(got.Change.Values) != 1 {
		t.Errorf("nearest change is %+v", got.Change)
	}
	if told := FindingOf(f, style, "Daily rest", nil); told.Change == nil || told.Change.Action != "" {
		t.Errorf("without an address the change must only be told, got %+v", told.Change)
	}
	f.Nearest = nil
	if bare := FindingOf(f, style, "Daily rest", nil); bare.Change != nil {
		t.Errorf("a change appeared from nothing: %+v", bare.Change)
	}
}

func TestNavShowsOnlyWhatOneMayOpen(t *testing.T) {
	var labels []string
	for _, s := range Nav(func(id string) bool { return id == "yard" || id == "attention" }, "3") {
		labels = append(labels, s.Label+s.Count)
	}
	if got := strings.Join(labels, " "); got != "Yard Needs attention3" {
		t.Errorf("the navigation is %q", got)
	}
}

func TestErrorsKeepTheOrderOfTheFields(t *testing.T) {
	got := Errors([]Field{{Name: "a"}, {Name: "b", Error: "B is empty."}, {Name: "c", ID: "c2", Error: "C is empty."}})
	if len(got) != 2 || got[0] != (FieldError{"b", "B is empty."}) || got[1] != (FieldError{"c2", "C is empty."}) {
		t.Errorf("got %v", got)
	}
}

func TestPageCarriesThemeAndComesBackAfterAChange(t *testing.T) {
	got := rendered(t, Page(Shell{Title: "Week", Yard: "Carrowmoyle", Theme: "dark", Path: "/week/2027-W09"}))
	for _, want := range []string{`<html lang="en" data-theme="dark">`, `<title>Week · Carrowmoyle</title>`, `name="back" value="/week/2027-W09"`, `value="dark" aria-pressed="true"`} {
		if !strings.Contains(got, want) {
			t.Errorf("the page lacks %s", want)
		}
	}
	if strings.Contains(got, "Sign out") || strings.Contains(got, `role="search"`) {
		t.Error("a visitor who is not signed in is offered to search or sign out")
	}
}

func TestWhatIsFoundOfSeveralIsSaidOnce(t *testing.T) {
	of := func(who, found string) Finding {
		return Finding{Level: verdict.Stops, Rule: "Last day", Who: Link{Text: who}, Found: found, Required: "by Fri 5 Mar"}
	}
	list := []Finding{of("Ama", "ends Mon 8 Mar"), of("Bo", "ends Tue 9 Mar"), of("Cai", "ends Mon 8 Mar"), of("Cai", "ends Mon 8 Mar"), of("Dee", "ends Mon 8 Mar")}
	got := Together(list)
	if len(got) != 2 || got[0].Who.Text != "Ama" || len(got[0].Also) != 2 || got[0].Also[0].Text != "Cai" || got[0].Also[1].Text != "Dee" || got[1].Who.Text != "Bo" || len(got[1].Also) != 0 {
		t.Fatalf("together: %+v", got)
	}
	if len(list[0].Also) != 0 {
		t.Error("what was put in was changed")
	}
	said := rendered(t, FindingBox(got[0]))
	for _, who := range []string{"Ama", "Cai", "Dee"} {
		if !strings.Contains(said, who) {
			t.Errorf("%s is not named: %s", who, said)
		}
	}
	changed := list[2]
	changed.Change = &Change{Say: "Mon 1 Mar"}
	if got := Together([]Finding{list[0], changed}); len(got) != 2 {
		t.Errorf("one that has a change of its own is lost: %+v", got)
	}
}
