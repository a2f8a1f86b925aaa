//go:build browser

package browsertest

import (
	"strings"
	"testing"
)

// TestAForgottenCodeIsChosenAnewAtTheRig has a trainee countersign, forget the code,
// choose another one beside the instructor who saw who they are, and countersign with
// that: the one before signs nothing any more.
func TestAForgottenCodeIsChosenAnewAtTheRig(t *testing.T) {
	t.Parallel()
	walk(t, atThePhone, func(t *testing.T, demo *Program, look Look) {
		p := demo.Open(t, look)
		p.SignIn("instructor")
		p.Go("/yard")
		p.Click("link", "Open the session")
		roll := p.Names("checkbox")
		for _, name := range roll {
			p.Check(name)
		}
		p.Click("button", "Keep the roll")
		p.prepare()
		p.Click("button", "Start the session")
		p.Click("link", "Results and signature")
		p.WantH1("Results and signature")
		name := p.Within("main", "").Names("link")[1] // the first one leads back
		p.noteAndCountersign(name)

		// It is noted anew, and so what was countersigned is gone.
		p.Within("group", p.asked()[0]).Choose("By", "asked")
		p.Click("button", "Keep the results")
		p.WantText("Kept. Now the trainee")
		code := "Own code of " + name
		p.Fill(code, "whatever it was")
		p.Click("button", "Countersign")
		p.WantFieldError(code, "That is not the code")
		p.WantAccessible()

		p.Click("link", "The trainee forgot their code")
		p.WantH1("New code for " + name)
		p.WantText("Look at who they are first", "Codes chosen", "At their first countersignature")
		p.WantSound()
		p.WantAccessible()
		p.Shot("own code " + look.Name)
		p.Fill("New code", "heron on a post")
		p.Fill("The same again", "heron on a pole")
		p.Click("button", "Keep the new code")
		p.WantStatus(422)
		p.WantText("Say how you saw who they are.", "The two are not the same.")
		p.WantSound()
		p.Check("A document with their picture was seen")
		p.Fill("New code", "heron on a post")
		p.Fill("The same again", "heron on a post")
		p.Click("button", "Keep the new code")

		p.WantH1(name) // where they countersign with it
		p.WantText("The new code is kept. The one before signs nothing any more.")
		p.Fill(code, "own code of "+name)
		p.Click("button", "Countersign")
		p.WantFieldError(code, "That is not the code")
		p.Fill(code, "heron on a post")
		p.Click("button", "Countersign")
		p.WantText("Countersigned")
		p.WantSound()
		p.Go(strings.TrimPrefix(p.Path(), "/yard") + "/own-code")
		row := firstWith(p.Within("table", "Codes chosen").Names("row"), "Folasade Okunrinboye")
		if !strings.Contains(row, "Tue 2 Mar") || !strings.Contains(row, "A document with their picture was seen") {
			t.Errorf("of the new code it says %q", row)
		}
	})
}
