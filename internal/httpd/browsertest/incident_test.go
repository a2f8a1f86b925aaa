//go:build browser

package browsertest

import (
	"slices"
	"strings"
	"testing"
)

// clickFirst clicks the first thing of a role that is named so.
func (p *Page) clickFirst(role, name string) {
	p.t.Helper()
	p.clickAt(role, slices.Index(p.Names(role), name))
}

// TestAnIncidentIsThreeTapsAndStopsUntilItsRelease reports a fall arrested from the
// session that is now, names the kit, and has it classed, released and told.
func TestAnIncidentIsThreeTapsAndStopsUntilItsRelease(t *testing.T) {
	t.Parallel()
	walk(t, EveryLook, func(t *testing.T, demo *Program, look Look) {
		p := demo.Open(t, look)
		p.SignIn("instructor")
		p.Go("/yard")
		p.clickFirst("link", "Report an incident")
		p.WantText("What happened?")
		p.WantSound()
		p.WantAccessible()
		p.Click("link", "Fall arrested")
		p.WantText("The next tap records it")
		p.WantSound()
		p.Click("button", "Top deck")
		p.WantText("Top deck", "until a responsible person has classed it", "Which kit took the load?")
		p.WantSound()
		p.WantAccessible()
		p.Shot("incident noted " + look.Name)
		kit := p.First("button", "Harness")
		p.Click("button", kit)
		p.WantText("Out of use: "+kit+".", "in quarantine until a competent person has looked at it")
		at := p.clockAfter("Fall arrested, Top deck, Tue 2 Mar ")
		p.Fill("What was seen, without names", "A slip at the hatch, held by the lanyard.")
		p.Click("button", "Keep this text")
		p.WantText("Kept.")

		p.menu("Yard")
		p.WantText("Fall arrested of", "Out of use: "+kit+".")
		p.Go("/incidents")
		p.Within("table", "").Click("link", "Fall arrested")
		p.WantText("not classed yet")
		p.Click("button", "Class this incident")
		p.WantStatus(422)
		p.WantText("Say whether it is significant.")
		p.Check("Yes: it stops until the written release")
		p.Check("Yes, or not known: every exercise stops")
		p.Click("button", "Class this incident")
		p.WantText("Classed.", "Every exercise stops until the written release is on file")
		p.WantSound()
		p.Unfold("Put the written release on file")
		p.Fill("Day of the release", DemoDay)
		p.Fill("Who released it, and the reference of the letter", "The scheme, letter 14 of 2 March")
		p.Click("button", "End the stop")
		p.WantText("The release is on file", "letter 14 of 2 March")
		p.WantNoText("Every exercise stops until")
		p.WantText("Out of use: " + kit + ".")
		incident := p.Path()
		p.liftLoaded(kit, at)
		p.Go(incident)
		p.WantNoText("Out of use")
		p.Unfold("Note that the scheme was told")
		p.Click("button", "The scheme was told now")
		p.WantText("Noted.", "Reported to the scheme")
		p.WantSound()
		p.WantAccessible()
		p.Shot("incident settled " + look.Name)
	})
}

// TestATraineeReportsWithoutAName reports a near miss; nobody reads who did.
func TestATraineeReportsWithoutAName(t *testing.T) {
	t.Parallel()
	walk(t, atThePhone, func(t *testing.T, demo *Program, look Look) {
		p := demo.Open(t, look)
		p.SignIn("trainee")
		p.Click("link", "Report an incident")
		p.Click("link", "Near miss")
		p.Click("button", "On the yard, or not known")
		p.WantText("Incident recorded", "Near miss")
		p.WantSound()
		p.WantAccessible()
	})
}

// clockAfter returns the time of day that the page says behind some words.
func (p *Page) clockAfter(words string) string {
	p.t.Helper()
	_, rest, found := strings.Cut(p.Text(), words)
	if !found || len(rest) < len("09:40") {
		p.t.Fatalf("%s: the page says no time behind %q:\n%s", p.describe(), words, p.Text())
	}
	return rest[:len("09:40")]
}

// liftLoaded opens the quarantine of kit that took a load, which stands until the kit
// was inspected, records that, and lifts it.
func (p *Page) liftLoaded(kit, at string) {
	p.t.Helper()
	p.Click("link", "Open the quarantine")
	p.WantText(kit+" is in quarantine. Nobody uses it.", "an incident in which it took a load")
	p.WantSound()
	p.WantAccessible()
	sheet := p.Path()
	p.clickFirst("link", kit)
	p.record("Passed", at, "Every harness taken apart and looked at")
	p.Go(sheet)
	p.Fill("Why it may be used again", "Nothing was stretched or torn.")
	p.Click("button", "Lift the quarantine")
	p.WantText("The quarantine is lifted.")
}
