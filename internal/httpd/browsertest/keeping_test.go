//go:build browser

package browsertest

import (
	"slices"
	"strings"
	"testing"
)

// TestAStationIsShutAndOpenedAgain shuts a station on which somebody trains
// later today: the board, the session and the list of what needs attention all
// say so, until it is opened again.
func TestAStationIsShutAndOpenedAgain(t *testing.T) {
	t.Parallel()
	walk(t, EveryWay, func(t *testing.T, demo *Program, look Look) {
		p := demo.Open(t, look)
		p.SignIn("instructor")
		station, next := p.inspectedStation()
		p.Unfold("Shut this station")
		p.Choose("Reason", "Anchor test")
		p.Fill("Time from", "09:10")
		p.Fill("Note", "Anchor 4 reads low")
		p.Click("button", "Shut "+station)
		p.Want("status", "Shut. Look at what needs attention.")
		p.WantText("may not be used now", "anchor test", "Anchor 4 reads low", "until somebody opens it")
		p.WantSound()

		p.menu("Needs attention")
		p.WantText("A rule stops them now", station+" is shut")
		p.WantSound()
		p.menu("Yard")
		p.Within("table", "Rigs and stations").Click("link", next)
		p.WantText("1 rule stops it", station+" is shut", "anchor test")
		p.WantSound()
		p.menu("Week")
		strips := p.Names("link")
		broken := slices.IndexFunc(strips, func(n string) bool {
			return strings.Contains(n, ", "+station+", ") && strings.HasSuffix(n, "needs attention")
		})
		if broken < 0 {
			t.Errorf("the week marks no session on %s; the links are:\n%s", station, strings.Join(strips, "\n"))
		}
		p.WantText("need attention")

		p.menu("Yard")
		p.Within("table", "Rigs and stations").Click("link", station)
		p.Click("button", "Open now")
		p.Want("status", "Opened.")
		p.WantText("Clear may be used")
		p.menu("Needs attention")
		p.WantNoText(station + " is shut")
	})
}

// inspectedStation opens a station that has a session later today and asks for
// inspections, by the yard's list. It returns its name and the link to the
// session.
func (p *Page) inspectedStation() (station, next string) {
	p.t.Helper()
	list := p.Within("table", "Rigs and stations")
	for _, row := range list.Names("row") {
		cells := list.Within("row", row).Names("link")
		if len(cells) != 2 || !strings.Contains(row, "free") || !strings.Contains(cells[1], ":") {
			continue
		}
		station, next = cells[0], cells[1]
		list.Within("row", row).Click("link", station)
		if p.Has("DisclosureTriangle", "Record an inspection") {
			return station, next
		}
		p.menu("Yard")
	}
	p.t.Fatalf("%s: no station with inspections has a session to come today", p.describe())
	return "", ""
}

// firstWith returns the first text that holds the other.
func firstWith(texts []string, part string) string {
	if i := slices.IndexFunc(texts, func(s string) bool { return strings.Contains(s, part) }); i >= 0 {
		return texts[i]
	}
	return part
}

// TestAFailedInspectionStopsTheStation records a failed inspection: the station
// stops with that cause, on the yard and in the options, until it passes.
func TestAFailedInspectionStopsTheStation(t *testing.T) {
	t.Parallel()
	walk(t, EveryLook, func(t *testing.T, demo *Program, look Look) {
		p := demo.Open(t, look)
		p.As("instructor")
		p.Go("/")
		station, _ := p.inspectedStation()
		what := p.record("Failed", "08:20", "Rung 14 is loose")
		p.Want("status", "Inspection recorded.")
		cause := "Inspection of " + station + " failed"
		p.WantText("may not be used now", cause, strings.ToLower(what), "failed")
		p.WantSound()

		p.menu("Yard")
		row := firstWith(p.Within("table", "Rigs and stations").Names("row"), station)
		p.Within("table", "Rigs and stations").Within("row", row).WantText("failed on Tue 2 Mar")
		p.menu("Needs attention")
		p.WantText("A rule stops them now", cause)
		p.WantSound()

		p.Click("link", "Yard")
		p.Within("table", "Rigs and stations").Within("row", row).Click("link", station)
		p.record("Passed", "09:25", "New rung, load tested")
		p.WantText("Clear may be used")
		p.menu("Needs attention")
		p.WantNoText(cause)
	})
}

// record fills in the first inspection that the station asks for and returns
// what it is called. The result is asked for again when it is left open.
func (p *Page) record(result, at, note string) string {
	p.t.Helper()
	p.Unfold("Record an inspection")
	what := p.chosen("Inspection")
	p.Check(result)
	p.Fill("Note", note)
	p.Fill("Done on", "2027-03-20")
	p.Click("button", "Record the inspection")
	p.WantStatus(422)
	p.WantFieldError("Done on", "still to come")
	if got := p.Value("Note"); got != note {
		p.t.Errorf("%s: the note is now %q", p.describe(), got)
	}
	p.Fill("Done on", DemoDay)
	p.Fill("Ended at", at)
	p.Click("button", "Record the inspection")
	p.Want("status", "Inspection recorded.")
	return what
}

// TestARescuePlanIsApprovedByAnotherThanItsAuthor approves a new version of the
// plan that is due for review, which clears what waited for it; nobody approves
// what they wrote.
func TestARescuePlanIsApprovedByAnotherThanItsAuthor(t *testing.T) {
	t.Parallel()
	walk(t, EveryLook, func(t *testing.T, demo *Program, look Look) {
		p := demo.Open(t, look)
		p.As("instructor")
		p.Go("/attention")
		waiting := yours(p)
		p.Click("link", "Open "+waiting[0])
		session := p.Path()
		plan := p.First("link", "Rescue from ")
		p.Click("link", plan)
		name, _, _ := strings.Cut(plan, ", version")

		p.Unfold("Approve a new version of the rescue plan")
		for _, author := range p.Options("Written by") {
			if p.Within("banner", "").Text() == author || strings.Contains(p.Within("banner", "").Text(), author) {
				t.Errorf("%s may choose themselves as the author", author)
			}
		}
		approve := p.First("button", "Approve version ")
		p.Fill("The plan", " ")
		p.Click("button", approve)
		p.WantStatus(422)
		p.WantFieldError("The plan", "")

		text := "Raise the alarm on channel 4. The lead descends beside the casualty, the second rescuer keeps the top."
		p.Fill("The plan", text)
		p.pretendToBeTheAuthor()
		p.Click("button", approve)
		p.WantStatus(422)
		p.WantText("Not saved.")
		if got := p.Value("The plan"); got != text {
			t.Errorf("the plan is now %q", got)
		}
		p.chooseFirst("Written by")
		p.Check("I hold the plan on paper")
		p.Click("button", p.First("button", "Approve version "))
		p.Want("status", "Approved.")
		p.WantText(name+", version "+strings.TrimPrefix(approve, "Approve version ")+", in force", "due in")
		p.WantSound()

		p.Go(session)
		p.WantText("every rule holds")
		p.Click("button", p.First("button", "Book "))
		p.WantText("Booked.", "booked")
		p.menu("Needs attention")
		if got := yours(p); len(got) > 0 {
			t.Errorf("the cautions of the old plan still wait: %s", got)
		}
	})
}

// pretendToBeTheAuthor makes the form name the reader as the author, which it
// does not offer.
func (p *Page) pretendToBeTheAuthor() {
	p.t.Helper()
	n := p.find("Written by", "combobox")
	me := p.ownID()
	if _, err := on[bool](p, n, "function(me) { this.selectedOptions[0].value = me; return true }", me); err != nil {
		p.t.Fatal(err)
	}
}

// ownID returns the reader's id, from the link to them on the station's page.
func (p *Page) ownID() string {
	p.t.Helper()
	name := Eval[string](p, "document.querySelector('header .actor-name').firstChild.textContent.trim()")
	other := p.program.Open(p.t, DesktopNoScript)
	other.As("instructor")
	other.Go("/search?q=" + strings.ReplaceAll(name, " ", "+"))
	other.Within("main", "").Click("link", name)
	return strings.TrimPrefix(other.Path(), "/people/")
}

// chooseFirst picks the first answer of a list that is a person.
func (p *Page) chooseFirst(label string) {
	p.t.Helper()
	p.Choose(label, p.Options(label)[0])
}
