package page

import (
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"rungbook/internal/verdict"
	"rungbook/web/ui"
)

func TestSessionShowsPeopleWithTheirParts(t *testing.T) {
	root := draw(t, SessionPage(sampleSessionPage(verdict.Clear)))
	holds(t, table(t, root, "Staff"), "Ngozi Okafor", "instructor, leads qualified to Fri 18 Jun")
	trainees := table(t, root, "Trainees, 6 of 6 places")
	if len(trainees) != 7 {
		t.Errorf("%d rows of trainees, want a head and 6", len(trainees))
	}
	holds(t, trainees, "Ilze Krastiņa", "27-03")
	if slices.Contains(trainees[0], "Result") {
		t.Error("a session that isn't signed has a column of results")
	}
}

func TestSignedSessionShowsResults(t *testing.T) {
	p := sampleSessionPage(verdict.Clear)
	p.Trainees[0].Result = "present · competent 3 of 3"
	holds(t, table(t, draw(t, SessionPage(p)), "Trainees, 6 of 6 places"), "Ilze Krastiņa", "27-03", "present · competent 3 of 3")
}

func TestSessionDrawsNoneOneSevenAndManyTrainees(t *testing.T) {
	for _, n := range []int{0, 1, 7, 700} {
		p := sampleSessionPage(verdict.Clear)
		p.Trainees = slices.Repeat([]SessionTrainee{{Name: link(longName, "/people/t1")}}, n)
		rows := table(t, draw(t, SessionPage(p)), "Trainees, 6 of 6 places")
		if want := max(n, 1); len(rows)-1 != want { // nobody is told in a row too
			t.Errorf("%d trainees: %d rows, want %d", n, len(rows)-1, want)
		}
	}
}

func TestSessionHistoryNamesActPersonAndEntry(t *testing.T) {
	root := draw(t, SessionPage(sampleSessionPage(verdict.Clear)))
	holds(t, table(t, root, "Who did what, latest first"), "Mon 1 Mar 16:40", "moved from Wed 3 Mar 08:00, Deck 9 south", "Ngozi Okafor", "20 398")
}

func TestSessionAnswersWithEveryFinding(t *testing.T) {
	cases := []struct {
		level verdict.Level
		want  string
	}{
		{verdict.Clear, "Clear every rule holds; 1 caution is accepted"},
		{verdict.Cautions, "Cautions 2 cautions wait"},
		{verdict.Stops, "Stops 1 rule stops it Stops Inspection"},
	}
	for _, c := range cases {
		if text := said(draw(t, SessionPage(sampleSessionPage(c.level)))); !strings.Contains(text, "Checks "+c.want) {
			t.Errorf("%s: the checks don't begin %q", c.level, c.want)
		}
	}
}

func TestSessionThatIsNotJudgedSaysSoAndNeverClear(t *testing.T) {
	text := said(draw(t, SessionPage(sampleDownPage())))
	if !strings.Contains(text, "Checks Not judged: it is stood down.") || strings.Contains(text, "Clear") {
		t.Error("a session that nobody judged reads as if it had been")
	}
}

func TestSessionOffersOnlyWhatTheReaderMayDo(t *testing.T) {
	down := draw(t, SessionPage(sampleDownPage()))
	button(t, down, "Reopen Thu 4 Mar 08:00")
	for _, word := range []string{"Move…", "Change people…", "Stand down…"} {
		if len(all(down, func(e *html.Node) bool { return e.Data == "a" && said(e) == word })) != 0 {
			t.Errorf("a stood-down session offers %q", word)
		}
	}
	booked := draw(t, SessionPage(sampleSessionPage(verdict.Clear)))
	leads(t, booked, "Move…", "/sessions/s8/move")
	leads(t, booked, "Change people…", "/sessions/s8/people")
	leads(t, booked, "Stand down…", "/sessions/s8/stand-down")
}

func TestCautionAsksForAReasonAndTheOwnWord(t *testing.T) {
	form := ui.Form{Action: "/sessions/s8/accept", Key: "k"}
	for _, own := range []bool{true, false} {
		p := sampleSessionPage(verdict.Cautions)
		p.Checks.Waiting = []Caution{NewCaution("1", sampleReview(), "", form, own, "", nil), NewCaution("2", sampleReview(), "", form, own, "typed before", map[string]string{"reason": "Write why."})}
		root := draw(t, SessionPage(p))
		areas := all(root, tag("textarea"))
		if len(areas) != 2 || said(areas[1]) != "typed before" {
			t.Fatalf("%d fields for a reason, want 2 that keep what was typed", len(areas))
		}
		leads(t, root, "Write why.", "#reason-2")
		boxes := all(root, func(e *html.Node) bool { n, _ := attr(e, "name"); return n == "own" })
		if want := map[bool]int{true: 2}[own]; len(boxes) != want {
			t.Errorf("booked by the reader: %v, boxes for the own word: %d, want %d", own, len(boxes), want)
		}
	}
}

func TestCautionOfAnotherFieldCantBeAccepted(t *testing.T) {
	p := sampleSessionPage(verdict.Cautions)
	p.Checks.Waiting = p.Checks.Waiting[1:]
	root := draw(t, SessionPage(p))
	if len(all(root, tag("textarea"))) != 0 {
		t.Error("a caution of another field has a form")
	}
	named(t, root, "Waits for an administrator.", "p")
}

func TestStandDownKeepsWhatWasChosen(t *testing.T) {
	reasons := []ui.Option{{Value: "weather", Label: "Weather", Chosen: true}, {Value: "other", Label: "Other"}}
	p := NewStandDown(sampleShell("week", "Stand down"), "Harness basics", "Thu 4 Mar", link("Harness basics", "/sessions/s8"),
		ui.Form{Action: "/sessions/s8/stand-down", Key: "k", Button: "Stand down Thu 4 Mar 08:00"}, reasons, "gusts", []string{"6 trainees need it again."}, map[string]string{"note": "Too long."})
	root := draw(t, StandDownPage(p))
	if _, ticked := attr(all(named(t, root, "Weather", "label"), tag("input"))[0], "checked"); !ticked {
		t.Error("the reason chosen is forgotten")
	}
	if note := control(t, root, "Note"); said(note) != "gusts" {
		t.Errorf("the note became %q", said(note))
	}
	leads(t, root, "Too long.", "#note")
	named(t, root, "6 trainees need it again.", "li")
	button(t, root, "Stand down Thu 4 Mar 08:00")
}
