//go:build browser

package browsertest

import "testing"

// as hands the phone to somebody else, who signs in.
func (p *Page) as(role string) {
	p.t.Helper()
	p.SignOut()
	p.SignIn(role)
}

// TestAnAppealIsDecidedBySomebodyWhoHadNoPartInIt files an appeal from the path,
// answers it as the administrator, who is refused the decision in words, decides it as
// a responsible person who was not in the session, and reads it where it was filed.
func TestAnAppealIsDecidedBySomebodyWhoHadNoPartInIt(t *testing.T) {
	t.Parallel()
	walk(t, EveryWay, func(t *testing.T, demo *Program, look Look) {
		p := demo.Open(t, look)
		p.As("trainee")
		p.Go("/path")
		p.Click("link", p.First("link", "Appeal against"))
		p.WantH1("Complain or appeal")
		p.WantText("Something dangerous is told by voice")
		p.WantSound()
		p.WantAccessible()
		p.Shot("complaint filed " + look.Name)
		if !p.Checked(p.First("radio", "An appeal")) {
			t.Error("whoever comes for an appeal must say again that it is one")
		}
		p.Fill("What happened, and what you ask for", "The test was cut short. Please look again.")
		p.Click("button", "File it")
		p.WantH1("My complaints and appeals")
		p.WantText("Filed.", "The test was cut short.", "First answer by", "Height theory")
		p.WantSound()
		p.WantAccessible()

		p.as("administrator")
		p.Go("/attention")
		p.WantText("first answer was due by")
		p.Click("link", "Open complaints and appeals")
		p.WantH1("Complaints and appeals")
		p.WantSound()
		p.WantAccessible()
		p.Click("link", "Appeal of Tue 2 Mar")
		p.WantText("Next: Answer it", "The test was cut short.", "they taught in the session")
		p.WantSound()
		p.WantAccessible()
		p.Fill("What was answered", "Your appeal is here. Somebody who was not there looks at it.")
		p.Click("button", "Note this answer")
		p.WantText("Noted.", "Next: Say who is involved")
		p.Click("button", "Note who is involved")
		p.WantStatus(422)
		p.WantText("Choose who is involved, or say that nobody else of the centre is.")
		p.Check("Nobody else of the centre had a part in it")
		p.Click("button", "Note who is involved")
		p.WantText("may not decide it: they answered it.", "Folasade Okunrinboye may decide it.")
		if p.Has("button", "Decide this appeal") {
			t.Error("who answered is offered to decide")
		}
		p.WantSound()
		p.WantAccessible()
		p.Shot("complaint waits for another " + look.Name)
		appeal := p.Path()

		p.as("instructor")
		p.Go(appeal)
		p.WantText("Next: Decide it")
		p.Check("Not upheld")
		p.Fill("Why", "The test lasted its full time, as the roll shows.")
		p.Click("button", "Decide this appeal")
		p.WantText("Decided.", "Not upheld.", "by Folasade Okunrinboye")
		p.WantNoText("Next:")
		p.WantSound()
		p.WantAccessible()

		p.as("trainee")
		p.Go("/complaints/mine")
		p.WantText("Decided on Tue 2 Mar: not upheld.", "Your appeal is here.", "as the roll shows")
		p.WantNoText("Folasade")
		p.WantSound()
		p.WantAccessible()
	})
}

// TestWhoAComplaintIsAboutReadsNothingOfIt writes down a letter about an instructor,
// who then sees that it is there and is told why no more.
func TestWhoAComplaintIsAboutReadsNothingOfIt(t *testing.T) {
	t.Parallel()
	walk(t, atThePhone, func(t *testing.T, demo *Program, look Look) {
		p := demo.Open(t, look)
		p.As("administrator")
		p.Go("/complaints")
		p.Click("link", "Write down one that came")
		p.WantSound()
		p.WantAccessible()
		p.Check(p.First("radio", "A complaint"))
		p.Choose("How it came", "Letter")
		p.Choose("Who filed it", "Somebody else, named below")
		p.Fill("Somebody else: name, and how they are reached", "A neighbour across the road")
		p.Fill("What it says", "A harsh word fell at the gate.")
		p.Check("Folasade Okunrinboye")
		p.Click("button", "Write it down")
		p.WantText("Written down.", "A harsh word fell at the gate.", "A neighbour across the road")
		at := p.Path()
		p.as("instructor")
		p.Go(at)
		p.WantText("Folasade Okunrinboye may not read it: they are named by whoever filed it.")
		p.WantNoText("A harsh word", "A neighbour")
		p.WantSound()
		p.WantAccessible()
		paper := p.ShotPrinted("complaint " + look.Name)
		if !paper.Has("Complaint of Tue 2 Mar") || paper.Has("A harsh word") {
			t.Error("on paper stands more than on the page, or nothing")
		}
	})
}
