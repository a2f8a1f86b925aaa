//go:build browser

package browsertest

import (
	"slices"
	"strings"
	"testing"
)

// TestAnInstructorBooksASession walks the first journey from the door to the
// paper on the wall, and all that may become of a session afterwards.
func TestAnInstructorBooksASession(t *testing.T) {
	t.Parallel()
	w := toDo(t, plainWork)
	walk(t, EveryWay, func(t *testing.T, demo *Program, look Look) {
		p := demo.Open(t, look)
		p.SignIn("instructor")
		p.Want("heading", "Now")
		p.Want("heading", "Rigs and stations")

		best := w.offers[0]
		p.takeFreeCell(best)
		if got := p.Value("From"); got != p.Value("Until") || got == "" {
			t.Errorf("a cell of one day asks from %q until %q", got, p.Value("Until"))
		}
		if got := p.chosen("Station"); got != best.station {
			t.Errorf("a cell of %s asks for %s", best.station, got)
		}
		p.askForWork(w)

		list := offers(p)
		p.wantRanked(list)
		p.wantRefusals()
		booked := p.adjustAndBook(list[0])
		p.findEverywhere(booked, w.exercise)
		moved := p.moveOn(booked)
		p.leaveOneOut()
		p.standDownAndReopen(moved)
	})
}

// takeFreeCell goes to the week of the offer and takes the free cell of its
// station and day.
func (p *Page) takeFreeCell(o offer) {
	p.t.Helper()
	p.menu("Week")
	cell := "free: book " + o.station + ", " + o.day
	for range 4 {
		p.openFreePlaces(o.day)
		if p.Has("link", cell) {
			p.Click("link", cell)
			p.WantH1("Book a session")
			return
		}
		weeks := p.Within("navigation", "Weeks").Names("link")
		p.Within("navigation", "Weeks").Click("link", weeks[len(weeks)-1])
	}
	p.t.Fatalf("%s: no week has a link %q", p.describe(), cell)
}

// openFreePlaces opens the fold that lists a day's free stations on a phone.
func (p *Page) openFreePlaces(day string) {
	p.t.Helper()
	for _, heading := range p.Names("heading") {
		if strings.HasPrefix(heading, day) {
			for _, fold := range p.Names("DisclosureTriangle") {
				if strings.Contains(fold, "free time") {
					p.unfoldAfter(heading, fold)
				}
			}
			return
		}
	}
}

// unfoldAfter opens the first fold of that name below a heading.
func (p *Page) unfoldAfter(heading, fold string) {
	p.t.Helper()
	nodes, err := p.nodes()
	if err != nil {
		p.t.Fatal(err)
	}
	at := slices.IndexFunc(nodes, func(n node) bool { return n.role == "heading" && n.name == heading })
	for _, n := range nodes[at:] {
		if n.role == "DisclosureTriangle" && n.name == fold {
			if open, err := on[bool](p, n, "function() { return this.closest('details').open }"); err == nil && !open {
				p.clickNode(n)
			}
			return
		}
	}
}

// chosen returns the text of the option that stands in a list.
func (p *Page) chosen(label string) string {
	p.t.Helper()
	text, err := on[string](p, p.find(label, "combobox"), "function() { return this.selectedOptions[0].text.replace(/\\s+/g, ' ').trim() }")
	if err != nil {
		p.t.Fatal(err)
	}
	return text
}

// askForWork chooses the intake, then what it still needs, and asks for any
// station over ten days.
func (p *Page) askForWork(w work) {
	p.t.Helper()
	p.Choose("Intake", w.intake)
	p.Click("button", "Choose trainees")
	p.Choose("Exercise", w.exercise)
	p.Choose("Station", "Any that fits")
	p.Fill("Until", later(p.t.(*testing.T), p.Value("From"), 9))
	p.Click("button", "Find free times")
	p.WantText("free times", w.exercise+" for ")
}

// wantRanked wants offers that name station, instructors and rescuers, and say
// why they stand where they stand.
func (p *Page) wantRanked(list []offer) {
	p.t.Helper()
	if len(list) < 3 {
		p.t.Fatalf("%s: %d free times, want some to choose from:\n%s", p.describe(), len(list), short(p.Text()))
	}
	for _, o := range list {
		for _, want := range []string{" Instructor", " Rescue ", " staff "} {
			if !strings.Contains(o.text, want) {
				p.t.Errorf("%s: the offer %q lacks %q", p.describe(), o.text, want)
			}
		}
	}
}

// wantRefusals opens what is not possible: each with rule, found, required, and
// a nearest change that leads to a proposal and back.
func (p *Page) wantRefusals() {
	p.t.Helper()
	p.Unfold("Not possible")
	p.WantText("Found", "Required", "Nearest change")
	p.WantSound()
	var changes []string
	for _, item := range p.Names("listitem") {
		if i := strings.Index(item, "Nearest change "); i >= 0 {
			changes = append(changes, strings.TrimPrefix(item[i:], "Nearest change "))
		}
	}
	button := slices.IndexFunc(p.Names("button"), func(b string) bool { return slices.Contains(changes, b) })
	if button < 0 {
		p.t.Fatalf("%s: no nearest change is a button; they say: %s", p.describe(), strings.Join(changes, " | "))
	}
	p.clickAt("button", button)
	p.Want("heading", "What the rules say")
	p.WantPath("/book/proposal")
	p.Back()
	p.WantH1("Book a session")
}

// adjustAndBook takes a rescuer from an offer, hears what that breaks, puts the
// rescuer back and books.
func (p *Page) adjustAndBook(o offer) offer {
	p.t.Helper()
	p.Within("listitem", o.item()).Click("link", "Adjust people")
	p.WantText("Every rule holds.")
	rescuers := p.Within("group", "Standby rescuers").Ticked()
	if len(rescuers) == 0 {
		p.t.Fatalf("%s: the offer has no rescuer", p.describe())
	}
	p.Within("group", "Standby rescuers").Uncheck(rescuers[0])
	p.Click("button", "Check again")
	p.WantSound()
	p.WantText("Rescue cover", "Found", "Required", "at least 2 rescuers on "+o.station, "it can't be booked")
	if p.Has("button", "Book "+o.start) {
		p.t.Errorf("%s: what a rule stops can be booked", p.describe())
	}
	if got := p.Within("group", "Standby rescuers").Ticked(); slices.Contains(got, rescuers[0]) {
		p.t.Errorf("%s: %s is ticked again", p.describe(), rescuers[0])
	}
	p.Within("group", "Standby rescuers").Check(rescuers[0])
	p.Click("button", "Check again")
	p.WantText("Every rule holds.")
	p.Click("button", "Book "+o.start)
	p.WantPath("/sessions/")
	p.WantStatus(200)
	p.Want("status", "Booked.")
	p.WantText(o.when, o.station, "booked", "What it delivers", "every rule holds", rescuers[0])
	p.WantSound()
	return o
}

// findEverywhere finds a booked session in the day, in the week, and on paper.
func (p *Page) findEverywhere(o offer, exercise string) {
	p.t.Helper()
	p.Click("link", o.day) // above the session's name
	p.WantPath("/day/")
	p.Want("link", p.strip(o.when, o.station))
	p.wantOnPaper(o, exercise)

	p.Click("link", "Week ") // above the day's name
	p.WantPath("/week/")
	strip := p.strip(o.when, o.station)
	for _, want := range []string{exercise, "places taken", "booked"} {
		if !strings.Contains(strip, want) {
			p.t.Errorf("%s: the board reads %q, without %q", p.describe(), strip, want)
		}
	}
	p.wantOnPaper(o, exercise)
	p.Click("link", strip)
	p.WantH1(exercise)
	if paper := p.Print(); len(paper.Sheets) != 1 || !paper.Has(o.when) || !paper.Has(o.station) {
		p.t.Errorf("%s: the session's sheet is %d pages: %s", p.describe(), len(paper.Sheets), short(paper.Sheets[0].Text))
	}
}

// wantOnPaper prints a board and finds the session on it.
func (p *Page) wantOnPaper(o offer, exercise string) {
	p.t.Helper()
	paper := p.Print()
	_, times, _ := strings.Cut(o.when, o.day+" ")
	for _, want := range []string{times, o.station, exercise} {
		if !paper.Has(want) {
			p.t.Errorf("%s: the paper lacks %q; its first sheet reads: %s", p.describe(), want, short(paper.Sheets[0].Text))
		}
	}
	if !paper.Sheets[0].Landscape() {
		p.t.Errorf("%s: the board is printed upright", p.describe())
	}
}

// moveOn gives the session on the page another of the times offered.
func (p *Page) moveOn(o offer) offer {
	p.t.Helper()
	p.Click("link", "Move…")
	p.WantText("Now "+o.when, "free time")
	list := offers(p)
	i := slices.IndexFunc(list, func(x offer) bool { return x.start != o.start })
	if i < 0 {
		p.t.Fatalf("%s: no other time is offered", p.describe())
	}
	p.Click("button", list[i].button)
	p.WantPath("/sessions/")
	p.WantText(list[i].when, "moved", "from "+o.start+" to "+list[i].start)
	return list[i]
}

// leaveOneOut takes one trainee from the session on the page.
func (p *Page) leaveOneOut() {
	p.t.Helper()
	p.Click("link", "Change people…")
	trainees := p.Within("group", "Trainees").Ticked()
	p.Within("group", "Trainees").Uncheck(trainees[0])
	p.Click("button", "Check again")
	p.WantText("Every rule holds.")
	p.Click("button", "Change people")
	p.WantPath("/sessions/")
	p.WantNoText(trainees[0])
	p.WantText(trainees[1], "other people")
}

// standDownAndReopen stands the session down with a reason, sees it off the
// board, and takes it up again.
func (p *Page) standDownAndReopen(o offer) {
	p.t.Helper()
	p.Click("link", "Stand down…")
	p.Click("button", "Stand down "+o.start)
	p.WantStatus(422)
	p.WantText("Not saved.", "Choose why it is stood down")
	p.Check("weather")
	p.Fill("Note", "Gusts over the limit all morning")
	p.Click("button", "Stand down "+o.start)
	p.WantPath("/sessions/")
	p.WantText("Stood down. Tell the people concerned.", "Other times for", "wait: it was stood down", "free times")
	p.WantSound()
	p.WantAccessible()
	p.Go(strings.TrimSuffix(p.Path(), "/again"))
	p.WantText("stood down", "weather: Gusts over the limit all morning")
	p.WantSound()
	p.WantNoText("every rule holds")

	p.Click("button", "Reopen "+o.start)
	p.Want("status", "Reopened.")
	p.WantText("booked", "every rule holds", "reopened")
	p.WantNoText("weather:")
}
