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

// cutAtTheRig opens a session at the rig of a fresh demo and cuts the wire to it.
func cutAtTheRig(t *testing.T) (w *wire, p *Page, session string) {
	t.Helper()
	w = wireTo(t, FreshDemo(t))
	p = w.Open(t, Phone)
	p.atTheRig()
	session = p.Path()
	p.traffic.mayBeCut()
	w.set(true, 0)
	p.Reload()
	p.WantText("No signal.")
	return w, p, session
}

// rollUnseen calls the roll without signal, where all are here, and returns who that is.
func (p *Page) rollUnseen() (roll []string) {
	p.t.Helper()
	roll = p.Names("checkbox")
	for _, who := range roll {
		p.Check(who)
	}
	p.Click("button", "Keep the roll")
	p.WantText("One thing is not sent yet")
	return roll
}

// startByVoice starts the session without signal, once the gate house was told.
func (p *Page) startByVoice() {
	p.t.Helper()
	p.Click("button", "Start the session")
	p.Fill("Whom of the yard you reached by voice", "Gate house")
	p.Fill("When", "09:35")
	p.Click("button", "Started: keep it until there is signal")
}

// wantStartedOnce looks that a start by voice is on record, and once.
func (p *Page) wantStartedOnce(session string) {
	p.t.Helper()
	p.Go(session)
	p.WantText("Started without sight of the yard since", "Gate house was reached by voice at 09:35")
	p.Go(strings.Replace(session, "/yard", "", 1))
	if n := strings.Count(p.Text(), "started"); n != 1 {
		p.t.Errorf("it is said %d times that it started, want once:\n%s", n, p.Text())
	}
}

// TestASessionIsStartedWithoutSignalAndSentOnce cuts the network at the rig, reads
// and enters, and joins it again in such a way that the answers to what is sent are
// lost once each.
func TestASessionIsStartedWithoutSignalAndSentOnce(t *testing.T) {
	t.Parallel()
	w, p, session := cutAtTheRig(t)
	p.WantText("No signal.", "This page is as of", "Stops reach people by voice")
	p.WantAccessible()
	p.rollUnseen()
	p.WantText("Nobody else sees them until they are sent", "Keep the roll", "Not yet sent.")
	p.startByVoice()
	p.WantText("2 things are not sent yet", "Whom of the yard you reached by voice: Gate house")
	p.Shot("without-signal")
	p.WantAccessible()

	// The phone is put away and taken out again; what waits is still there.
	p.Go("/yard")
	p.WantText("No signal.", "2 things are not sent yet")
	p.Click("button", "Try to send now")
	p.WantText("2 things are not sent yet")

	w.set(false, 2)
	p.waitSent()
	if w.answersLost() != 2 {
		t.Errorf("%d answers were lost, want that of each", w.answersLost())
	}
	p.wantStartedOnce(session)
}

// TestTheServerIsKilledBetweenRequestAndAnswer sends what waited on a phone to a server
// that is killed with each thing it gets, and started again: all is there, and once.
func TestTheServerIsKilledBetweenRequestAndAnswer(t *testing.T) {
	t.Parallel()
	w, p, session := cutAtTheRig(t)
	p.rollUnseen()
	p.startByVoice()
	p.WantText("2 things are not sent yet")

	w.killNext(2)
	w.set(false, 0)
	p.waitSent()
	if n := w.programsKilled(); n != 2 {
		t.Errorf("the server was killed %d times, want 2", n)
	}
	p.wantStartedOnce(session)
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

// TestAWholeSessionIsKeptWithoutSignalAndSentInOrder cuts the network before the
// check before use and joins it after the signature; answers are lost on the way.
func TestAWholeSessionIsKeptWithoutSignalAndSentInOrder(t *testing.T) {
	t.Parallel()
	w, p, session := cutAtTheRig(t)
	roll := p.rollUnseen()

	p.prepareUnseen(session)
	p.Go(session)
	p.startByVoice()
	p.Unfold("What waits")
	p.WantText("Whom of the yard you reached by voice: Gate house")

	p.Go(session + "/sign")
	p.WantText("No signal.", "A code needs signal, a drawn signature waits with the rest")
	p.WantAccessible()
	trainees := slices.DeleteFunc(p.Names("link"), func(name string) bool {
		return !slices.ContainsFunc(roll[1:], func(box string) bool { return strings.HasPrefix(box, name) })
	})
	if len(trainees) < 2 || len(trainees) >= len(roll) {
		t.Fatalf("%d trainees, %d people on the roll", len(trainees), len(roll))
	}
	for _, name := range trainees {
		p.Click("link", name)
		p.WantText("No signal.")
		for _, outcome := range p.asked() {
			in := p.Within("group", outcome)
			in.Choose("Found", "competent")
			in.Choose("By", "watched")
		}
		p.Click("button", "Keep the results")
		p.Unfold("What waits")
		p.WantText(name+": Keep the results", "Found: competent")
		p.Sign("Or: signature of " + name + ", with a finger")
		p.Click("button", "Countersign with this signature")
		p.Unfold("What waits")
		p.WantText(name + ": Countersign with this signature")
		p.Click("link", "All trainees, and the signature")
	}
	p.Shot("sign-without-signal")
	kept := len(Eval[[]string](p, "JSON.parse(localStorage.getItem('rungbook-unsent')).map(x => x.key)"))

	w.set(false, 2)
	p.waitSent()
	if w.answersLost() != 2 {
		t.Errorf("%d answers were lost, want 2", w.answersLost())
	}
	p.Go(session)
	p.WantText("Started without sight of the yard since", "all stood then")
	p.Go(session + "/sign")
	if n := strings.Count(p.Text(), ", signature drawn"); n != len(trainees) {
		t.Errorf("%d signatures of %d trainees are on record:\n%s", n, len(trainees), p.Text())
	}
	if n := strings.Count(p.Text(), "competent 2 of 2"); n != len(trainees) {
		t.Errorf("of %d trainees results are on record, want %d; %d things were kept:\n%s", n, len(trainees), kept, p.Text())
	}
}

// waitSent waits until nothing waits on the phone any more. Each thing that is sent has
// the patience of a page of its own: how long all of them take says how many they are.
func (p *Page) waitSent() {
	p.t.Helper()
	left := -1
	for left != 0 {
		p.eventually(func() error {
			n := Eval[int](p, "JSON.parse(localStorage.getItem('rungbook-unsent') || '[]').length")
			if left < 0 || n < left {
				left = n
				return nil
			}
			Eval[bool](p, "window.dispatchEvent(new Event('online'))")
			return fmt.Errorf("%d things are not sent yet: %s", n, p.Text())
		})
	}
	p.eventually(func() error {
		if Eval[bool](p, "!document.querySelector('[data-unsent]').hidden") {
			return errors.New("nothing waits, and the page says that something does")
		}
		return nil
	})
}

// prepareUnseen does on a phone without signal what comes before the start.
func (p *Page) prepareUnseen(session string) {
	p.t.Helper()
	p.Go(session + "/pre-use")
	p.WantText("No signal.")
	for _, item := range p.asked() {
		p.Within("group", item).Check("Passes")
	}
	p.Click("button", "Keep the check")
	p.WantText("2 things are not sent yet")
	p.WantAccessible()
	p.Go(session + "/warm-up")
	p.Click("button", "The warm-up is done")
	p.Go(session + "/recheck")
	for _, trainee := range p.Names("checkbox") {
		p.Check(trainee)
	}
	p.Click("button", "They were asked again")
	p.Go(session + "/rating")
	if within := p.Names("checkbox"); len(within) > 0 {
		for _, who := range within {
			p.Check(who)
		}
		p.Click("button", "Those ticked are within it")
	}
	p.WantText("things are not sent yet")
}

// asked are the groups of fields of a form; the fold of what waits has no name.
func (p *Page) asked() []string {
	p.t.Helper()
	return slices.DeleteFunc(p.Names("group"), func(name string) bool { return name == "" })
}
