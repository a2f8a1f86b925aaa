//go:build browser

package browsertest

import (
	"strings"
	"testing"
)

// TestASignedSessionIsCorrectedWithAReason corrects one trainee's result; the
// session's page says so, with what stood before kept.
func TestASignedSessionIsCorrectedWithAReason(t *testing.T) {
	t.Parallel()
	walk(t, EveryLook, func(t *testing.T, demo *Program, look Look) {
		p := demo.Open(t, look)
		p.SignIn("instructor")
		p.signedSession()
		session := p.Path()
		p.clickFirst("link", p.First("link", "Correct…"))
		p.WantText("The correction is a new entry with your name")
		p.WantSound()
		p.WantAccessible()
		p.Choose("Why it is corrected", p.Options("Why it is corrected")[1])
		p.Click("button", "Correct it") // nothing is changed
		p.WantStatus(422)
		p.WantSound()
		first := p.Names("group")[0]
		p.Within("group", first).Choose("Found", "not yet competent")
		p.Fill("What was wrong", "The second knot was tied for them.")
		for _, outcome := range p.Names("group") {
			p.Within("group", outcome).Choose("By", "watched")
		}
		p.Click("button", "Correct it")
		p.WantPath(session)
		p.WantText("Corrected. What stood before is kept.", "corrected", "The second knot was tied for them.")
		p.WantSound()
		p.WantAccessible()
		p.Shot("corrected " + look.Name)
	})
}

// signedSession opens a session of the demo that is signed and that the reader may
// correct.
func (p *Page) signedSession() {
	p.t.Helper()
	p.Go("/sessions?from=2027-02-22&until=2027-03-01")
	for _, l := range p.Links() {
		if !strings.Contains(l, "/sessions/") || strings.Contains(l, "?") {
			continue
		}
		p.Go(l)
		if strings.Contains(p.Text(), "Correct…") {
			return
		}
	}
	p.t.Fatalf("%s: no session of the last week can be corrected", p.describe())
}

// TestAPaperSheetIsTypedUpAndMarkedAsSuch brings in the sheet of the demo's session
// that is over and was not run on a phone.
func TestAPaperSheetIsTypedUpAndMarkedAsSuch(t *testing.T) {
	t.Parallel()
	walk(t, EveryLook, func(t *testing.T, demo *Program, look Look) {
		p := demo.Open(t, look)
		p.SignIn("instructor")
		p.menu("Needs attention")
		p.WantText("Over and not signed")
		p.Click("link", "Lightning path")
		session := p.Path()
		p.Go("/yard" + session)
		p.Click("link", "Type up its day sheet")
		p.WantH1("Type up the day sheet")
		p.WantSound()
		p.WantAccessible()
		p.Fill("Began", "15:18")
		p.Fill("Ended", "16:02")
		p.Fill("Pause 1, from", "15:40")
		p.Click("button", "Keep the sheet")
		p.WantStatus(422)
		p.WantSound()
		p.Fill("Pause 1, to", "15:45")
		for _, who := range p.Names("group") {
			in := p.Within("group", who)
			if in.Has("InputTime", "Came") {
				in.Fill("Came", "15:10")
				in.Fill("Left", "16:02")
			}
		}
		p.Check("says that everything that must stand stood when it began, and an instructor signed it")
		p.Click("button", "Keep the sheet")
		p.WantStatus(422)
		p.WantText("Folasade Okunrinboye: Give times within the session")
		for _, who := range p.Names("group") {
			if in := p.Within("group", who); in.Has("InputTime", "Came") {
				in.Fill("Came", "15:18")
			}
		}
		p.Click("button", "Keep the sheet")
		p.WantText("The sheet is kept. Now the results, as it says them.")
		p.WantSound()
		p.Shot("typed up " + look.Name)
		p.Go(session)
		p.WantText("typed up")
	})
}
