//go:build browser

package browsertest

import (
	"slices"
	"testing"
)

// TestTwoGrabTheSamePlace lets two people look at the same free time, each for
// a part of the intake. The first books it; the second reads who was first and
// when, and books another.
func TestTwoGrabTheSamePlace(t *testing.T) {
	t.Parallel()
	w := toDo(t, plainWork)
	walk(t, EveryLook, func(t *testing.T, demo *Program, look Look) {
		first, second := demo.Open(t, look), demo.Open(t, look)
		first.SignIn("instructor")
		second.SignIn("administrator")
		wanted := bothAreOffered(first, second, w)
		first.Within("listitem", wanted.item()).Click("button", "Book")
		first.Want("status", "Booked.")
		first.WantText("4 of ")
		name := first.Within("table", "Who did what").Names("link")[0]

		second.Within("listitem", wanted.item()).Click("button", "Book")
		second.WantStatus(409)
		second.WantH1(name + " was first")
		second.Want("alert", name+" booked "+wanted.station+", "+wanted.when)
		second.WantText("You asked for " + w.exercise)
		second.WantSound()
		second.WantAccessible()
		fresh := offers(second)
		if len(fresh) == 0 || slices.ContainsFunc(fresh, func(o offer) bool { return o.item() == wanted.item() }) {
			t.Fatalf("the fresh options are %v", fresh)
		}
		second.Within("listitem", fresh[0].item()).Click("button", "Book")
		second.Want("status", "Booked.")
		second.WantText(fresh[0].when)
	})
}

// bothAreOffered lets each of two ask for four trainees of their own of an
// intake, and returns a free time that both are shown.
func bothAreOffered(first, second *Page, w work) offer {
	first.t.Helper()
	for _, p := range []*Page{first, second} {
		p.ask(w)
		p.Unfold("trainees of the intake")
		group := p.Within("group", "Trainees")
		for i, name := range group.Names("checkbox") {
			if p == first && i >= 4 || p == second && (i < 4 || i >= 8) {
				group.Uncheck(name)
			}
		}
		p.Click("button", "Find free times")
		p.WantText(w.exercise + " for 4 trainees")
	}
	theirs := offers(second)
	for _, o := range offers(first) {
		if slices.ContainsFunc(theirs, func(x offer) bool { return x.item() == o.item() }) {
			return o
		}
	}
	first.t.Fatalf("no free time is offered to both")
	return offer{}
}

// TestTwoChangeTheSameSession lets two people open the same session to move it.
// Whoever comes second is told that it has changed since.
func TestTwoChangeTheSameSession(t *testing.T) {
	t.Parallel()
	w := toDo(t, plainWork)
	walk(t, []Look{PhoneNoScript, Desktop}, func(t *testing.T, demo *Program, look Look) {
		first, second := demo.Open(t, look), demo.Open(t, look)
		first.As("instructor")
		second.As("administrator")
		first.Go("/")
		first.ask(w)
		first.Click("button", w.offers[0].button)
		session := first.Path()
		for _, p := range []*Page{first, second} {
			p.Go(session)
			p.Click("link", "Move…")
		}
		list := offers(second)
		first.Click("button", list[0].button)
		first.WantPath(session)
		first.WantText(list[0].when)

		second.Click("button", list[len(list)-1].button)
		second.WantStatus(409)
		second.WantText("changed")
		second.WantSound()
		second.Go(session)
		second.WantText(list[0].when)
	})
}
