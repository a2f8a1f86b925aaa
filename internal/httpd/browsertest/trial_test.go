//go:build browser

package browsertest

import (
	"slices"
	"strings"
	"testing"
)

// The trial of the demo: an exercise from the ground that one instructor teaches, on a
// day on which the demo's instructor and an intake are free.
const (
	trialDay      = "2027-03-10"
	dayAfterTrial = "2027-03-11"
	trialIntake   = "Tidefall 53"
	trialExercise = "Blade from afar"
	observer      = "Ines Halvard"
	visitor       = "Odhran Keel"
)

// TestATrialIsBookedRunAndSignedAndCreditsNobody books a drill in the office with an
// observer, runs it at the rig with a visitor, signs it, and finds nobody credited.
func TestATrialIsBookedRunAndSignedAndCreditsNobody(t *testing.T) {
	t.Parallel()
	walk(t, atThePhone, func(t *testing.T, demo *Program, look Look) {
		office := demo.Open(t, look)
		office.SignIn("administrator")
		trainees := office.bookTrial()
		session := office.Path()
		before := map[string]string{}
		people := map[string]string{}
		for _, name := range trainees {
			office.Go(session)
			office.Click("link", name)
			people[name], before[name] = office.Path(), office.credited()
		}

		demo.Later(t, trialDay)
		p := demo.Open(t, look)
		p.SignIn("instructor")
		p.Go("/yard")
		p.Click("link", "Open the session")
		p.WantH1(trialExercise)
		p.WantText("Trial session: drill.", "It credits nobody with anything", "no weather was read here", "that their identity was seen at this part of the course")
		p.WantSound()
		p.WantAccessible()
		rig := p.Path()
		p.readCalmWeather()
		p.Go(rig)
		p.Click("link", "Open the arrivals")
		p.WantH1("Arrivals")
		p.WantSound()
		for _, name := range trainees {
			p.seeAgain(name)
		}
		p.Go(rig)
		p.bring(visitor, "visitor")
		p.WantText(visitor, observer)
		for _, name := range p.Names("checkbox") {
			p.Check(name)
		}
		p.Click("button", "Keep the roll")
		p.WantText("The roll is kept", "Trainees and others", "4 (required: at most 8)")
		p.prepare()
		p.Click("button", "Start the session")
		p.WantText("Under way", "Trial session: drill.")
		p.Shot("trial under way " + look.Name)
		p.WantSound()
		p.WantAccessible()

		// A session lasts longer than a test: it is signed the next morning.
		demo.Later(t, dayAfterTrial)
		p = demo.Open(t, look)
		p.SignIn("instructor")
		p.Go(rig)
		p.Unfold("End the session…")
		p.Click("button", "End the session")
		p.WantText("09:40–11:10, ended")
		p.Click("link", "Results and signature")
		p.WantText("Trial session: drill. It credits nobody with anything, so nothing is noted of anybody.", "took part nothing is credited")
		p.WantNoText("nothing noted", "did not countersign")
		p.Shot("trial to sign " + look.Name)
		p.WantSound()
		p.WantAccessible()
		p.Check("Signed off")
		p.Click("button", "Sign and close")
		p.Go(strings.TrimPrefix(rig, "/yard"))
		p.WantText("signed off", "Trial session: drill. It credits nobody with anything", observer, "observer", visitor, "visitor")
		p.WantNoText("competent 2 of 2", "countersigned")
		p.WantSound()

		p.SignIn("administrator")
		for _, name := range trainees {
			p.Go(people[name])
			p.WantH1(name)
			p.WantText("trial: drill")
			if got := p.credited(); got != before[name] {
				t.Errorf("%s is credited with %q, before the trial with %q", name, got, before[name])
			}
		}
	})
}

// bookTrial books a drill for two trainees of an intake, lets an observer join, and
// returns the trainees. It leaves the session's page open.
func (p *Page) bookTrial() []string {
	p.t.Helper()
	p.menu("Book")
	p.Choose("Intake", trialIntake)
	p.Choose("Exercise", trialExercise)
	p.Choose("What it is for", "Trial: drill")
	p.Fill("From", trialDay)
	p.Fill("Until", trialDay)
	p.Click("button", "Find free times")
	p.WantText("Trial: drill, credits nobody: "+trialExercise, "6 trainees take part")
	best := offers(p)[0]
	p.Within("listitem", best.item()).Click("link", "Adjust people")
	p.WantText("trial: drill: credits nobody with anything")
	all := p.Within("group", "Trainees").Ticked()
	for _, name := range all[2:] {
		p.Within("group", "Trainees").Uncheck(name)
	}
	p.Click("button", "Check again")
	p.WantText("Every rule holds.")
	p.Click("button", "Book "+best.start)
	p.WantText("Booked.", "Trial session: drill. It credits nobody with anything", "Trainees, 2 of 8 places")
	p.Unfold("Observers, candidates, auditors, visitors…")
	p.Fill("Or somebody else, by name", observer)
	p.Choose("As", "observer")
	p.Click("button", "Let them join")
	p.WantText("Joined: they take a place.", observer, "3 of 8 places, 1 for others")
	p.WantSound()
	p.WantAccessible()
	p.Go(strings.SplitN(p.Path(), "#", 2)[0])
	return all[:2]
}

// credited is what a person's page says of hours and results.
func (p *Page) credited() string {
	p.t.Helper()
	_, hours, _ := strings.Cut(p.Text(), " Hours ")
	hours, rest, found := strings.Cut(hours, " Sessions held ")
	if !found {
		p.t.Fatalf("%s: no hours stand before the sessions held: %s", p.describe(), short(p.Text()))
	}
	_, results, _ := strings.Cut(rest, " Results by outcome ")
	results, _, _ = strings.Cut(results, " Take out:")
	return hours + " / " + results
}

// readCalmWeather keeps a reading for the whole yard in which nothing stops anybody.
func (p *Page) readCalmWeather() {
	p.t.Helper()
	p.Click("link", "Read the weather")
	p.WantH1("Weather")
	p.Choose("It speaks for", "the whole yard")
	p.Fill("Mean wind", "3,1")
	p.Fill("Highest gust of 3 seconds", "4.8")
	p.Check("10 minutes")
	p.Check("mast")
	p.Fill("Height of the instrument above the ground", "10")
	p.Fill("Air temperature in the shade", "9")
	p.Check("None: looked for")
	p.Check("None heard")
	p.Click("button", "Keep this reading")
	p.WantText("The reading is kept.")
}

// seeAgain notes on the arrivals that a trainee's identity and a new fitness statement
// were seen as another part of their course begins.
func (p *Page) seeAgain(name string) {
	p.t.Helper()
	p.unfoldAfter(name, "Change")
	form := p.Within("form", name)
	form.Check("Identity seen again")
	form.Fill("Fitness statement signed on", trialDay)
	form.Fill("Signed at", "09:10")
	form.Click("button", "Keep "+name)
	p.WantText("Kept.")
}

// bring adds somebody who is known by name alone to the session at the rig.
func (p *Page) bring(name, as string) {
	p.t.Helper()
	p.Unfold("Somebody else takes part…")
	p.Fill("Or somebody who is not of the staff, by name", name)
	p.Choose("As", as)
	p.Click("button", "Add to the session")
	if !slices.ContainsFunc(p.Names("checkbox"), func(box string) bool { return strings.HasPrefix(box, name) }) {
		p.t.Fatalf("%s: %s is not on the roll: %s", p.describe(), name, short(p.Text()))
	}
}
