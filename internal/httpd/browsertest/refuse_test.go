//go:build browser

package browsertest

import (
	"slices"
	"strings"
	"testing"
)

// TestAProposalThatBreaksARuleIsRefusedInPlainWords sends what a rule stops: the
// answer says which rule, what was found and what is required; what was ticked
// stays; nothing is booked.
func TestAProposalThatBreaksARuleIsRefusedInPlainWords(t *testing.T) {
	t.Parallel()
	w := toDo(t, plainWork)
	walk(t, EveryLook, func(t *testing.T, demo *Program, look Look) {
		p := demo.Open(t, look)
		p.As("instructor")
		p.Go("/")
		p.ask(w)
		wanted := w.offers[0]
		p.Within("listitem", wanted.item()).Click("link", "Adjust people")
		instructors, trainees := p.Within("group", "Instructors").Ticked(), p.Within("group", "Trainees").Ticked()
		for _, rescuer := range p.Within("group", "Standby rescuers").Ticked() {
			p.Within("group", "Standby rescuers").Uncheck(rescuer)
		}

		p.Click("button", "Book "+wanted.start)
		p.WantStatus(422)
		p.Want("alert", "Not booked. Stops: ")
		p.WantText("Rescue cover", "Found", "Required", "at least 2 rescuers on "+wanted.station, "1 of them standby", "Nearest change")
		p.WantSound()
		p.WantAccessible()
		if got := p.Within("group", "Standby rescuers").Ticked(); len(got) > 0 {
			t.Errorf("rescuers are ticked again: %s", got)
		}
		if got := p.Within("group", "Trainees").Ticked(); !slices.Equal(got, trainees) {
			t.Errorf("trainees are %s, were %s", got, trainees)
		}
		if got := p.Within("group", "Instructors").Ticked(); !slices.Equal(got, instructors) {
			t.Errorf("instructors are %s, were %s", got, instructors)
		}
		p.Click("link", "What stops it")
		p.WantPath("/book")

		p.takeThemAll()
		p.ask(w)
		if got := offers(p); len(got) == 0 || got[0].item() != wanted.item() {
			t.Errorf("the place is not free any more: %v", got)
		}
	})
}

// takeThemAll ticks every trainee of the intake, more than the station takes.
func (p *Page) takeThemAll() {
	p.t.Helper()
	group := p.Within("group", "Trainees")
	for _, name := range group.Names("checkbox") {
		group.Check(name)
	}
	p.Click("button", "Check again")
	p.WantText("rules stop it.", "Required", "can't be booked")
	if group.Has("button", "Book") {
		p.t.Errorf("%s: a group that is too large can be booked", p.describe())
	}
	if stops := strings.Count(p.Text(), "Stops"); stops < 2 {
		p.t.Errorf("%s: %d stops for all trainees at once and nobody to rescue", p.describe(), stops)
	}
}

// TestTraineesWhoMayNotYetAreNamedWithTheReason asks for an exercise that comes
// later on the intake's way.
func TestTraineesWhoMayNotYetAreNamedWithTheReason(t *testing.T) {
	t.Parallel()
	w := toDo(t, barredWork)
	for _, look := range EveryLook {
		t.Run(look.Name, func(t *testing.T) {
			t.Parallel()
			p := Demo(t).Open(t, look)
			p.As("instructor")
			p.Go("/")
			p.ask(w)
			p.WantText("No free time", "trainees may not do it yet", "Order of exercises", "first", "Found", "Required")
			named := slices.IndexFunc(p.Names("listitem"), func(item string) bool {
				return strings.Contains(item, "Order of exercises") && strings.Contains(item, "first")
			})
			if named < 0 {
				t.Fatal("no list says who is barred by the order of exercises")
			}
			barred := p.Names("listitem")[named+1:]
			person := barred[slices.IndexFunc(barred, func(item string) bool { return !strings.Contains(item, "Found") })]
			p.Click("link", person)
			p.WantPath("/people/")
			p.WantH1(person)
		})
	}
}

// TestAQuestionThatLacksItsHalfIsAskedAgain sends the booking form without
// exercise, without intake, and with days that are none.
func TestAQuestionThatLacksItsHalfIsAskedAgain(t *testing.T) {
	t.Parallel()
	w := toDo(t, plainWork)
	for _, look := range EveryWay {
		t.Run(look.Name, func(t *testing.T) {
			t.Parallel()
			p := Demo(t).Open(t, look)
			p.As("instructor")
			p.Go("/")
			p.menu("Book")
			p.Choose("Exercise", w.exercise)
			p.Click("button", "Find free times")
			p.WantFieldError("Intake", "Choose an intake.")
			if got := p.chosen("Exercise"); !strings.HasPrefix(got, w.exercise) {
				t.Errorf("the exercise is %s, was %s", got, w.exercise)
			}
			p.Choose("Intake", w.intake)
			p.Fill("From", "2027-03-12")
			p.Fill("Until", "2027-03-08")
			p.Click("button", "Find free times")
			p.WantFieldError("Until", "")
			if got := p.Value("From"); got != "2027-03-12" {
				t.Errorf("From holds %s", got)
			}
			p.Fill("Until", "2027-03-19")
			p.Click("button", "Find free times")
			p.WantText(w.exercise+" for ", "Fri 12 – Fri 19 Mar")
		})
	}
}
