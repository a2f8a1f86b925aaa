//go:build browser

package browsertest

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// These tests look at what script adds to pages that work without it.

// TestAnAnswerIsSwappedIntoThePage asks for free times: the page is not loaded
// anew, the focus stands on what was found, and the address can be sent on.
func TestAnAnswerIsSwappedIntoThePage(t *testing.T) {
	t.Parallel()
	w := toDo(t, plainWork)
	for _, look := range []Look{Phone, Desktop, Keyboard} {
		t.Run(look.Name, func(t *testing.T) {
			t.Parallel()
			p := Demo(t).Open(t, look)
			p.As("instructor")
			p.Go("/")
			p.menu("Book")
			p.mark()
			p.askHere(w)
			p.wantMark("an answer")
			if role, name := p.Focused(); role != "heading" || !strings.Contains(name, "free time") {
				t.Errorf("the focus is on the %s %q, want the answer's heading", role, name)
			}
			p.WantPath("/book?exercise=")
			p.WantSound()
			first := offers(p)

			p.Choose("Station", first[0].station)
			p.Click("button", "Find free times")
			p.wantMark("a second answer")
			for _, o := range offers(p) {
				if o.station != first[0].station {
					t.Errorf("asked for %s, offered %s", first[0].station, o.station)
				}
			}
			p.Back()
			if again := offers(p); !slices.EqualFunc(again, first, func(a, b offer) bool { return a.item() == b.item() }) {
				t.Errorf("back at the first answer stand %d times, were %d", len(again), len(first))
			}
		})
	}
}

// mark leaves a mark that is gone once the page is loaded anew.
func (p *Page) mark() { Eval[bool](p, "window.marked = true") }

func (p *Page) wantMark(after string) {
	p.t.Helper()
	if !Eval[bool](p, "window.marked === true") {
		p.t.Errorf("%s: %s loaded the whole page", p.describe(), after)
	}
}

// TestAFilteredListIsSwappedWhole narrows the week: its summary, its steps and
// its board all follow.
func TestAFilteredListIsSwappedWhole(t *testing.T) {
	t.Parallel()
	p := Demo(t).Open(t, Desktop)
	p.As("auditor")
	p.Go("/week")
	whole := p.Title()
	p.mark()
	p.Unfold("All rigs, intakes and instructors")
	rig := p.Options("Rig")[1]
	p.Choose("Rig", rig)
	p.Click("button", "Show")
	p.wantMark("the filter")
	p.WantText("Only " + rig)
	if got := p.Within("grid", "Sessions by station and day").Names("rowheader"); len(got) == 0 || !strings.Contains(got[0], rig) {
		t.Errorf("the board of %s has the rows %s", rig, got)
	}
	if role, name := p.Focused(); role != "heading" || !strings.HasPrefix(name, strings.Split(whole, " · ")[0]) {
		t.Errorf("the focus is on the %s %q", role, name)
	}
	p.Click("link", p.First("link", "Week "))
	p.WantText("Only " + rig)
	p.Click("link", "Show all")
	p.WantText("All rigs, intakes and instructors")
}

// TestAFailedSwapGivesWayToTheBrowser lets the answer to a swap fail: the browser
// does what it would have done without script.
func TestAFailedSwapGivesWayToTheBrowser(t *testing.T) {
	t.Parallel()
	w := toDo(t, plainWork)
	for name, fetch := range map[string]string{
		"500":         `async () => new Response("It broke", {status: 500})`,
		"no answer":   `async () => { throw new TypeError("Failed to fetch") }`,
		"other page":  `async () => new Response("<!doctype html><title>x</title><p>Somebody else's page", {headers: {"Content-Type": "text/html"}})`,
		"empty reply": `async () => new Response("")`,
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			p := Demo(t).Open(t, Desktop)
			p.As("instructor")
			p.Go("/book")
			p.mark()
			Eval[bool](p, fmt.Sprintf("(window.fetch = %s, true)", fetch))
			p.askHere(w)
			if len(offers(p)) == 0 {
				t.Error("no free time is shown")
			}
			if Eval[bool](p, "window.marked === true") {
				t.Error("the page was not loaded anew")
			}
		})
	}
}

// TestABoardIsWalkedByArrowKeys makes the week's board one stop of the focus, in
// which the arrow keys move by row and column.
func TestABoardIsWalkedByArrowKeys(t *testing.T) {
	t.Parallel()
	p := Demo(t).Open(t, Desktop)
	p.As("instructor")
	p.Go("/week")
	board := p.Within("grid", "Sessions by station and day")
	stops := Eval[int](p, `document.querySelectorAll("[role=grid] td [tabindex='0']").length`)
	if stops != 1 {
		t.Errorf("the board has %d stops for Tab, want 1", stops)
	}
	var inCells []string
	for _, name := range board.Names("link") {
		if strings.Contains(name, "places taken") || strings.HasPrefix(name, "free: ") {
			inCells = append(inCells, name)
		}
	}
	p.TabTo("link", inCells[0])
	walked := map[string]bool{inCells[0]: true}
	for _, key := range []string{"ArrowRight", "ArrowDown", "ArrowDown", "ArrowLeft", "ArrowUp", "End", "ArrowDown", "Home"} {
		_, before := p.Focused()
		p.Press(key)
		role, name := p.Focused()
		if role != "link" || !slices.Contains(inCells, name) {
			t.Fatalf("%s leads from %q to the %s %q", key, before, role, name)
		}
		walked[name] = true
		p.WantFocusVisible()
	}
	if len(walked) < 5 {
		t.Errorf("eight keys met only %d cells: %v", len(walked), walked)
	}
	_, last := p.Focused()
	p.Press("Tab")
	if _, name := p.Focused(); slices.Contains(inCells, name) {
		t.Errorf("Tab leads from %q to %q, within the board", last, name)
	}
	p.Press("Shift+Tab")
	if _, name := p.Focused(); name != last {
		t.Errorf("back on the board the focus is on %q, was on %q", name, last)
	}
	week := p.H1()
	p.Press("PageDown")
	if p.H1() == week {
		t.Error("PageDown does not lead to the next week")
	}
	p.TabTo("link", p.First("link", "free: "))
	p.Press("PageUp")
	p.WantH1(week)
}

// TestSlashGoesToTheSearchField does so from anywhere but a field.
func TestSlashGoesToTheSearchField(t *testing.T) {
	t.Parallel()
	p := Demo(t).Open(t, Desktop)
	p.As("instructor")
	p.Go("/people")
	p.Press("/")
	if role, name := p.Focused(); role != "searchbox" || !strings.HasPrefix(name, "Search") {
		t.Errorf("the focus is on the %s %q", role, name)
	}
	p.Fill("Part of a name", "a")
	p.Type("/b")
	if got := p.Value("Part of a name"); got != "a/b" {
		t.Errorf("a field that is typed into holds %q", got)
	}
}

// TestAFormIsSentOnce presses a button twice: script sends the form once, and
// without script the form's key makes the second arrival the first's.
func TestAFormIsSentOnce(t *testing.T) {
	t.Parallel()
	w := toDo(t, plainWork)
	p := FreshDemo(t).Open(t, Desktop)
	p.As("instructor")
	p.Go("/")
	p.ask(w)
	const bookForm = `[...document.forms].find(f => f.method === "post" && new URL(f.action).pathname === "/book")`
	sent := Eval[int](p, `(() => {
		let sent = 0
		const stop = e => { if (!e.defaultPrevented) sent++; e.preventDefault() }
		document.addEventListener("submit", stop)
		const button = `+bookForm+`.querySelector("button")
		button.click(); button.click(); button.click()
		document.removeEventListener("submit", stop)
		return sent
	})()`)
	if sent != 1 {
		t.Errorf("three presses send the form %d times", sent)
	}
	twice := Eval[[]string](p, `(async () => {
		const form = new URLSearchParams(new FormData(`+bookForm+`)), went = []
		for (let i = 0; i < 2; i++) {
			const answer = await fetch("/book", {method: "POST", body: form})
			await answer.text()
			went.push(new URL(answer.url).pathname)
		}
		return went
	})()`)
	if twice[0] != twice[1] || !strings.HasPrefix(twice[0], "/sessions/") {
		t.Fatalf("the same form sent twice leads to %s", twice)
	}
	p.Go(twice[0])
	history := p.Within("table", "Who did what").lines()
	if len(history) != 1 {
		t.Errorf("the session was written %d times: %s", len(history), history)
	}
}
