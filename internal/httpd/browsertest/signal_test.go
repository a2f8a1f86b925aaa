//go:build browser

package browsertest

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
)

// atTheRig opens the session of the instructor that is now, and waits until the
// phone has kept the day.
func (p *Page) atTheRig() {
	p.t.Helper()
	p.As("instructor")
	p.Go("/yard")
	links := p.Links()
	first := slices.IndexFunc(links, func(l string) bool { return strings.Contains(l, "/yard/sessions/") })
	if first < 0 {
		p.t.Fatalf("no session today among %v", links)
	}
	p.Go(links[first])
	p.WantH1("Crawl rescue")
	p.eventually(func() error {
		if Eval[string](p, "document.documentElement.dataset.keptOnPhone || ''") == "" {
			return errors.New("the phone has not kept the day")
		}
		return nil
	})
}

// TestASessionIsStartedWithoutSignalAndSentOnce cuts the network at the rig, reads
// and enters, and joins it again in such a way that the answers to what is sent are
// lost once each.
func TestASessionIsStartedWithoutSignalAndSentOnce(t *testing.T) {
	t.Parallel()
	w := wireTo(t, FreshDemo(t))
	p := w.Open(t, Phone)
	p.atTheRig()
	session := p.Path()

	p.traffic.mayBeCut()
	w.set(true, 0)
	p.Reload()
	p.WantText("No signal.", "This page is as of", "Stops reach people by voice")
	p.WantAccessible()
	for _, who := range p.Names("checkbox") {
		p.Check(who)
	}
	p.Click("button", "Keep the roll")
	p.WantText("One thing is not sent yet", "Nobody else sees them until they are sent", "Keep the roll", "Not yet sent.")
	p.Click("button", "Start the session")
	p.Fill("Whom of the yard you reached by voice", "Gate house")
	p.Fill("When", "09:35")
	p.Click("button", "Started: keep it until there is signal")
	p.WantText("2 things are not sent yet", "Whom of the yard you reached by voice: Gate house")
	p.Shot("without-signal")
	p.WantAccessible()

	// The phone is put away and taken out again; what waits is still there.
	p.Go("/yard")
	p.WantText("No signal.", "2 things are not sent yet")
	p.Click("button", "Try to send now")
	p.WantText("2 things are not sent yet")

	w.set(false, 2)
	p.eventually(func() error {
		if Eval[bool](p, "!document.querySelector('[data-unsent]').hidden") {
			Eval[bool](p, "window.dispatchEvent(new Event('online'))")
			return errors.New("something is not sent yet")
		}
		return nil
	})
	if w.answersLost() != 2 {
		t.Errorf("%d answers were lost, want that of each", w.answersLost())
	}
	p.Go(session)
	p.WantText("Started without sight of the yard since", "Gate house was reached by voice at 09:35")
	p.Go(strings.Replace(session, "/yard", "", 1))
	if n := strings.Count(p.Text(), "started"); n != 1 {
		t.Errorf("it is said %d times that it started, want once:\n%s", n, p.Text())
	}
}

// TestWhatSomebodyElseDidMeanwhileIsShownBesideWhatWasEntered sends what waited on a
// phone after another instructor changed the same session.
func TestWhatSomebodyElseDidMeanwhileIsShownBesideWhatWasEntered(t *testing.T) {
	t.Parallel()
	demo := FreshDemo(t)
	w := wireTo(t, demo)
	p := w.Open(t, Phone)
	p.atTheRig()
	session := p.Path()
	people := p.Names("checkbox")
	p.traffic.mayBeCut()
	w.set(true, 0)
	p.Check(people[0])
	p.Click("button", "Keep the roll")
	p.WantText("One thing is not sent yet")

	other := demo.Open(t, Desktop)
	other.As("instructor")
	other.Go(session)
	other.Check(people[1])
	other.Click("button", "Keep the roll")
	other.WantText("The roll is kept.")

	w.set(false, 0)
	p.Click("button", "Try to send now")
	p.WantText("The server says:", "This was changed meanwhile", fmt.Sprintf("Entered: %s", people[0]))
	p.Shot("not-sent-conflict")
	p.WantAccessible()
	p.Reload()
	p.WantText("The server says:") // nothing is lost by looking again
}
