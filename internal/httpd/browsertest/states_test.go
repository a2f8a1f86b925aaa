//go:build browser

package browsertest

import (
	"maps"
	"slices"
	"strings"
	"testing"
)

// The walk of pages_test.go meets each kind of page once. This one looks at the
// states that a kind of page can be in: asked and answered, empty, refused,
// waiting, stopped.

// states returns addresses by the name of what stands there, found by an
// instructor's own steps.
func states(t *testing.T, p *Page) map[string]string {
	t.Helper()
	found := map[string]string{
		"search": "/search?q=an", "search-nothing": "/search?q=xyzzy", "people-nobody": "/people?q=xyzzy",
		"week-empty": "/week/2027-W40", "week-past": "/week/2027-W05", "day-closed": "/day/2027-03-17", "book-asks": "/book",
	}
	keep := func(name string) { found[name] = p.Path() }
	p.Go("/")
	p.ask(toDo(t, plainWork))
	keep("book-answer")
	p.Within("listitem", offers(p)[0].item()).Click("link", "Adjust people")
	keep("proposal-holds")
	p.ask(toDo(t, barredWork))
	keep("book-barred")
	p.ask(toDo(t, cautiousWork))
	keep("book-cautions")

	p.Go("/attention")
	keep("attention")
	p.Click("link", "Open "+yours(p)[0])
	keep("session-waits")
	p.Click("link", "Move…")
	keep("session-moves")
	p.Back()
	p.Click("link", "Change people…")
	keep("session-people")

	p.Go("/coverage")
	p.Choose("Think a rig away", p.Options("Think a rig away")[1])
	p.Click("button", "Show")
	keep("coverage-without")
	p.Go("/")
	table := p.Within("table", "Rigs and stations")
	for _, row := range table.Names("row") {
		if strings.Contains(row, " shut ") {
			table.Within("row", row).clickAt("link", 0)
			keep("station-shut")
			break
		}
	}
	p.Go("/rule-book")
	p.Click("link", "Version 1")
	keep("rule-book-before")
	return found
}

// TestEveryStateOfAPageIsSound looks at the states in the looks that differ most.
func TestEveryStateOfAPageIsSound(t *testing.T) {
	t.Parallel()
	demo := Demo(t)
	first := demo.Open(t, DesktopNoScript)
	first.As("instructor")
	found := states(t, first)
	for _, look := range []Look{Narrow, Phone.Dark(), Desktop} {
		t.Run(look.Name, func(t *testing.T) {
			t.Parallel()
			p := demo.Open(t, look)
			p.As("instructor")
			for _, name := range slices.Sorted(maps.Keys(found)) {
				p.Go(found[name])
				p.WantStatus(200)
				p.WantSound()
				if look.Name != Narrow.Name {
					p.WantAccessible()
				}
				p.Shot("state-" + name)
			}
		})
	}
}

// TestTheBoardsArePrintedWhole prints week and day on sheets that lie, with
// every station and every session that stands on the board; a phone prints the
// same.
func TestTheBoardsArePrintedWhole(t *testing.T) {
	t.Parallel()
	demo := Demo(t)
	for _, look := range []Look{PhoneNoScript, Desktop.Dark()} {
		for _, board := range []struct{ path, table string }{
			{"/week/2027-W09", "Sessions by station and day"}, {"/day/2027-03-04", "Stations by half hours"},
		} {
			t.Run(strings.Trim(strings.ReplaceAll(board.path, "/", "-"), "-")+"-"+look.Name, func(t *testing.T) {
				t.Parallel()
				whole := demo.Open(t, DesktopNoScript)
				whole.As("auditor")
				whole.Go(board.path)
				table := whole.Within("table", board.table)
				stations, columns, links := table.Names("rowheader"), table.Names("columnheader"), table.Names("link")

				p := demo.Open(t, look)
				p.As("auditor")
				p.Go(board.path)
				paper := p.Print()
				if !paper.Sheets[0].Landscape() || len(paper.Sheets) > 2 {
					t.Errorf("%d sheets, the first %.0f mm by %.0f mm", len(paper.Sheets), paper.Sheets[0].Width, paper.Sheets[0].Height)
				}
				for _, name := range append(stations, columns...) {
					if !paper.Has(name) {
						t.Errorf("the paper lacks %q", name)
					}
				}
				for _, session := range links {
					day, rest, ok := strings.Cut(session, ", ")
					if exercise := strings.Split(rest, ", "); ok && strings.Contains(session, "places taken") {
						times := strings.TrimSpace(day[strings.LastIndex(strings.TrimSpace(day), " "):])
						if !paper.Has(times) || !paper.Has(exercise[1]) {
							t.Errorf("the paper lacks %q", session)
						}
					}
				}
				if !paper.Has("Rungbook supports, and never replaces, risk assessment") {
					t.Error("the paper does not say what it is not")
				}
			})
		}
	}
}

// TestASessionIsPrintedOnOneSheet prints the fullest session of the week, which
// is carried to the rig.
func TestASessionIsPrintedOnOneSheet(t *testing.T) {
	t.Parallel()
	for _, look := range []Look{PhoneNoScript, Desktop} {
		t.Run(look.Name, func(t *testing.T) {
			t.Parallel()
			p := Demo(t).Open(t, look)
			p.As("auditor")
			p.Go("/week/2027-W09")
			p.Click("link", firstWith(p.Names("link"), "6 of 6 places taken"))
			trainees := p.Within("table", "Trainees, ").Names("rowheader")
			staff := p.Within("table", "Staff").Names("rowheader")
			paper := p.Print()
			if len(paper.Sheets) != 1 || paper.Sheets[0].Landscape() {
				t.Errorf("%d sheets, the first %.0f mm by %.0f mm", len(paper.Sheets), paper.Sheets[0].Width, paper.Sheets[0].Height)
			}
			for _, name := range append(trainees, staff...) {
				if !paper.Has(name) {
					t.Errorf("the sheet lacks %q", name)
				}
			}
			if len(trainees) != 6 || len(staff) < 2 {
				t.Errorf("trainees %s, staff %s", trainees, staff)
			}
		})
	}
}
