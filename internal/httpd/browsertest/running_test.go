//go:build browser

package browsertest

import (
	"slices"
	"strings"
	"testing"
)

// TestASessionIsRunAndSignedFromThePhone goes from one's own day to the signature:
// a start that is refused, the roll, the start, the end, results with the
// trainees' own codes, and what the session's page then says.
func TestASessionIsRunAndSignedFromThePhone(t *testing.T) {
	t.Parallel()
	for _, look := range []Look{Phone, PhoneNoScript} {
		t.Run(look.Name, func(t *testing.T) {
			t.Parallel()
			p := FreshDemo(t).Open(t, look)
			p.SignIn("instructor")
			p.Go("/yard")
			p.Click("link", "Open the session")
			p.WantText("The roll is not called")
			p.WantSound()
			p.WantAccessible()
			p.Click("button", "Start the session")
			p.WantText("Not started")
			boxes := p.Names("checkbox")
			for _, name := range boxes {
				p.Check(name)
			}
			p.Click("button", "Keep the roll")
			p.WantText("The roll is kept")
			p.prepare()
			p.Click("button", "Start the session")
			p.WantText("Under way", "As run now")
			p.WantSound()
			p.Unfold("Pause…")
			p.Choose("Why", "break")
			p.Click("button", "Pause")
			p.WantText("Paused")
			p.Click("button", "Go on: all stands again")
			p.WantText("It goes on")
			p.Click("link", "Results and signature")
			p.WantText("nothing noted", "It has not ended")
			p.WantSound()
			// The first box is the instructor's.
			trainees := slices.DeleteFunc(p.Names("link"), func(name string) bool {
				return !slices.ContainsFunc(boxes[1:], func(box string) bool { return strings.HasPrefix(box, name) })
			})
			if len(trainees) != len(boxes)-1 {
				t.Fatalf("%d trainees of %d on the roll", len(trainees), len(boxes)-1)
			}
			for _, name := range trainees {
				p.noteAndCountersign(name)
				p.Click("link", "All trainees, and the signature")
			}
			p.WantText("countersigned")
		})
	}
}

// prepare does what must be done before the session that is shown starts.
func (p *Page) prepare() {
	p.t.Helper()
	session := p.Path()
	p.Go(session + "/pre-use")
	p.WantSound()
	p.WantAccessible()
	for _, item := range p.asked() {
		p.Within("group", item).Check("Passes")
	}
	p.Click("button", "Keep the check")
	p.Go(session + "/warm-up")
	p.WantSound()
	p.Click("button", "The warm-up is done")
	p.Go(session + "/recheck")
	p.WantSound()
	p.WantAccessible()
	for _, trainee := range p.Names("checkbox") {
		p.Check(trainee)
	}
	p.Click("button", "They were asked again")
	p.Go(session + "/rating")
	p.WantSound()
	p.WantAccessible()
	if within := p.Names("checkbox"); len(within) > 0 { // some kit states a rating
		for _, who := range within {
			p.Check(who)
		}
		p.Click("button", "Those ticked are within it")
	}
	p.Go(session)
}

// noteAndCountersign opens a trainee of the list, finds them competent and has them
// type their code.
func (p *Page) noteAndCountersign(trainee string) {
	p.t.Helper()
	p.Click("link", trainee)
	p.WantH1(trainee)
	for _, outcome := range p.asked() {
		in := p.Within("group", outcome)
		in.Choose("Found", "competent")
		in.Choose("By", "watched")
	}
	p.Click("button", "Keep the results")
	p.WantText("Kept. Now the trainee")
	p.Fill("Own code of "+trainee, "own code of "+trainee)
	p.Click("button", "Countersign")
	p.WantText("Countersigned")
}
