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

// Work is an exercise that an intake of the demo still needs.
type work struct {
	intake, exercise string
	offers           []offer
}

// chances are what the demo has for each kind of story.
type chances struct {
	once     sync.Once
	plain    work // can be booked at several times, with standby rescuers
	cautious work // can be pencilled only: it waits for somebody's word
	barred   work // its trainees need something else first
}

var demoHas chances

// sort puts the work on the page where it belongs, unless that is taken.
func (c *chances) sort(p *Page, w work) {
	begins := func(with string) func(offer) bool {
		return func(o offer) bool { return strings.HasPrefix(o.button, with) }
	}
	unrescued := func(o offer) bool { return !strings.Contains(o.text, " Rescue ") }
	switch {
	case len(w.offers) >= 4 && !slices.ContainsFunc(w.offers, begins("Pencil")) && !slices.ContainsFunc(w.offers, unrescued):
		if c.plain.intake == "" {
			c.plain = w
		}
	case len(w.offers) >= 2 && !slices.ContainsFunc(w.offers, begins("Book")):
		if c.cautious.intake == "" {
			c.cautious = w
		}
	case len(w.offers) == 0 && strings.Contains(p.Text(), "may not do it yet"):
		if c.barred.intake == "" {
			c.barred = w
		}
	}
}

// look goes through the intakes as an instructor does who asks what each still
// needs.
func (c *chances) look(t *testing.T) {
	p := Demo(t).Open(t, DesktopNoScript)
	p.As("instructor")
	p.Go("/book")
	for _, intake := range p.Options("Intake")[1:] {
		name, _, _ := strings.Cut(intake, " – ")
		for _, exercise := range neededBy(p, name) {
			p.Choose("Exercise", exercise)
			p.Click("button", "Find free times")
			c.sort(p, work{name, exercise, offers(p)})
			if c.plain.intake != "" && c.cautious.intake != "" && c.barred.intake != "" {
				return
			}
		}
	}
}

// toDo returns one of the chances, which which picks.
func toDo(t *testing.T, which func(*chances) work) work {
	t.Helper()
	demoHas.once.Do(func() { demoHas.look(t) })
	w := which(&demoHas)
	if w.intake == "" {
		t.Fatal("no intake of the demo gives this story a chance")
	}
	return w
}

func plainWork(c *chances) work    { return c.plain }
func cautiousWork(c *chances) work { return c.cautious }
func barredWork(c *chances) work   { return c.barred }

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

// ask goes to the booking form, fills it in and looks for free times.
func (p *Page) ask(w work) {
	p.t.Helper()
	p.menu("Book")
	p.askHere(w)
}

// askHere is ask on a booking form that is already open.
func (p *Page) askHere(w work) {
	p.t.Helper()
	p.Choose("Intake", w.intake)
	p.Choose("Exercise", w.exercise)
	p.Click("button", "Find free times")
	p.WantText(w.exercise + " for ")
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
