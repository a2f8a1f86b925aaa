//go:build browser

package browsertest

import (
	"fmt"
	"strings"
	"testing"
	"time"
)

// A head is a head of centre who sets a yard up, form by form.
type head struct {
	*Page
	sends int // forms sent
}

// mostSends is how many forms a yard of two rigs, four stations, six exercises,
// three people and four trainees may take, to its first booking.
const mostSends = 26

// mostWithExamples is how many it may take with the example curriculum.
const mostWithExamples = 20

// send presses the button of a filled form, which must be taken.
func (h *head) send(button string) {
	h.t.Helper()
	h.Click("button", button)
	h.sends++
	if h.Status() >= 400 {
		h.t.Fatalf("%s: the form was refused with status %d; the page says:\n%s", h.describe(), h.Status(), short(h.Text()))
	}
}

// fill fills fields by their labels, in pairs of label and value.
func (h *head) fill(pairs ...string) {
	h.t.Helper()
	for i := 0; i < len(pairs); i += 2 {
		h.Fill(pairs[i], pairs[i+1])
	}
}

// TestAYardIsSetUpFromNothingToItsFirstBooking walks from an empty folder to a
// booked session, by forms alone.
func TestAYardIsSetUpFromNothingToItsFirstBooking(t *testing.T) {
	t.Parallel()
	for _, look := range []Look{Desktop, PhoneNoScript} {
		t.Run(look.Name, func(t *testing.T) {
			t.Parallel()
			program := Start(t, "serve", "--data", t.TempDir(), "--listen", "127.0.0.1:0")
			code := program.Await(t, `give this code once:\s+(\S+)`)[1]
			h := &head{Page: program.Open(t, look)}
			h.firstAdministrator(code)
			h.setUpPlace()
			h.setUpProfiles()
			h.setUpMeans()
			h.setUpRigs()
			h.setUpTaught()
			h.setUpTeam("Height theory", "Harness basics", "Ladder and line", "Rescue from the deck", "Carrying", "Review")
			h.setUpRules()
			h.setUpService()
			h.setUpRescue()
			h.setUpIntake()
			h.bookTheFirst()
			t.Logf("%d forms were sent", h.sends)
			if h.sends > mostSends {
				t.Errorf("%d forms were sent; at most %d", h.sends, mostSends)
			}
		})
	}
}

// TestTheExampleCurriculumMakesTheWayShorter begins with the examples instead of
// writing exercises.
func TestTheExampleCurriculumMakesTheWayShorter(t *testing.T) {
	t.Parallel()
	program := Start(t, "serve", "--data", t.TempDir(), "--listen", "127.0.0.1:0")
	code := program.Await(t, `give this code once:\s+(\S+)`)[1]
	h := &head{Page: program.Open(t, Phone)}
	h.firstAdministrator(code)
	h.setUpPlace()
	h.setUpProfiles()
	h.setUpMeans()
	h.setUpRigs()
	h.Go("/set-up/starter")
	h.WantText("It is not complete, and nobody has approved it", "355 min", "common practice, no source")
	h.WantSound()
	h.WantAccessible()
	h.Within("group", "Begin with").Check("Work at height")
	h.send("Begin with these examples")
	h.WantText("Rescue on the ladder")
	h.setUpTeam("Height theory", "Harness and anchors", "Ladder and fall-arrest line", "Rescue from a deck", "Rescue on the ladder", "Height review")
	h.setUpRules()
	h.setUpService()
	h.setUpRescue()
	h.setUpIntake()
	h.bookTheFirst()
	t.Logf("%d forms were sent", h.sends)
	if h.sends > mostWithExamples {
		t.Errorf("%d forms were sent; at most %d", h.sends, mostWithExamples)
	}
}

func (h *head) firstAdministrator(code string) {
	h.t.Helper()
	h.Go("/")
	const password = "a long sentence to remember"
	h.fill("One-time code", code, "Your name", "Maeve Corrigan", "E-mail", "maeve@ballyfenor.example", "Password", password, "Password, once more", password)
	h.send("Set up the first administrator")
	h.WantPath("/set-up")
	h.WantAccessible()
	h.WantText("No session can be booked yet", "The yard: its name, place, time zone and hours", "A rule book: choose its profiles")
	h.WantSound()
}

func (h *head) setUpPlace() {
	h.t.Helper()
	h.Go("/set-up/yard/new")
	h.fill("Name of the yard", "Ballyfenor", "Time zone", "Europe/Nowhere", "Latitude", "54.2", "Longitude", "-9.1")
	h.Choose("Add the public holidays of", "Ireland")
	h.Click("button", "List the public holidays")
	if got := h.Value("Closed days"); !strings.Contains(got, "Christmas") {
		h.t.Errorf("the closed days are %q", got)
	}
	h.Fill("Closed days", "")
	h.Click("button", "Record this yard")
	h.sends++
	h.WantStatus(422)
	h.WantFieldError("Time zone", "is not a time zone")
	if got := h.Value("Latitude"); got != "54.2" {
		h.t.Errorf("the latitude is now %q", got)
	}
	h.WantSound()
	h.Fill("Time zone", "Europe/Dublin")
	h.send("Record this yard")
	h.Go("/")
	h.WantText("Ballyfenor")
	h.Click("link", "The yard is not set up yet")
	h.WantH1("Set up the yard")
}

func (h *head) setUpRules() {
	h.t.Helper()
	h.Go("/set-up/appointments")
	for _, field := range []string{"Height and rescue", "Energy", "Lifting", "Curriculum"} {
		h.Choose(field, "Maeve Corrigan")
	}
	h.send("Appoint")
	h.Go("/rule-book/confirm")
	h.WantSound()
	h.WantAccessible()
	h.tickAll()
	h.send("Confirm what is ticked")
	h.WantText("Confirmed for all fields")
}

func (h *head) setUpProfiles() {
	h.t.Helper()
	h.Go("/set-up/rule-book")
	h.Check("European Union, adults")
	h.send("Write the rule book")
}

func (h *head) setUpMeans() {
	h.t.Helper()
	h.Go("/set-up/zones/new")
	h.Fill("Name", "West drop zone")
	h.send("Record this zone")
	h.Go("/set-up/kits/new")
	h.fill("Name", "Rescue kit", "Last valid day", ahead(300))
	h.send("Record this kit")
}

func (h *head) setUpRigs() {
	h.t.Helper()
	h.Go("/set-up/rigs/new")
	h.fill("Name", "Tower platform", "People at once", "24", "Height of its top", "18.6", "Width", "4.2", "Heights of the decks", "4.6 10.4 18.6")
	h.Check("Structure")
	h.Click("button", "Draw it")
	h.Want("image", "The yard from the side, with what is typed.")
	h.WantSound()
	h.WantAccessible()
	for i, deck := range []struct{ name, height string }{{"Lower deck", "4.6"}, {"Upper deck", "10.4"}} {
		of := fmt.Sprintf(" of station %d", i+1)
		h.Unfold(fmt.Sprintf("Station %d", i+1))
		h.fill("Name"+of, deck.name, "Rescuers"+of, "2", "Of them standing by, doing nothing else"+of, "1", "Height over ground"+of, deck.height)
		h.Within("group", "What holds here"+of).Check("Work at height")
		h.Within("group", "Shared ground"+of).Check("West drop zone")
		if i == 0 {
			h.Choose("Rescue kit"+of, "Rescue kit")
		}
	}
	h.Click("button", "Record this rig") // refused on purpose, and not counted
	h.WantStatus(422)
	h.WantFieldError("Rescue kit of station 2", "")
	h.WantSound()
	h.Choose("Rescue kit of station 2", "Rescue kit")
	h.send("Record this rig")
	h.Go("/set-up/rigs/new")
	h.Choose("What it was made into", "Classroom")
	h.fill("Name", "Teaching hall", "People at once", "30", "Height of its top", "4.2", "Width", "14")
	for i, room := range []string{"Room 1", "Room 2"} {
		of := fmt.Sprintf(" of station %d", i+1)
		h.Unfold(fmt.Sprintf("Station %d", i+1))
		h.fill("Name"+of, room, "Places for trainees"+of, "12", "First aiders at least"+of, "0")
	}
	h.send("Record this rig")
}

func (h *head) setUpService() {
	h.t.Helper()
	h.Go("/set-up/inspections")
	h.Fill("Structure", ahead(-30))
	h.send("Record as passed")
	for _, rig := range []string{"Tower platform", "Teaching hall"} {
		h.Go("/")
		h.Click("link", rig)
		h.Unfold("Put in or out of service")
		h.Choose("State", "In service")
		if rig == "Teaching hall" { // no converted hardware: it has no dossier
			h.send("Set the state")
			continue
		}
		h.Click("button", "Set the state") // refused on purpose, and not counted
		h.WantStatus(422)
		h.WantFieldError("State", "survey of dimensions and mass")
		h.Click("link", "Conversion dossier")
		h.WantText("In conversion", "Every booking on its stations stops", "Survey of dimensions and mass", "nothing accepted")
		h.WantSound()
		h.WantAccessible()
	}
}

func (h *head) setUpTaught() {
	h.t.Helper()
	for _, e := range []struct {
		name, setting, minutes string
		stations               []string
		after                  string
		outcomes               string
	}{
		{"Height theory", "Theory", "120", []string{"Room 1", "Room 2"}, "", "Works out the free height below"},
		{"Harness basics", "Practice", "120", []string{"Lower deck"}, "Height theory", "Fits a harness\nPicks an anchor"},
		{"Ladder and line", "Practice", "120", []string{"Lower deck", "Upper deck"}, "Harness basics", "Climbs with the runner"},
		{"Rescue from the deck", "Practice", "150", []string{"Upper deck"}, "Harness basics", "Lowers a casualty"},
		{"Carrying", "Practice", "90", []string{"Room 1"}, "", "Lifts without twisting"},
		{"Review", "Theory", "60", []string{"Room 1", "Room 2"}, "Height theory", "Answers the written test"},
	} {
		h.Go("/set-up/exercises/new")
		h.Choose("Setting", e.setting)
		h.fill("Name", e.name, "Length, pauses included", e.minutes, "Outcomes", e.outcomes)
		for _, s := range e.stations {
			h.Check(s)
		}
		if e.after != "" {
			h.Unfold("What comes first")
			h.Within("group", "Comes after").Check(e.after)
		}
		h.send("Record this exercise")
	}
	h.Go("/set-up/programmes/new")
	h.Fill("Name", "Work at height")
	h.send("Record this programme")
}

func (h *head) setUpRescue() {
	h.t.Helper()
	h.Go("/set-up/rescue-plans")
	h.fill("Name", "Rescue from the tower", "The plan", "Raise the alarm on channel 4. The lead takes the deck; the second the anchor. Lower to the west apron.", "Reach a casualty within", "6")
	h.Choose("Written by", "Ruadhan Tolan")
	h.Check("I hold the plan on paper")
	h.send("Approve and put in force")
	h.Choose("Rescue plan", "Rescue from the tower")
	h.Fill("To a safe place in", "9")
	h.Check("Accepted")
	h.Check("Ruadhan Tolan")
	h.Fill("What was found", "The way to the west apron was clear.")
	h.send("Record the drill")
}

// setUpTeam records three people with what they may do; the administrator is the
// first of them.
func (h *head) setUpTeam(exercises ...string) {
	h.t.Helper()
	h.Go("/set-up/team")
	if got := h.Value("Name of person 1"); got != "Maeve Corrigan" {
		h.t.Errorf("the first row is of %q", got)
	}
	h.fill("Name of person 1", "Maeve Corrigan")
	for i, name := range []string{"Maeve Corrigan", "Ruadhan Tolan", "Sile Heneghan"} {
		who := fmt.Sprintf("person %d", i+1)
		if i > 0 {
			h.Unfold(fmt.Sprintf("Person %d", i+1))
			h.Fill("Name of "+who, name)
		}
		for _, e := range exercises {
			h.Within("group", "May teach, "+who).Check(e)
		}
		for _, paper := range []string{"Teaching", "Rescue", "First aid"} {
			h.fill(paper+" from, "+who, ahead(-60), "Last valid day of "+strings.ToLower(paper)+", "+who, ahead(400))
		}
	}
	h.WantSound()
	h.WantAccessible()
	h.send("Record these people")
	h.WantText("Ruadhan Tolan")
}

func (h *head) setUpIntake() {
	h.t.Helper()
	h.Go("/set-up/intakes/new")
	h.fill("Name", "Winter group", "Employer", "Fenwold Turbines", "First day", ahead(7), "Last day", ahead(40))
	for i, name := range []string{"Caoimhe Lally", "Dara Munnelly", "Eoin Barrett", "Fidelma Ruane"} {
		h.Fill(fmt.Sprintf("Name of trainee %d", i+1), name)
	}
	h.send("Record this intake")
	h.Go("/set-up/intakes")
	h.Click("link", "Add trainees")
	h.fill("Name of trainee 1", "Dara Munnelly")
	h.Click("button", "Enrol these trainees")
	h.WantStatus(422)
	h.WantText("Say whether they are the same person", "Somebody else of that name", "came with Winter group")
	h.WantSound()
	h.WantAccessible()
}

func (h *head) bookTheFirst() {
	h.t.Helper()
	h.Go("/set-up")
	h.WantText("A first session can be booked", "The dossier of Tower platform lacks", "Open its dossier")
	h.WantSound()
	h.Click("link", "Book ")
	h.Click("button", "Find free times")
	list := offers(h.Page)
	if len(list) == 0 {
		h.t.Fatalf("%s: nothing is offered; the page says:\n%s", h.describe(), short(h.Text()))
	}
	h.send(list[0].button)
	h.WantText("booked")
	h.Go("/set-up")
	h.WantText("Sessions are booked")
}

// ahead is a day so many days from today.
func ahead(days int) string {
	return time.Now().UTC().Add(time.Duration(days) * 24 * time.Hour).Format("2006-01-02")
}
