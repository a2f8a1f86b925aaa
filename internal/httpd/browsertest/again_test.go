//go:build browser

package browsertest

import (
	"strings"
	"testing"
)

// TestWhoIsStoodDownAtTheRigIsOfferedOtherTimes stands a session down at the rig: all but
// one of its trainees take the first time offered, and who waits until the intake is
// over is told in words that nothing comes of it.
func TestWhoIsStoodDownAtTheRigIsOfferedOtherTimes(t *testing.T) {
	t.Parallel()
	walk(t, atThePhone, func(t *testing.T, demo *Program, look Look) {
		p := demo.Open(t, look)
		p.SignIn("instructor")
		p.Go("/yard")
		p.Click("link", "Open the session")
		p.WantH1("Crawl rescue")
		session := strings.TrimPrefix(p.Path(), "/yard")
		p.Click("link", "Stand down…")
		p.WantText("What follows")
		p.Check("weather")
		p.Fill("Note", "Gusts over the limit since eight")
		p.Click("button", p.First("button", "Stand down"))
		p.WantH1("Other times for Crawl rescue")
		p.WantText("Stood down. Tell the people concerned.", "4 trainees wait: it was stood down", "Their intake ends on Wed 10 Mar, so no later day is searched.", "free times")
		p.WantSound()
		p.WantAccessible()
		p.Unfold("Not possible")
		p.WantText("more things stop it")
		p.WantNoText("Last day of the intake", "Thu 11 Mar")
		p.Shot("other times " + look.Name)
		p.WantSound()
		p.WantAccessible()

		best := offers(p)[0]
		p.Within("listitem", best.item()).Click("link", "Adjust people")
		trainees := p.Within("group", "Trainees").Ticked()
		if len(trainees) != 4 {
			t.Fatalf("the offer is for %s", trainees)
		}
		p.Within("group", "Trainees").Uncheck(trainees[3])
		p.Click("button", "Check again")
		p.Click("button", p.First("button", "Book "+best.start))
		p.WantText("Booked.", best.when)
		p.WantText(trainees[:3]...)
		p.WantNoText(trainees[3])
		p.Go(session)
		p.WantText("stood down", "weather: Gusts over the limit since eight")
		p.Click("link", "Other times for its trainees")
		p.WantText("1 trainee waits: it was stood down")
		p.Go("/attention")
		p.WantText("Crawl rescue", "1 trainee waits")

		demo.Later(t, "2027-03-11")
		p = demo.Open(t, look)
		p.SignIn("instructor")
		p.Go(session + "/again")
		p.WantText("1 trainee waits", "No time can be offered: their intake ended on Wed 10 Mar.")
		p.WantNoText("Not possible", "No free time")
		p.WantSound()
		p.WantAccessible()
		p.First("link", "Open intake ")
	})
}
