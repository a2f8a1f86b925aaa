//go:build browser

package browsertest

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"rungbook/internal/civil"
)

// What the journeys share: how they are run, and how they find, on the pages
// themselves, something in the demo that is worth booking.

// walk tells a story in each of the looks, each time on a demo of its own.
func walk(t *testing.T, looks []Look, story func(t *testing.T, demo *Program, look Look)) {
	for _, look := range looks {
		t.Run(look.Name, func(t *testing.T) {
			t.Parallel()
			story(t, FreshDemo(t), look)
		})
	}
}

// menu follows a link of the main navigation.
func (p *Page) menu(link string) {
	p.t.Helper()
	p.Within("navigation", "Main").Click("link", link)
}

// An offer is one of the free times that the booking page ranks.
type offer struct {
	when    string // "Tue 9 Mar 14:30–17:15"
	start   string // "Tue 9 Mar 14:30"
	day     string // "Tue 9 Mar"
	station string // "Top deck"
	button  string // what it says: "Book Tue 9 Mar 14:30 on Top deck"
	text    string // all that it says
}

func (o offer) item() string { return o.when + " " + o.station }

var offerText = regexp.MustCompile(`^(?:\d+ )?((\w{3} \d+ \w{3}) \d\d:\d\d)(–\d\d:\d\d) (.+?) ,.*?((?:Book|Pencil|Move to) \w{3} \d+ \w{3} \d\d:\d\d on .+?) Adjust people`)

// offers reads the free times of the page, best first.
func offers(p *Page) []offer {
	p.t.Helper()
	var list []offer
	for _, item := range p.Names("listitem") {
		if m := offerText.FindStringSubmatch(item); m != nil {
			list = append(list, offer{when: m[1] + m[3], start: m[1], day: m[2], station: m[4], button: m[5], text: item})
		}
	}
	return list
}

// Work is an exercise that an intake of the demo still needs and that can be
// booked on the tower with rescuers at more than one time.
type work struct {
	intake, exercise string
	offers           []offer
}

var found struct {
	once sync.Once
	work work
}

// workToDo looks through the intakes as an instructor does who asks what each
// still needs.
func workToDo(t *testing.T) work {
	t.Helper()
	found.once.Do(func() {
		p := Demo(t).Open(t, DesktopNoScript)
		p.As("instructor")
		p.Go("/book")
		for _, intake := range p.Options("Intake")[1:] {
			name, _, _ := strings.Cut(intake, " – ")
			for _, exercise := range neededBy(p, name) {
				p.Choose("Exercise", exercise)
				p.Click("button", "Find free times")
				list := offers(p)
				if len(list) >= 4 && !slices.ContainsFunc(list, func(o offer) bool {
					return !strings.HasPrefix(o.button, "Book ") || !strings.Contains(o.text, " Rescue ")
				}) {
					found.work = work{name, exercise, list}
					return
				}
			}
		}
	})
	if found.work.intake == "" {
		t.Fatal("the demo has no intake that still needs an exercise with rescuers")
	}
	return found.work
}

// neededBy returns the exercises that an intake still needs, as the booking page
// lists them once the intake is chosen.
func neededBy(p *Page, intake string) []string {
	p.t.Helper()
	p.Go("/book")
	p.Choose("Intake", intake)
	p.Click("button", "Choose trainees")
	var needed []string
	for _, option := range p.Options("Exercise") {
		name, note, _ := strings.Cut(option, " – ")
		if strings.HasSuffix(note, "need it") || strings.HasSuffix(note, "needs it") {
			needed = append(needed, name)
		}
	}
	return needed
}

// ask fills in the booking form and looks for free times.
func (p *Page) ask(w work) {
	p.t.Helper()
	p.menu("Book")
	p.Choose("Intake", w.intake)
	p.Choose("Exercise", w.exercise)
	p.Click("button", "Find free times")
}

// later returns the day some days after one, both as a field holds them.
func later(t *testing.T, day string, days civil.Day) string {
	t.Helper()
	d, err := civil.ParseDay(day)
	if err != nil {
		t.Fatal(err)
	}
	return (d + days).String()
}

// strip waits for the board's link to a session and returns its whole name. A
// browser may put a space before a comma where the line could break.
func (p *Page) strip(when, station string) string {
	p.t.Helper()
	var name string
	p.eventually(func() error {
		links := p.Names("link")
		i := slices.IndexFunc(links, func(n string) bool {
			return strings.HasPrefix(strings.ReplaceAll(n, " ,", ","), when+", "+station+", ")
		})
		if i < 0 {
			return fmt.Errorf("no session %s on %s stands here", when, station)
		}
		name = links[i]
		return nil
	})
	return name
}
