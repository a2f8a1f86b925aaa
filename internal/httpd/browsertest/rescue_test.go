//go:build browser

package browsertest

import "testing"

// TestARescuePlanIsWrittenApprovedByAnotherAndDrilled goes from a new version to the
// version in force and its drill: its author can't approve it, somebody else reads,
// returns and approves it.
func TestARescuePlanIsWrittenApprovedByAnotherAndDrilled(t *testing.T) {
	t.Parallel()
	walk(t, []Look{Phone, Desktop, PhoneNoScript}, func(t *testing.T, demo *Program, look Look) {
		p := demo.Open(t, look)
		p.SignIn("administrator")
		p.Go("/")
		p.Click("link", "Rescue plans")
		p.WantText("waits for approval", "their word comes before this page")
		p.WantSound()
		p.WantAccessible()
		p.Click("link", "Rescue from the tower")
		p.WantText("Clear the west apron", "the rescue-competent alone")
		p.Shot("rescue plan " + look.Name)
		p.WantSound()
		p.WantAccessible()
		p.Click("link", "Write a new version")
		p.WantSound()
		p.Fill("Steps, one a line", "Sound the horn.\nSend somebody to the gate.\nLower the casualty.")
		p.Fill("At a safe place within", "1")
		p.Click("button", "Keep it")
		p.WantStatus(422)
		p.WantSound()
		p.Fill("At a safe place within", "14")
		p.Click("button", "Keep it")
		p.WantText("It has no force yet", "Step 2 is new: Send somebody to the gate.")
		p.Click("button", "Send it for approval")
		p.WantText("waits for approval")
		if p.Has("button", "Approve and put in force") {
			t.Error("its author is offered to approve it")
		}
		p.WantSound()
		p.WantAccessible()
		here := p.Path()

		p.SignIn("instructor")
		p.Go(here)
		p.Click("button", "Approve and put in force")
		p.WantStatus(422)
		p.Check("I have read steps, roles, kit and times, and they are right for these stations")
		p.Click("button", "Approve and put in force")
		p.WantText("Approved by Folasade Okunrinboye")
		p.Click("link", "Open the plan")
		p.WantText("Send somebody to the gate.", "Clear the west apron") // the version before stays readable
		p.Click("link", "Record a drill")
		p.WantText("Record a rescue drill")
	})
}
