package page

import (
	"slices"
	"strconv"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"rungbook/internal/verdict"
	"rungbook/web/ui"
)

// button returns the button of these words.
func button(t *testing.T, n *html.Node, words string) *html.Node {
	t.Helper()
	return named(t, n, words, "button")
}

// sentBy returns what pressing a button sends besides what is filled in: the
// hidden values of its form, by name.
func sentBy(t *testing.T, root *html.Node, b *html.Node) map[string][]string {
	t.Helper()
	out := map[string][]string{}
	for _, e := range all(formOf(t, root, b), tag("input")) {
		if kind, _ := attr(e, "type"); kind == "hidden" {
			name, _ := attr(e, "name")
			value, _ := attr(e, "value")
			out[name] = append(out[name], value)
		}
	}
	return out
}

func formOf(t *testing.T, root *html.Node, b *html.Node) *html.Node {
	t.Helper()
	if id, ok := attr(b, "form"); ok {
		return all(root, func(e *html.Node) bool { v, _ := attr(e, "id"); return e.Data == "form" && v == id })[0]
	}
	for p := b.Parent; p != nil; p = p.Parent {
		if p.Data == "form" {
			return p
		}
	}
	t.Fatalf("the button %q stands in no form", said(b))
	return nil
}

func TestBookOfferSaysWhatItsButtonDoes(t *testing.T) {
	root := draw(t, BookPage(sampleBook()))
	sent := sentBy(t, root, button(t, root, "Book Tue 2 Mar 13:00"))
	if !slices.Equal(sent["key"], []string{"k1"}) || !slices.Equal(sent["exercise"], []string{"e1"}) {
		t.Errorf("booking the first offer sends %q", sent)
	}
	button(t, root, "Pencil Thu 4 Mar 08:00")
	leads(t, root, "Adjust people of Tue 2 Mar 13:00–16:30 on Deck 14 north", "/book/proposal?exercise=e1&start=1")
}

func TestBookKeepsTheOrderOfTheOffers(t *testing.T) {
	root := draw(t, BookPage(sampleBook()))
	var got []string
	for _, b := range all(root, func(e *html.Node) bool {
		return e.Data == "button" && (strings.HasPrefix(said(e), "Book ") || strings.HasPrefix(said(e), "Pencil "))
	}) {
		got = append(got, said(b))
	}
	want := []string{"Book Tue 2 Mar 13:00", "Book Wed 3 Mar 13:00", "Pencil Thu 4 Mar 08:00", "Book Fri 5 Mar 08:00"}
	if !slices.Equal(got, want) {
		t.Errorf("offers stand as %q, want %q", got, want)
	}
}

func TestBookNamesWhoMayNotTakePartAndWho(t *testing.T) {
	text := said(draw(t, BookPage(sampleBook())))
	for _, want := range []string{"1 trainee may not do it yet Stops Medical fitness", "One session takes 6; left for another group: 1 trainee Sanne de Graaf Ask for the other trainee", "6 trainees take part Ilze Krūmiņa", "2 trainees need it no more: done, or booked already Aoife Brennan"} {
		if !strings.Contains(text, want) {
			t.Errorf("the page doesn't say %q", want)
		}
	}
}

func TestBookFoldsRefusalsAndOffersTheirNearestChange(t *testing.T) {
	root := draw(t, BookPage(sampleBook()))
	fold := named(t, root, "Not possible (3)", "summary").Parent
	if _, open := attr(fold, "open"); open {
		t.Error("refusals are unfolded beside free times")
	}
	text := said(fold)
	for _, want := range []string{"Tue 2 Mar 08:00–11:30, Deck 9 north Stops Daily rest Henrik Lindqvist Found", "Required 11 h rest, to Tue 2 Mar 09:00"} {
		if !strings.Contains(text, want) {
			t.Errorf("the refusals don't say %q", want)
		}
	}
	if sent := sentBy(t, root, button(t, root, "Tue 2 Mar 09:30 on the same station")); !slices.Equal(sent["start"], []string{"2027-03-02T09:30"}) {
		t.Errorf("the nearest change sends %q", sent)
	}
}

func TestBookWithoutFreeTimeSaysWhatStandsInTheWay(t *testing.T) {
	p := sampleBook()
	p.Answer.Title, p.Answer.Offers, p.Answer.Blocked = "No free time", nil, "Deck 9 south is shut to Thu 4 Mar."
	p.Answer.Steps = []ui.Link{link("Ask for Mon 8 – Fri 19 Mar", "/book?from=2027-03-08")}
	root := draw(t, BookPage(p))
	named(t, root, "Deck 9 south is shut to Thu 4 Mar.", "p")
	leads(t, root, "Ask for Mon 8 – Fri 19 Mar", "/book?from=2027-03-08")
	if _, open := attr(named(t, root, "Not possible (3)", "summary").Parent, "open"); !open {
		t.Error("the refusals are folded though they are all there is")
	}
}

func TestBookDrawsNoneOneSevenAndManyOffers(t *testing.T) {
	for _, n := range []int{0, 1, 7, 700} {
		p := sampleBook()
		offer := p.Answer.Offers[0]
		offer.People = []ui.Fact{{Label: "Instructor", Value: link(longName, "")}}
		p.Answer.Offers, p.Answer.Refused, p.Answer.NotYet, p.Answer.Left = slices.Repeat([]BookOffer{offer}, n), nil, nil, BookNames{}
		root := draw(t, BookPage(p))
		if got := len(all(root, func(e *html.Node) bool { return said(e) == offer.Book.Button && e.Data == "button" })); got != n {
			t.Errorf("%d buttons to book, want %d", got, n)
		}
		if strings.Contains(said(root), "Not possible") || strings.Contains(said(root), "may not do it yet") {
			t.Error("empty lists have heads")
		}
	}
}

func TestBookAskNamesItsTraineesIntake(t *testing.T) {
	cases := []struct {
		name    string
		chosen  int
		summary string
		open    bool
	}{
		{"all", 8, "All 8 trainees of the intake", false},
		{"part", 7, "7 trainees of 8", true},
		{"one", 1, "1 trainee of 8", true},
		{"none", 0, "no trainees of 8", true},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			p := sampleBook()
			p.Ask = NewBookAsk(BookChoices{Action: "/book", Intake: "i3", Intakes: sampleIntakeOptions("i3"), Trainees: traineeOptions(c.chosen)})
			root := draw(t, BookPage(p))
			if _, open := attr(named(t, root, c.summary, "summary").Parent, "open"); open != c.open {
				t.Errorf("the trainees are open: %v, want %v", open, c.open)
			}
			if sent := sentBy(t, root, button(t, root, "Find free times")); !slices.Equal(sent["of"], []string{"i3"}) {
				t.Errorf("the question is sent of %q, want i3", sent["of"])
			}
		})
	}
}

func TestBookKeepsWhatWasAskedBesideTheMessage(t *testing.T) {
	p := sampleBook()
	p.Ask = NewBookAsk(BookChoices{Action: "/book", Exercises: sampleExercises("e1"), From: "2027-03-12", Until: "2027-03-02", Errors: map[string]string{"until": "The last day lies before the first."}})
	root := draw(t, BookPage(p))
	until := control(t, root, "Until")
	if v, _ := attr(until, "value"); v != "2027-03-02" {
		t.Errorf("the last day became %q", v)
	}
	by, _ := attr(until, "aria-describedby")
	if by != "until-error" {
		t.Errorf("the last day is described by %q", by)
	}
	leads(t, root, "The last day lies before the first.", "#until")
	chosen := all(control(t, root, "Exercise"), func(e *html.Node) bool { _, ok := attr(e, "selected"); return ok })
	if len(chosen) != 1 || said(chosen[0]) != "Harness basics – 3 h 30" {
		t.Errorf("the exercise asked for is forgotten")
	}
}

func TestProposalBooksOnlyWhatNoRuleStops(t *testing.T) {
	cases := []struct {
		level verdict.Level
		press string
	}{{verdict.Clear, "Book Thu 4 Mar 08:00"}, {verdict.Cautions, "Pencil Thu 4 Mar 08:00"}, {verdict.Stops, ""}}
	for _, c := range cases {
		t.Run(c.level.String(), func(t *testing.T) {
			root := draw(t, ProposalPage(sampleProposal(c.level)))
			var got []string
			for _, b := range all(root, func(e *html.Node) bool { f, _ := attr(e, "form"); return f == "proposal" }) {
				got = append(got, said(b))
			}
			want := []string{"Check again", c.press}
			if c.press == "" {
				want = want[:1]
			}
			if !slices.Equal(got, want) {
				t.Errorf("buttons are %q, want %q", got, want)
			}
		})
	}
}

func TestProposalCheckAgainOnlyAsks(t *testing.T) {
	root := draw(t, ProposalPage(sampleProposal(verdict.Clear)))
	again := button(t, root, "Check again")
	if to, _ := attr(again, "formaction"); to != "/book/proposal" {
		t.Errorf("it asks at %q", to)
	}
	if method, _ := attr(again, "formmethod"); method != "get" {
		t.Errorf("it asks by %q", method)
	}
	if method, _ := attr(formOf(t, root, again), "method"); method != "post" {
		t.Errorf("the form itself is sent by %q", method)
	}
}

func TestProposalSaysWhichRulesStopAPerson(t *testing.T) {
	root := draw(t, ProposalPage(sampleProposal(verdict.Clear)))
	label := named(t, root, "Folake Adeyemi stops: daily rest", "label")
	box := all(label, tag("input"))[0]
	if _, shut := attr(box, "disabled"); shut {
		t.Error("a chosen person who is busy couldn't be taken out")
	}
	if _, ticked := attr(all(named(t, root, "Ngozi Okafor", "label"), tag("input"))[0], "checked"); !ticked {
		t.Error("the proposed instructor isn't ticked")
	}
}

func TestProposalRefusedTellsWhyFirst(t *testing.T) {
	root := draw(t, ProposalPage(sampleProposal(verdict.Stops)))
	alerts := all(root, func(e *html.Node) bool { v, _ := attr(e, "role"); return v == "alert" })
	if len(alerts) != 1 || !strings.Contains(said(alerts[0]), "Not booked: Lindqvist ends at 20:00 on Monday") {
		t.Error("the refusal isn't announced")
	}
	leads(t, root, "What stops it", "#verdict")
	if _, ticked := attr(all(named(t, root, "Henrik Lindqvist", "label"), tag("input"))[0], "checked"); !ticked {
		t.Error("the rescuer chosen is forgotten")
	}
}

func TestProposalWithNobodyToChooseSaysSo(t *testing.T) {
	form := ui.Form{Action: "/book", Key: "k"}
	root := draw(t, ProposalPage(NewProposal(sampleShell("book", "x"), "Harness basics", form, ProposalPeople{}, false, "")))
	named(t, root, "Nobody is qualified for this exercise on that day.", "p")
	named(t, root, "Nobody holds a rescue competence on that day.", "p")
}

func TestProposalAsksAReasonOnlyOfWhoMayAccept(t *testing.T) {
	for _, own := range []bool{true, false} {
		root := draw(t, ProposalPage(NewProposal(sampleShell("book", "x"), "x", ui.Form{Action: "/book", Key: "k"}, ProposalPeople{}, own, "typed before")))
		areas := all(root, tag("textarea"))
		if (len(areas) == 1) != own {
			t.Errorf("may accept: %v, fields for a reason: %d", own, len(areas))
		}
		if own && said(areas[0]) != "typed before" {
			t.Error("the reason typed before is lost")
		}
	}
}

func TestConflictSaysWhoWasFirstAndWhatIsFreeNow(t *testing.T) {
	root := draw(t, ConflictPage(sampleConflict()))
	named(t, root, "Okafor was first", "h1")
	named(t, root, "Okafor booked Deck 14 north, Tue 2 Mar 13:00–16:30, two minutes ago.", "p")
	leads(t, root, "Open that session", "/sessions/s40")
	button(t, root, "Book Wed 3 Mar 13:00")
}

func TestNeedsAttentionOfNothingSaysThatAllHold(t *testing.T) {
	text := said(draw(t, AttentionPage(Attention{Shell: sampleShell("attention", "Needs attention")})))
	if !strings.Contains(text, "There is none: all hold.") {
		t.Error("an empty list says nothing")
	}
}

func TestNeedsAttentionGivesEverySessionItsNextStep(t *testing.T) {
	root := draw(t, AttentionPage(sampleAttention()))
	leads(t, root, "Move Harness basics, Wed 3 Mar 08:00–11:30", "/sessions/s8/move")
	leads(t, root, "Accept or leave Ladder rescue, Fri 5 Mar 13:00–16:30", "/sessions/s21")
	leads(t, root, "Open to sign Lockout practice, Mon 1 Mar 13:00–15:00", "/sessions/s3")
	named(t, root, "Yours. Ngozi Okafor or Henrik Lindqvist accepts.", "p")
	for _, h := range []string{"A rule stops them now", "Pencilled, waiting for a word", "Over and not signed"} {
		named(t, root, h, "h2")
	}
}

func TestNeedsAttentionDrawsOneSevenAndManySessions(t *testing.T) {
	for _, n := range []int{1, 7, 700} {
		p := Attention{Shell: sampleShell("attention", "Needs attention")}
		for i := range n {
			p.Unsigned = append(p.Unsigned, AttentionSession{When: "Mon 1 Mar", Exercise: link(longName, "/sessions/"+strconv.Itoa(i)), State: "booked"})
		}
		root := draw(t, AttentionPage(p))
		if got := len(all(root, func(e *html.Node) bool { return e.Data == "a" && said(e) == longName })); got != n {
			t.Errorf("%d sessions, want %d", got, n)
		}
	}
}
