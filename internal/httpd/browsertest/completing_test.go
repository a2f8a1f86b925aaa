//go:build browser

package browsertest

import (
	"slices"
	"strings"
	"testing"
)

// TestACompletedProgrammeBecomesACertificate goes from what needs attention to the
// certificates to give, looks at what one rests on, gives it, and mends the held one
// by the trainee's own code.
func TestACompletedProgrammeBecomesACertificate(t *testing.T) {
	t.Parallel()
	walk(t, EveryWay, func(t *testing.T, demo *Program, look Look) {
		p := demo.Open(t, look)
		p.As("administrator")
		p.Go("/attention")
		p.WantText("1 certificate may be given; 1 is held.")
		p.Click("link", "Open the certificates to give")
		p.WantH1("Certificates to give")

		ready := p.Within("table", "Certificates that may be given").Names("rowheader")[0]
		p.Click("link", ready)
		p.WantH1(ready)
		p.WantText("Last valid day", "Outcomes it rests on", "signed and countersigned")
		if n := len(p.Within("table", "Outcomes with the session they were shown in").lines()); n < 5 {
			t.Errorf("it rests on %d outcomes", n)
		}
		p.Click("button", "Give the certificate")
		p.WantText("Given.", "Last valid day")

		p.menu("Certificates")
		p.Click("link", "Certificates to give")
		p.WantText("1 certificate is held.", "they did not countersign what was found")
		held := p.Names("link")
		p.Click("link", "Have it countersigned")
		name := p.H1()
		if !strings.Contains(strings.Join(held, "\n"), name) {
			t.Errorf("the list does not name %q", name)
		}
		p.Fill("Own code of "+name, "short")
		p.Click("button", "Countersign")
		p.WantFieldError("Own code of "+name, "at least 6 characters")
		p.Fill("Own code of "+name, "grey heron")
		p.Click("button", "Countersign")
		p.WantText("Countersigned.")

		p.Go("/proposals")
		p.WantText("1 certificate may be given.")
		p.Click("link", name)
		p.Click("button", "Give the certificate")
		p.WantText("Given.")
		p.Go("/proposals")
		p.WantText("There is none.")

		p.Go("/attention")
		p.WantText("of 1 the last day has passed.")
		p.Click("link", "Open what is to be reported")
		p.WantText("Rungbook sends nothing.", "was due by")
		open := p.Names("heading")[1]
		name = strings.Split(open, ",")[0]
		p.Unfold("Note the report of " + name)
		p.Fill("Reference that the scheme gave", "R-2027-41")
		p.Click("button", "Note that it was reported")
		p.WantText("Noted.")
		if slices.Contains(p.Names("heading"), open) {
			t.Errorf("%q is still to be reported", open)
		}
	})
}
