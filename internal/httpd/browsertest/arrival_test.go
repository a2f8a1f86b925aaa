//go:build browser

package browsertest

import (
	"slices"
	"strings"
	"testing"
)

// openArrivals opens the arrivals of today's intake in which nothing is noted of
// most trainees.
func (p *Page) openArrivals() {
	p.t.Helper()
	p.Go("/yard/here")
	links := p.Within("main", "").Names("link")
	for _, intake := range slices.DeleteFunc(links, func(l string) bool { return !hasDigit(l) }) {
		p.Click("link", intake)
		p.WantH1("Arrivals")
		if p.Has("link", "Somebody else comes instead") || slices.ContainsFunc(p.Names("link"), isReplacement) {
			return
		}
		p.Go("/yard/here")
	}
	p.t.Fatalf("%s: of each trainee of today's intakes it is noted that they came", p.describe())
}

func isReplacement(link string) bool { return strings.HasPrefix(link, "Somebody else comes instead") }

func hasDigit(s string) bool { return strings.ContainsAny(s, "0123456789") }

// TestATraineeArrivesAndAnotherComesInstead notes one trainee's papers at the gate,
// and gives the place of one who did not come to somebody else.
func TestATraineeArrivesAndAnotherComesInstead(t *testing.T) {
	t.Parallel()
	walk(t, EveryLook, func(t *testing.T, demo *Program, look Look) {
		p := demo.Open(t, look)
		p.SignIn("administrator")
		p.openArrivals()
		p.WantSound()
		p.WantAccessible()
		arrivals := p.Path()
		var missing []string
		for _, l := range p.Names("link") {
			if isReplacement(l) {
				missing = append(missing, strings.TrimPrefix(l, "Somebody else comes instead of "))
			}
		}
		if len(missing) < 2 {
			t.Fatalf("%d trainees are not noted yet", len(missing))
		}
		came, gone := missing[0], missing[1]

		p.unfoldAfter(came, "Note")
		form := p.Within("form", came)
		form.Click("button", "Keep "+came)
		p.WantStatus(422)
		p.WantText("Say whether they came.")
		form.Check("Yes")
		for _, seen := range []string{"Identity seen, with a picture", "Fitness statement handed over, signed"} {
			form.Check(seen)
		}
		form.Fill("Kit handed out now, by serial", "CM-H101, Q-5")
		form.Click("button", "Keep "+came)
		p.WantStatus(422)
		p.WantText("No item with the serial Q-5 is on record")
		p.Within("form", came).Choose("What it is, where its serial is not on record", "Rope")
		p.Within("form", came).Click("button", "Keep "+came)
		p.WantText("Kept.", "lacks site induction", "Serial Q-5 isn’t on record")
		p.WantSound()
		p.giveKitBack(came, look)

		p.Go(arrivals)
		p.Click("link", "Somebody else comes instead of "+gone)
		p.WantH1("Who comes instead of " + gone)
		p.WantSound()
		p.WantAccessible()
		p.Shot("arrival instead " + look.Name)
		p.Click("button", "Enrol them in this place")
		p.WantStatus(422)
		p.Fill("Name of trainee 1", "Saoirse Delahunt")
		p.Fill("Birth date of trainee 1", "1991-04-05")
		p.Click("button", "Enrol them in this place")
		p.WantPath(arrivals)
		p.WantText("Enrolled.", "replaced by Saoirse Delahunt")
		p.WantSound()
		p.Shot("arrivals " + look.Name)
	})
}

// giveKitBack has a trainee leave the yard, who gives back a harness that is not fit
// and no rope.
func (p *Page) giveKitBack(who string, look Look) {
	p.t.Helper()
	p.Go("/yard/here")
	p.WantText("CM-H101, Q-5")
	p.Click("link", "Leaves "+who)
	p.WantH1(who + " leaves")
	p.WantSound()
	p.WantAccessible()
	p.Shot("leaves " + look.Name)
	p.Click("button", "Keep this and sign them out")
	p.WantStatus(422)
	harness, rope := p.Within("group", "What became of CM-H101"), p.Within("group", "What became of Q-5")
	harness.Check("Taken back, not fit")
	rope.Check("Not given back")
	p.Fill("What was found on CM-H101", "a cut strap")
	p.Click("button", "Keep this and sign them out")
	p.WantPath("/yard/here")
	p.WantText("Kept. Signed out.")
	p.Click("DisclosureTriangle", p.First("DisclosureTriangle", "Kit out with who is not here"))
	p.WantText("Q-5 with " + who)
	p.WantSound()
	p.WantAccessible()
	p.Shot("here with kit out " + look.Name)
}

// TestTheListOfWhoIsHereIsCalledOutAtAMuster signs a visitor in and out, and prints
// the list.
func TestTheListOfWhoIsHereIsCalledOutAtAMuster(t *testing.T) {
	t.Parallel()
	walk(t, EveryLook, func(t *testing.T, demo *Program, look Look) {
		p := demo.Open(t, look)
		p.SignIn("instructor")
		p.Go("/yard")
		p.Click("link", "Who is here")
		p.Click("button", "Sign in")
		p.WantStatus(422)
		p.Fill("Or a visitor: name, and whom they visit", "Orla Feddersen, surveyor, for the gate house")
		p.Click("button", "Sign in")
		p.WantText("Signed in.", "Orla Feddersen")
		p.WantSound()
		p.WantAccessible()
		paper := p.Print()
		if !paper.Has("Orla Feddersen") || !paper.Has("call every name") {
			t.Error("the printed list lacks the visitor, or what to do with it")
		}
		row := firstWith(p.Within("table", "Who is here").Names("row"), "Orla Feddersen")
		p.Within("table", "Who is here").Within("row", row).Click("button", p.First("button", "Leaves"))
		p.WantText("Signed out.")
		p.WantNoText("Orla Feddersen")
	})
}
