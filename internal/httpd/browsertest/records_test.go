//go:build browser

package browsertest

import (
	"slices"
	"strconv"
	"strings"
	"testing"
)

// readers are the ways in which pages that only show are walked: all tests share
// one demo.
func readers(t *testing.T, looks []Look, role string, story func(t *testing.T, p *Page)) {
	for _, look := range looks {
		t.Run(look.Name, func(t *testing.T) {
			t.Parallel()
			p := Demo(t).Open(t, look)
			p.As(role)
			p.Go("/")
			story(t, p)
		})
	}
}

// lines returns the rows of a table without its head, which a phone leaves out.
func (p *Page) lines() []string {
	p.t.Helper()
	rows := p.Names("row")
	if len(p.Names("columnheader")) > 0 {
		return rows[1:]
	}
	return rows
}

// TestAPersonIsFoundAndTheirHoursLeadToSessions narrows the list of people by
// employer and name, opens a record, and follows a number of hours to the
// sessions that it is made of.
func TestAPersonIsFoundAndTheirHoursLeadToSessions(t *testing.T) {
	t.Parallel()
	readers(t, EveryWay, "instructor", func(t *testing.T, p *Page) {
		p.menu("People")
		employer := p.Options("Employer")[1]
		p.Choose("Employer", employer)
		p.Click("button", "Show")
		list := p.Within("table", "People")
		rows := list.lines()
		if i := slices.IndexFunc(rows, func(r string) bool { return !strings.Contains(r, employer) }); i >= 0 || len(rows) < 5 {
			t.Fatalf("%d people of %s, of whom %d works elsewhere: %s", len(rows), employer, i, rows)
		}
		name := list.Names("rowheader")[0]
		p.Fill("Part of a name", name[:len(name)-2])
		p.Click("button", "Show")
		p.Within("table", "People").Click("link", name)
		p.WantH1(name)
		p.WantText("Certificates", "Hours", "Sessions held", employer)

		hours := p.Within("table", "Hours")
		exercise := hours.Names("rowheader")[0]
		row := hours.Within("row", hours.lines()[0])
		number := row.Names("link")[0]
		row.clickAt("link", 0)
		p.WantText("Show all sessions", exercise)
		held := p.Within("table", "Sessions held").lines()
		if want, err := strconv.Atoi(number); err != nil || len(held) != want {
			t.Errorf("%s sessions of %s are %d rows", number, exercise, len(held))
		}
		for _, s := range held {
			if !strings.Contains(s, exercise) {
				t.Errorf("a session of %s reads %q", exercise, s)
			}
		}
		p.Click("link", "Show all sessions")
		if all := p.Within("table", "Sessions held").lines(); len(all) <= len(held) {
			t.Errorf("all are %d sessions, of one exercise %d", len(all), len(held))
		}
	})
}

// TestCertificatesAreFilteredAndPaged goes through the list of certificates by
// its pages, and narrows it by employer and programme.
func TestCertificatesAreFilteredAndPaged(t *testing.T) {
	t.Parallel()
	readers(t, EveryWay, "auditor", func(t *testing.T, p *Page) {
		p.menu("Certificates")
		table := func() []string { return p.Within("table", "Certificates by last valid day").lines() }
		first := table()
		p.Click("link", "Next page")
		second := table()
		if slices.ContainsFunc(second, func(r string) bool { return slices.Contains(first, r) }) || len(second) == 0 {
			t.Errorf("the second page begins %q after %q", second[0], first[len(first)-1])
		}
		p.Click("link", "Back to the start")
		if got := table(); !slices.Equal(got, first) {
			t.Errorf("the start is %q, was %q", got[0], first[0])
		}

		employer, programme := p.Options("Employer")[1], p.Options("Programme")[1]
		p.Choose("Employer", employer)
		p.Choose("Programme", programme)
		p.Click("button", "Show")
		for _, row := range table() {
			if !strings.Contains(row, employer) || !strings.Contains(row, programme) {
				t.Errorf("%s of %s shows %q", programme, employer, row)
			}
		}
		if p.chosen("Employer") != employer || p.chosen("Programme") != programme {
			t.Error("the form forgot what was asked")
		}
		number := p.Within("table", "Certificates by last valid day").Names("link")[0]
		person := p.Within("table", "Certificates by last valid day").Names("link")[1]
		p.Click("link", number)
		p.WantH1(programme + ", number " + number)
		p.WantText("First valid day", "Last valid day", "History")
		p.Click("link", person)
		p.WantH1(person)
		p.Within("table", "Certificates").WantText(number, programme)
	})
}

// TestACertificateIsCorrectedAndSuspended mends the last valid day of a
// certificate that was typed wrong, suspends it and lets it stand again; each
// stays in its history with the reason.
func TestACertificateIsCorrectedAndSuspended(t *testing.T) {
	t.Parallel()
	walk(t, EveryWay, func(t *testing.T, demo *Program, look Look) {
		p := demo.Open(t, look)
		p.SignIn("administrator")
		p.menu("Certificates")
		number := p.Within("table", "Certificates by last valid day").Names("link")[0]
		p.Click("link", number)
		p.Unfold("Correct the days")
		p.Fill("Last valid day", "2030-02-28")
		p.Fill("First valid day", "2030-03-01")
		p.Fill("Reason", "The year was typed wrong")
		p.Click("button", "Correct the days")
		p.WantFieldError("Last valid day", "lies before the first")
		p.WantSound()
		p.Fill("First valid day", "2027-01-04")
		p.Click("button", "Correct the days")
		p.Want("status", "Recorded. Sessions to come are judged by it from now on.")
		p.WantText("Thu 28 Feb 2030, was ", "The year was typed wrong", "corrected by")
		for _, m := range []struct{ title, button, why, says string }{
			{"Suspend it", "Suspend this certificate", "Under review", "suspended"},
			{"Let it stand again", "Let it stand again", "The review found nothing", "days left"},
			{"Withdraw it", "Withdraw this certificate", "Given to another by mistake", "withdrawn"},
		} {
			p.Unfold(m.title)
			p.Fill("Reason", m.why)
			p.Click("button", m.button)
			p.WantText(m.says, m.why)
		}
		p.WantSound()
		if p.Has("DisclosureTriangle", "Let it stand again") {
			t.Error("a withdrawn certificate is offered to stand again")
		}
	})
}

// TestSearchFindsPeopleCertificatesSessionsAndStations looks for each kind of
// thing by part of its name or its number, from wherever the reader is.
func TestSearchFindsPeopleCertificatesSessionsAndStations(t *testing.T) {
	t.Parallel()
	readers(t, EveryWay, "auditor", func(t *testing.T, p *Page) {
		p.menu("Certificates")
		links := p.Within("table", "Certificates by last valid day").Names("link")
		number, person := links[0], links[1]
		for _, want := range []struct{ typed, group, hit string }{
			{person[:len(person)-1], "People", person},
			{number, "Certificates", number},
			{"ladder", "Stations", "Inside ladder"},
		} {
			if p.Look.keys {
				p.Press("/")
				if role, _ := p.Focused(); role != "searchbox" {
					t.Fatalf("the key / brings the focus to %s", role)
				}
				p.Press("Ctrl+a")
				p.Type(want.typed)
				p.Press("Enter")
			} else {
				p.Fill("Search people, certificates, sessions, stations", want.typed)
				p.Click("button", "Search")
			}
			p.WantH1("Search")
			p.Want("heading", want.group)
			p.Want("link", firstWith(p.Names("link"), want.hit))
			p.WantSound()
		}
		p.Fill("Search people, certificates, sessions, stations", "xyzzy")
		p.Click("button", "Search")
		p.WantText("Nothing has that name or number")
	})
}

// TestAnIntakeShowsItsTraineesOnTheirWay opens a running intake and one of its
// trainees, and goes from it to a free time.
func TestAnIntakeShowsItsTraineesOnTheirWay(t *testing.T) {
	t.Parallel()
	readers(t, EveryLook, "instructor", func(t *testing.T, p *Page) {
		p.menu("Intakes")
		p.Want("heading", "Running")
		running := p.Within("table", "Running intakes")
		name := running.Names("rowheader")[0]
		running.Click("link", name)
		p.WantH1(name)
		trainees := p.Within("table", "Trainees of this intake").Names("rowheader")
		p.WantText(" of ", trainees[0])
		p.Click("link", "Book a session for this intake")
		if got := p.chosen("Intake"); !strings.HasPrefix(got, name) {
			t.Errorf("booking for %s asks for %s", name, got)
		}
	})
}

// TestMyDayIsReadAtTheRig opens an instructor's own day from the yard, on the phone
// too, and the session that it leads to.
func TestMyDayIsReadAtTheRig(t *testing.T) {
	t.Parallel()
	readers(t, EveryWay, "instructor", func(t *testing.T, p *Page) {
		p.Click("link", "My day")
		p.WantH1("My day")
		p.Want("heading", "Now")
		p.Want("heading", "Next")
		p.WantText("who must stop is told by voice", "At the rig")
		p.WantSound()
		if p.Has("link", "Open the session") {
			p.Click("link", "Open the session")
			p.WantText("What stands", "told by voice")
			p.Click("link", "The session’s page")
			p.WantText("Checks", "History")
		}
	})
}
