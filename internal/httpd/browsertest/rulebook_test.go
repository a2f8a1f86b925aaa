//go:build browser

package browsertest

import (
	"slices"
	"strings"
	"testing"
)

// TestTheRuleBookSaysWhereEachFigureStands reads the lines: each has a source and
// a mark, and one that no rule judges says so.
func TestTheRuleBookSaysWhereEachFigureStands(t *testing.T) {
	t.Parallel()
	for _, look := range []Look{PhoneNoScript, Desktop} {
		t.Run(look.Name, func(t *testing.T) {
			t.Parallel()
			p := Demo(t).Open(t, look)
			p.As("auditor")
			p.Go("/rule-book")
			p.WantText("Confirmed for all fields", "not checked by Rungbook", "common practice")
			marks := []string{"read", "read on a second page", "from memory", "common practice, no source"}
			lines := 0
			for _, row := range p.Names("row") {
				if !strings.Contains(row, " h ") && !strings.Contains(row, " days ") && !strings.Contains(row, " months ") {
					continue
				}
				lines++
				if !slices.ContainsFunc(marks, func(m string) bool { return strings.Contains(row, m) }) {
					t.Errorf("a line does not say where its figure is from: %s", row)
				}
			}
			if lines < 40 {
				t.Errorf("only %d limits in hours, days and months", lines)
			}
			profile := p.First("link", "European Union, adults")
			p.Click("link", profile)
			p.Want("heading", profile)
		})
	}
}

// TestANewVersionStopsUntilItIsConfirmed writes a version that begins in two
// weeks. From its first day bookings stop, and booked sessions need attention,
// until each field's responsible person has confirmed it.
func TestANewVersionStopsUntilItIsConfirmed(t *testing.T) {
	t.Parallel()
	w := toDo(t, plainWork)
	walk(t, EveryLook, func(t *testing.T, demo *Program, look Look) {
		p := demo.Open(t, look)
		p.As("administrator")
		p.Go("/")
		p.menu("Rule book")
		p.Unfold("Write a new version")
		p.Choose("Limit", "Site: rest between two days of work")
		p.Fill("New value", "780")
		p.Fill("Where it stands", " ")
		p.Fill("First day", DemoDay)
		p.Click("button", "Write the version")
		p.WantStatus(422)
		p.WantFieldError("Where it stands", "Say where the value stands")
		if got := p.Value("New value"); got != "780" {
			t.Errorf("the value is now %q", got)
		}
		p.Fill("Where it stands", "Decision of the yard's safety meeting, 1 March 2027")
		p.Click("button", "Write the version")
		p.WantStatus(422)
		p.WantFieldError("First day", "")
		p.Fill("First day", "2027-03-15")
		p.Click("button", "Write the version")
		p.Want("status", "A new version is written.")
		p.WantText("Version 3")
		p.WantSound()

		p.wantStopped(w)
		p.menu("Needs attention")
		p.WantText("not confirmed")
		p.WantSound()
		p.confirmWhatIsMine("curriculum", "planning")

		responsible := demo.Open(t, look)
		responsible.As("instructor")
		responsible.Go("/rule-book")
		responsible.confirmWhatIsMine("height and rescue")
		responsible.WantText("Not confirmed: energy, lifting", "13 h")
	})
}

// wantStopped asks for times from the new version's first day: none is free, and
// it says why.
func (p *Page) wantStopped(w work) {
	p.t.Helper()
	p.menu("Book")
	p.Choose("Intake", w.intake)
	p.Choose("Exercise", w.exercise)
	p.Fill("From", "2027-03-15")
	p.Fill("Until", "2027-03-19")
	p.Click("button", "Find free times")
	p.WantText("No free time", "not confirmed")
	p.WantSound()
	p.Fill("From", "2027-03-08")
	p.Fill("Until", "2027-03-12")
	p.Click("button", "Find free times")
	p.WantText("free time")
	if len(offers(p)) == 0 {
		p.t.Errorf("%s: nothing is free before the new version begins", p.describe())
	}
}

// confirmWhatIsMine confirms the new version for the fields, which must be all
// that the reader is offered.
func (p *Page) confirmWhatIsMine(fields ...string) {
	p.t.Helper()
	p.menu("Rule book")
	p.Click("link", "Version 3")
	p.WantPath("/rule-book?version=")
	var offered []string
	for _, l := range p.Names("link") {
		if field, ok := strings.CutPrefix(l, "Read and confirm "); ok {
			offered = append(offered, field)
		}
	}
	slices.Sort(offered)
	if !slices.Equal(offered, fields) {
		p.t.Errorf("%s: offered to confirm %q, want %q", p.describe(), offered, fields)
	}
	if len(fields) == 0 {
		return
	}
	p.Click("link", "Read and confirm "+fields[0])
	p.WantSound()
	p.WantAccessible()
	p.Click("button", "Confirm what is ticked")
	p.WantStatus(422)
	p.WantText("No limit is ticked")
	p.tickAll()
	p.Click("button", "Confirm what is ticked")
	p.Want("status", "Confirmed.")
}

// tickAll ticks every box of the form, one by one, as somebody does who reads each.
func (p *Page) tickAll() {
	p.t.Helper()
	p.settle()
	nodes, err := p.nodes()
	if err != nil {
		p.t.Fatalf("%s: %v", p.describe(), err)
	}
	for _, n := range nodes {
		if n.role == "checkbox" && n.checked != "true" {
			p.clickNode(n)
		}
	}
}
