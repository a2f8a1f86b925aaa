//go:build browser

package browsertest

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// TestAnAdministratorPlansAnIntake walks from the form over the search to sessions
// on the week's board, and ticks who was told.
func TestAnAdministratorPlansAnIntake(t *testing.T) {
	t.Parallel()
	walk(t, EveryWay, func(t *testing.T, demo *Program, look Look) {
		p := demo.Open(t, look)
		p.SignIn("administrator")
		p.menu("Plan")
		p.WantH1("Plan an intake")
		if got := p.Within("group", "Intakes").Ticked(); len(got) != 1 {
			t.Errorf("%d intakes are ticked to begin with: %s", len(got), got)
		}
		p.wishAwry()
		p.Choose("How long to search", "30 s")
		p.Click("button", "Start the search")
		p.WantPath("/drafts/")
		p.WantSound()
		p.stopEarly()
		p.WantSound()
		p.WantAccessible()
		p.wantDraft()

		p.Click("link", "Accept this draft")
		p.WantText("people are concerned", "Accepting tells nobody")
		p.WantSound()
		p.WantAccessible()
		p.Click("button", p.First("button", "Book "))
		p.WantText("Tell the people concerned.", "Accepted by ")
		p.tellSomebody()
		p.findOnBoard()
	})
}

// wishAwry turns the days round and mends it: nothing is started.
func (p *Page) wishAwry() {
	p.t.Helper()
	until := p.Value("Until")
	p.Fill("Until", "2027-01-04")
	p.Click("button", "Start the search")
	p.WantStatus(422)
	p.WantFieldError("Until", "before the first")
	p.WantSound()
	p.Fill("Until", until)
}

// stopEarly waits for a plan, stops the search and waits for what was found. A
// search that proved its plan best has ended by itself, perhaps just now: the button
// is pressed at once where it stands, and it is no fault where it is gone.
func (p *Page) stopEarly() {
	p.t.Helper()
	p.WantText("Cost")
	nodes, err := p.nodes()
	if err != nil {
		p.t.Fatalf("%s: %v", p.describe(), err)
	}
	for _, n := range nodes {
		if n.role == "button" && n.name == "Stop and keep the best so far" {
			if _, err := on[bool](p, n, "function() { this.click(); return true }"); err != nil {
				p.t.Logf("the search ended by itself: %v", err)
			}
		}
	}
	p.WantText("What changes", "People concerned", "How it was found")
}

// wantDraft opens what the figures are made of, steps through the weeks, and
// follows the board to what changes.
func (p *Page) wantDraft() {
	p.t.Helper()
	for _, figure := range []string{"Days per trainee", "Staff hours", "Use of stations"} {
		p.Unfold(figure)
	}
	p.WantText("better", "proposed", "to be told once the draft is accepted")
	if p.Has("navigation", "Weeks") {
		weeks := p.Within("navigation", "Weeks").Names("link")
		p.Within("navigation", "Weeks").Click("link", weeks[len(weeks)-1])
		p.WantPath("/drafts/")
		p.WantSound()
		p.Back()
	}
	links := p.Names("link")
	at := slices.IndexFunc(links, func(l string) bool { return strings.Contains(l, "proposed, new") })
	if at < 0 {
		p.t.Fatalf("%s: no proposed session stands on the board; the links are %s", p.describe(), strings.Join(links, " | "))
	}
	paper := p.Print()
	for _, want := range []string{"proposed", "What changes", p.H1()} {
		if !paper.Has(want) {
			p.t.Errorf("%s: the printed draft lacks %q", p.describe(), want)
		}
	}
}

// tellSomebody ticks the first two people of an accepted draft.
func (p *Page) tellSomebody() {
	p.t.Helper()
	boxes := p.Names("checkbox")
	if len(boxes) < 2 {
		p.t.Fatalf("%s: %d people can be ticked", p.describe(), len(boxes))
	}
	for _, b := range boxes[:2] {
		p.Check(b)
	}
	p.Click("button", "Save who was told")
	p.WantText("2 people noted as told.", "; 2 were told.")
	if got := len(p.Names("checkbox")); got != len(boxes)-2 {
		p.t.Errorf("%s: %d people are left to tick, were %d", p.describe(), got, len(boxes))
	}
	p.WantSound()
	p.WantAccessible()
}

var errUnchanged = errors.New("the page has not changed")

var firstChange = regexp.MustCompile(`New \(\d+\) (\w{3} \d+ \w{3} \d\d:\d\d–\d\d:\d\d) (.+?) · (.+?) · `)

// findOnBoard finds the first session of the draft on the week's board.
func (p *Page) findOnBoard() {
	p.t.Helper()
	m := firstChange.FindStringSubmatch(strings.Join(strings.Fields(p.Text()), " "))
	if m == nil {
		p.t.Fatalf("%s: no new session is listed: %s", p.describe(), short(p.Text()))
	}
	when, station := m[1], m[3]
	p.menu("Week")
	for range 6 {
		if slices.ContainsFunc(p.Names("link"), func(l string) bool {
			return strings.HasPrefix(strings.ReplaceAll(l, " ,", ","), when+", "+station+", ")
		}) {
			strip := p.strip(when, station)
			if !strings.Contains(strip, m[2]) || !strings.Contains(strip, "booked") && !strings.Contains(strip, "pencilled") {
				p.t.Errorf("%s: the board reads %q", p.describe(), strip)
			}
			return
		}
		weeks := p.Within("navigation", "Weeks").Names("link")
		p.Within("navigation", "Weeks").Click("link", weeks[len(weeks)-1])
	}
	p.t.Fatalf("%s: no week has a session %s on %s", p.describe(), when, station)
}

// TestASearchCanBeWatchedByTwoAndLeft starts a search, looks at it in a second
// window, leaves and comes back.
func TestASearchCanBeWatchedByTwoAndLeft(t *testing.T) {
	t.Parallel()
	demo := FreshDemo(t)
	p, other := demo.Open(t, Desktop), demo.Open(t, PhoneNoScript)
	p.As("administrator")
	other.As("administrator")
	p.enrolMany()
	p.Go("/plan")
	boxes := p.Names("checkbox")
	p.Check(boxes[slices.IndexFunc(boxes, func(b string) bool { return strings.HasPrefix(b, "Aldervane 99") })])
	p.Choose("How long to search", "30 s")
	p.Click("button", "Start the search")
	p.WantText("Cost")
	at := p.Path()
	p.WantSound()
	p.WantAccessible()
	p.mark()
	other.Go(at)
	other.WantText("Searching", "Cost", "This page asks again by itself every few seconds.")
	first := other.Text()
	other.eventually(func() error { return changed(other, first) })
	p.wantMark("a look at the search")
	p.menu("Plan")
	p.WantText("1 draft is searched")
	p.Go(at)
	other.Click("button", "Stop and keep the best so far")
	p.WantText("Stopped before its time was up by Gráinne ", "What changes")
	other.WantText("Stopped before its time was up by Gráinne ")
}

// enrolMany records an intake that needs so much that no search ends before its time.
func (p *Page) enrolMany() {
	p.t.Helper()
	h := &head{Page: p}
	h.Go("/set-up/intakes/new")
	h.fill("Name", "Aldervane 99", "Employer", "Aldervane Field Crews", "First day", "2027-03-04", "Last day", "2027-04-02")
	h.Choose("Programme", "Nacelle systems")
	h.send("Record this intake")
	for i := range 6 {
		h.Fill(fmt.Sprintf("Name of trainee %d", i+1), fmt.Sprintf("Trainee %c", 'A'+rune(i)))
	}
	h.send("Enrol these trainees")
}

func changed(p *Page, was string) error {
	now, err := p.text()
	if err == nil && now == was {
		return errUnchanged
	}
	return err
}

// TestOnlyAnAdministratorMayPlanAndMend looks for the way as the others do.
func TestOnlyAnAdministratorMayPlanAndMend(t *testing.T) {
	t.Parallel()
	for _, role := range []string{"instructor", "auditor"} {
		p := Demo(t).Open(t, Desktop)
		p.Expect(403)
		p.SignIn(role)
		for _, l := range p.Within("navigation", "Main").Names("link") {
			if l == "Plan" || l == "Mend" {
				t.Errorf("an %s is led to %s", role, l)
			}
		}
		for _, path := range []string{"/plan", "/mend", "/drafts/0000000000000000"} {
			p.Go(path)
			p.WantStatus(403)
			p.WantText("an administrator may")
			p.WantSound()
		}
	}
}
