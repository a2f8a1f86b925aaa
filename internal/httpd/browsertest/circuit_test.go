//go:build browser

package browsertest

import "testing"

// TestACircuitIsIsolatedLockedTestedAndMadeLiveAgain takes the live circuit of the
// demo off the supply and back, step by step, and is refused what is left out.
func TestACircuitIsIsolatedLockedTestedAndMadeLiveAgain(t *testing.T) {
	t.Parallel()
	walk(t, EveryLook, func(t *testing.T, demo *Program, look Look) {
		p := demo.Open(t, look)
		p.SignIn("instructor")
		p.Go("/circuits")
		p.WantSound()
		p.Click("link", "Hydraulic power")
		p.WantText("It is live since")
		p.Fill("Number of the permit", "HP-0042")
		p.Choose("Person in charge", "Folasade Okunrinboye")
		p.Click("button", "It is isolated")
		p.WantText("Isolated. Test it before anybody works on it.", "not tested. Take it for live", "HP-0042")
		p.WantSound()
		p.WantAccessible()

		p.Unfold("Put a lock on")
		p.Choose("Whose lock", "Babajide Oyelakin")
		p.Click("button", "Their lock is on")
		p.WantText("The lock is on.")
		p.Unfold("Test that it is dead")
		p.Choose("Who tested", "Folasade Okunrinboye")
		p.Fill("Instrument", "Gauge 7")
		p.Check("The instrument was proved on a known source before")
		p.Check("Stored energy is released")
		p.Click("button", "It is tested dead")
		p.WantStatus(422)
		p.WantSound()
		if got := p.Value("Instrument"); got != "Gauge 7" {
			t.Errorf("the instrument is %q after a refusal", got)
		}
		p.Check("It was proved again after")
		p.Click("button", "It is tested dead")
		p.WantText("Tested dead.", "2 locks on", "Gauge 7, proved before and after")
		p.Shot("circuit dead " + look.Name)
		p.Click("link", "Permit sheet")
		p.WantText("HP-0042", "Prove the instrument on a known source")
		if paper := p.Print(); len(paper.Sheets) != 1 || !paper.Has("HP-0042") {
			t.Errorf("the permit takes %d sides of paper, or lacks its number", len(paper.Sheets))
		}
		p.Click("link", "Hydraulic power")

		p.WantText("it comes off last")
		p.Click("button", "Taken off, seen by me")
		p.WantText("The lock is off.", "1 lock on")
		p.Click("button", "Take my lock off")
		p.WantText("Anybody may switch it on. Take it for live.")
		p.Unfold("Make it live")
		p.Click("button", "It is live")
		p.WantStatus(422)
		p.Check("Everybody is clear and told; tools and earths are away")
		p.Click("button", "It is live")
		p.WantText("It is live since")
		p.WantSound()
	})
}
