//go:build browser

package browsertest

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// report is a PDF as a test house might send it.
const report = "%PDF-1.4\n% anchors pulled anew\ntrailer\n<< /Size 1 >>\nstartxref\n0\n%%EOF\n"

// TestAnAnchorTestIsRevokedAndShownAnew revokes a paper of the tower, sees its
// bookings stop by name, and brings a new one: nobody accepts their own.
func TestAnAnchorTestIsRevokedAndShownAnew(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	paper, fake := filepath.Join(dir, "pull-test.pdf"), filepath.Join(dir, "harmless.pdf")
	second := filepath.Join(dir, "pulled-anew.pdf")
	for name, content := range map[string]string{paper: report, second: report, fake: "<html><script>alert(1)</script></html>"} {
		if err := os.WriteFile(name, []byte(content), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	walk(t, EveryWay, func(t *testing.T, demo *Program, look Look) {
		p := demo.Open(t, look)
		p.SignIn("instructor")
		p.Go("/attention")
		p.WantNoText("anchor load test")
		dossier := p.openDossier("Tower platform")
		p.WantText("In service: all 10 points stand", "It approves nothing")
		p.WantSound()
		p.WantAccessible()
		p.Click("link", "Anchor load test")
		p.Unfold("Revoke it")
		p.Fill("Why", "The load cell was out of date.")
		p.Click("button", "Revoke it")
		p.WantText("Revoked. Bookings on this rig stop.", "The load cell was out of date.")

		p.Go("/attention")
		p.WantText("Dossier of Tower platform: anchor load test was revoked on", "conversion dossier")
		p.Go(dossier)
		p.WantText("Withdrawn", "1 of 10 points lapsed or were revoked", "Next: put in evidence.")
		p.WantSound()

		p.Click("link", "Anchor load test")
		p.putInAnchors(fake)
		p.WantText("no PDF, PNG or JPEG, whatever its name says") // a file is read before it is sent: this waits
		p.WantStatus(422)
		if got := p.Value("Who did it"); got != "Wioletta Brzozowicz" {
			t.Errorf("who did it is now %q", got)
		}
		p.WantSound()
		p.WantAccessible()
		p.putInAnchors(paper)
		p.WantText("Put in. It counts once somebody else accepts it.", "You put it in: somebody else who answers for a field accepts it.")
		if p.Has("button", "Accept it") {
			t.Error("one’s own paper can be accepted")
		}
		p.Unfold("Refuse it")
		p.Fill("Why", "My own hand.")
		p.Click("button", "Refuse it")
		p.WantText("Refused.")

		p.SignIn("administrator")
		p.Go(dossier)
		p.Click("link", "Anchor load test")
		p.putInAnchors(second)
		p.WantText("Put in. It counts once somebody else accepts it.")
		if p.Has("button", "Accept it") {
			t.Error("an administrator who answers for no field accepts evidence")
		}
		p.SignIn("instructor")
		p.Go(dossier)
		p.WantText("1 paper waits for acceptance.")
		p.Click("link", "Anchor load test")
		if file, got := p.Download("link", "Download pulled-anew.pdf"); !strings.HasSuffix(file, ".pdf") || !bytes.Equal(got, []byte(report)) {
			t.Errorf("%s comes back as %q", file, got)
		}
		p.Unfold("Accept it")
		p.Click("button", "Accept it")
		p.WantStatus(422)
		p.Unfold("Accept it")
		p.Check("I opened the file, and it shows what is written here")
		p.Click("button", "Accept it")
		p.WantText("Accepted.", "Stands until")
		p.WantSound()
		p.WantAccessible()
		p.Shot("evidence")
		p.Go("/attention")
		p.WantNoText("anchor load test")
		p.Go(dossier)
		p.Shot("dossier")
	})
}

// openDossier goes from the yard to a rig's dossier by links, and returns its address.
func (p *Page) openDossier(rig string) string {
	p.t.Helper()
	p.Go("/")
	// On a wide page both the drawing and the list lead to the rig.
	p.Go(Eval[string](p, `[...document.querySelectorAll("main a[href^='/rigs/']")].find(a => a.textContent.trim() == "`+rig+`").getAttribute("href")`))
	p.Click("link", "Conversion dossier")
	p.WantH1("Conversion dossier")
	return p.Path()
}

// putInAnchors fills the form of an anchor load test.
func (p *Page) putInAnchors(file string) {
	p.t.Helper()
	p.putInAnchorsUntil(file, "2028-02-28")
}

func (p *Page) putInAnchorsUntil(file, until string) {
	p.t.Helper()
	p.WantH1("Anchor load test")
	p.Go(p.Path() + "?do=add")
	for label, value := range map[string]string{"Done on": "2027-03-01", "Good until": until, "Who did it": "Wioletta Brzozowicz",
		"By which authority": "Competent person for anchors", "Test load": "15 kN for 3 minutes", "Anchors tested": "All, by their numbers"} {
		p.Fill(label, value)
	}
	p.choose(file)
	p.Click("button", "Put it in")
}

// TestALapsedPaperStopsBookingsUntilANewOneIsAccepted lets the anchor test of the tower
// lapse: what needs attention, the coverage and the booking name it, until a new one was
// put in by one person and accepted by another.
func TestALapsedPaperStopsBookingsUntilANewOneIsAccepted(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	short, long := filepath.Join(dir, "short.pdf"), filepath.Join(dir, "long.pdf")
	for _, name := range []string{short, long} {
		if err := os.WriteFile(name, []byte(report), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	walk(t, []Look{Phone, DesktopNoScript}, func(t *testing.T, demo *Program, look Look) {
		p := demo.Open(t, look)
		p.SignIn("administrator")
		dossier := p.openDossier("Tower platform")
		p.Click("link", "Anchor load test")
		p.putInAnchorsUntil(short, "2027-03-03")
		p.WantText("Put in. It counts once somebody else accepts it.")
		p.acceptAnchors(dossier)

		demo.Later(t, "2027-03-04")
		p = demo.Open(t, look)
		p.SignIn("instructor")
		p.Go("/attention")
		p.WantText("Dossier of Tower platform: anchor load test lapsed on Thu 4 Mar")
		p.WantAccessible()
		p.Go("/coverage")
		p.WantText("Tower platform", "Withdrawn: 1 of 10 points lapsed or were revoked: anchor load test.")
		p.WantSound()
		p.askOnTheTower()
		p.WantText("No free time", "Station not usable", "anchor load test", "conversion dossier")
		p.Shot("lapsed " + look.Name)
		p.WantSound()
		p.WantAccessible()

		p.SignIn("administrator")
		p.Go(dossier)
		p.WantText("Withdrawn", "1 of 10 points lapsed or were revoked")
		p.Click("link", "Anchor load test")
		p.putInAnchors(long)
		p.WantText("Put in. It counts once somebody else accepts it.", "You put it in: somebody else who answers for a field accepts it.")
		if p.Has("button", "Accept it") {
			t.Error("who put it in can accept it")
		}
		p.askOnTheTower()
		p.WantText("No free time", "anchor load test")
		p.acceptAnchors(dossier)
		p.askOnTheTower()
		p.WantText("free time")
		p.WantNoText("No free time", "anchor load test")
		p.Go("/attention")
		p.WantNoText("anchor load test")
	})
}

// acceptAnchors has the instructor, who answers for height and rescue, accept the paper.
func (p *Page) acceptAnchors(dossier string) {
	p.t.Helper()
	p.SignIn("instructor")
	p.Go(dossier)
	p.Click("link", "Anchor load test")
	p.Unfold("Accept it")
	p.Check("I opened the file, and it shows what is written here")
	p.Click("button", "Accept it")
	p.WantText("Accepted.", "Stands until")
}

// askOnTheTower asks for a time on the tower that is free but for the rig itself.
func (p *Page) askOnTheTower() {
	p.t.Helper()
	p.menu("Book")
	p.Choose("Intake", trialIntake)
	p.Choose("Exercise", "Harness and anchor")
	p.Choose("What it is for", "Trial: drill")
	p.Fill("From", trialDay)
	p.Fill("Until", trialDay)
	p.Click("button", "Find free times")
	p.WantText("Harness and anchor for ")
}
