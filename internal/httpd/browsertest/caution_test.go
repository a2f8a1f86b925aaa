//go:build browser

package browsertest

import (
	"strings"
	"testing"
)

// TestACautionWaitsForTheResponsiblePerson pencils a session that waits for a
// field whose responsible person is somebody else: it says for whom, and offers
// no form to accept.
func TestACautionWaitsForTheResponsiblePerson(t *testing.T) {
	t.Parallel()
	w := toDo(t, cautiousWork)
	walk(t, EveryLook, func(t *testing.T, demo *Program, look Look) {
		p := demo.Open(t, look)
		p.As("administrator")
		p.Go("/")
		p.ask(w)
		o := offers(p)[0]
		if !strings.Contains(o.text, "Cautions") || !strings.Contains(o.text, "accepted reason") {
			t.Errorf("the offer does not say what to be careful of: %q", o.text)
		}
		p.Within("listitem", o.item()).Click("button", "Pencil")
		p.Want("status", "Pencilled. It is booked once its cautions are accepted.")
		p.WantText("pencilled", "waits for: ", "Waits for the responsible person for ", "every rule holds; 1 caution waits")
		if p.Has("button", "Accept this caution") {
			t.Error("who is not responsible is offered to accept")
		}
		waits := p.First("paragraph", "Waits for the responsible person for ")
		_, who, _ := strings.Cut(waits, ": ")

		p.menu("Needs attention")
		p.Want("link", w.exercise+", "+o.when)
		p.WantText(who)
		p.WantSound()
		if yours := strings.Contains(p.Text(), "Yours."); yours {
			t.Error("an administrator is told that a field's cautions are theirs")
		}
	})
}

// TestTheResponsiblePersonAcceptsACaution follows what waits for the reader from
// the yard to the session, and accepts it with a reason: somebody else's session,
// then one of their own, which must be marked so.
func TestTheResponsiblePersonAcceptsACaution(t *testing.T) {
	t.Parallel()
	walk(t, EveryWay, func(t *testing.T, demo *Program, look Look) {
		p := demo.Open(t, look)
		p.SignIn("instructor")
		p.Click("link", "wait for you to accept a caution")
		p.WantH1("Needs attention")
		p.WantText("Yours.")
		sessions := yours(p)
		if len(sessions) < 2 {
			t.Fatalf("%d sessions wait for the instructor, want 2: %s", len(sessions), short(p.Text()))
		}

		p.Click("link", "Open "+sessions[0])
		p.Fill("Why it is acceptable", " ")
		p.Click("button", "Accept this caution")
		p.WantStatus(422)
		p.WantFieldError("Why it is acceptable", "Write why")
		p.Fill("Why it is acceptable", "Walked through with the crew on Monday; the plan holds until its review.")
		p.Click("button", "Accept this caution")
		p.Want("status", "Caution accepted.")
		p.WantText("booked", "Accepted cautions", "Walked through with the crew on Monday", "1 caution, accepted")
		p.WantSound()
		p.WantNoText("own acceptance")

		p.menu("Needs attention")
		if got := yours(p); len(got) != len(sessions)-1 {
			t.Errorf("%d sessions wait, want %d", len(got), len(sessions)-1)
		}
		p.acceptOwn(sessions[1])
	})
}

// yours returns what waits for the reader, as the links to it are named.
func yours(p *Page) []string {
	p.t.Helper()
	var list []string
	nodes, err := p.nodes()
	if err != nil {
		p.t.Fatal(err)
	}
	mine := false
	for _, n := range nodes {
		switch {
		case n.role == "heading":
			mine = false
		case n.role == "paragraph" && strings.HasPrefix(n.name, "Yours."):
			mine = true
		case mine && n.role == "link" && strings.HasPrefix(n.name, "Open "):
			list = append(list, strings.TrimPrefix(n.name, "Open "))
		}
	}
	return list
}

// acceptOwn moves a pencilled session, which makes it the reader's own booking,
// and accepts its caution as such.
func (p *Page) acceptOwn(session string) {
	p.t.Helper()
	p.Click("link", "Open "+session)
	p.Click("link", "Move…")
	p.Click("button", offers(p)[0].button)
	p.WantPath("/sessions/")
	p.WantText("pencilled", "You booked this session")
	p.Fill("Why it is acceptable", "I wrote the new version; it is approved tomorrow.")
	p.Click("button", "Accept this caution")
	p.WantStatus(422)
	p.WantText("Tick that it is your own acceptance")
	p.WantSound()
	if got := p.Value("Why it is acceptable"); got != "I wrote the new version; it is approved tomorrow." {
		p.t.Errorf("%s: the reason is now %q", p.describe(), got)
	}
	p.Check("This is my own acceptance")
	p.Click("button", "Accept this caution")
	p.Want("status", "Caution accepted.")
	p.WantText("booked", "own acceptance")
}

// TestAReasonGivenWithTheMoveBooksAtOnce lets the responsible person move a
// pencilled session and accept its caution on the same page.
func TestAReasonGivenWithTheMoveBooksAtOnce(t *testing.T) {
	t.Parallel()
	walk(t, []Look{PhoneNoScript, Desktop}, func(t *testing.T, demo *Program, look Look) {
		p := demo.Open(t, look)
		p.As("instructor")
		p.Go("/attention")
		p.Click("link", "Open "+yours(p)[0])
		p.Click("link", "Move…")
		o := offers(p)[0]
		p.Within("listitem", o.item()).Click("link", "Adjust people")
		p.WantText("Waits for: height and rescue")
		p.Fill("Accept the cautions yourself", "The plan's author comes along that day.")
		p.Click("button", "Move to "+o.start)
		p.WantPath("/sessions/")
		p.WantText(o.when, "booked", "The plan's author comes along", "own acceptance")
	})
}
