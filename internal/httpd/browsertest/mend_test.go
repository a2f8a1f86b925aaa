//go:build browser

package browsertest

import (
	"regexp"
	"strings"
	"testing"
)

// TestAShutStationIsMended shuts a station on a day with sessions, sees what that
// hits, has a repair made, accepts it and tells the people.
func TestAShutStationIsMended(t *testing.T) {
	t.Parallel()
	walk(t, EveryWay, func(t *testing.T, demo *Program, look Look) {
		p := demo.Open(t, look)
		p.SignIn("administrator")
		when, station := p.bookedSession()
		p.menu("Mend")
		p.WantH1("Mend")
		p.WantText("Only the person responsible for its field puts a rig back in service.", "The person in charge at the yard judges it")
		p.Unfold("A station can’t be used")
		p.shut(station, when)
		p.WantText("Recorded. What it hits stands below.", station+": fault")
		p.WantSound()
		p.WantAccessible()
		p.WantText(when)
		p.First("link", "Move ")
		p.Click("button", "Make a repair draft")
		p.WantPath("/drafts/")
		p.stopEarly()
		p.WantText("as they are", "to be told once the draft is accepted", station)
		p.WantSound()
		p.WantAccessible()
		p.Click("link", "Accept this draft")
		p.Click("button", p.acceptance())
		p.WantText("Tell the people concerned.", "Accepted by ")
		p.tellSomebody()
		p.menu("Mend")
		p.WantText("Repair drafts", station+": fault")
		for _, item := range p.Names("listitem") {
			if strings.HasPrefix(item, when+" ") && strings.Contains(item, station) {
				t.Errorf("still hit: %s", item)
			}
		}
	})
}

var bookedStrip = regexp.MustCompile(`^(\w{3} \d+ \w{3} \d\d:\d\d–\d\d:\d\d) ?, (.+?), .*, booked$`)

// bookedSession finds a booked session of next week on the board.
func (p *Page) bookedSession() (when, station string) {
	p.t.Helper()
	p.menu("Week")
	weeks := p.Within("navigation", "Weeks").Names("link")
	p.Within("navigation", "Weeks").Click("link", weeks[len(weeks)-1])
	for _, l := range p.Names("link") {
		if m := bookedStrip.FindStringSubmatch(l); m != nil {
			return m[1], m[2]
		}
	}
	p.t.Fatalf("%s: no booked session stands on the board: %s", p.describe(), strings.Join(p.Names("link"), " | "))
	return "", ""
}

// shut fills in that a station is out of use on the day of a session.
func (p *Page) shut(station, when string) {
	p.t.Helper()
	day := "2027-03-" + twoDigits(strings.Fields(when)[1])
	form := p.Within("form", "A station can’t be used")
	form.Choose("Station", station)
	form.Choose("Reason", "Fault")
	form.Fill("From", day)
	form.Fill("Time from", "00:00")
	form.Fill("To", day)
	form.Fill("Time to", "23:59")
	form.Click("button", "Shut the station")
}

func twoDigits(n string) string {
	if len(n) == 1 {
		return "0" + n
	}
	return n
}

// acceptance is the button that accepts a draft: it says what happens.
func (p *Page) acceptance() string {
	p.t.Helper()
	for _, b := range p.Names("button") {
		for _, verb := range []string{"Book ", "Move ", "Change the people of ", "Stand down "} {
			if strings.HasPrefix(b, verb) {
				return b
			}
		}
	}
	p.t.Fatalf("%s: no button accepts; they are %s", p.describe(), strings.Join(p.Names("button"), " | "))
	return ""
}

// TestALossFilledInWrongSaysWhere sends a loss without its half.
func TestALossFilledInWrongSaysWhere(t *testing.T) {
	t.Parallel()
	for _, look := range EveryLook {
		t.Run(look.Name, func(t *testing.T) {
			t.Parallel()
			p := Demo(t).Open(t, look)
			p.As("administrator")
			p.Go("/mend")
			p.Unfold("Weather takes a day")
			form := p.Within("form", "Weather takes a day")
			form.Fill("Last day", "2027-01-04")
			form.Click("button", "Give these days to the weather")
			p.WantStatus(422)
			p.Within("form", "Weather takes a day").WantFieldError("Last day", "not before the first")
			p.WantSound()
			p.WantAccessible()
		})
	}
}
