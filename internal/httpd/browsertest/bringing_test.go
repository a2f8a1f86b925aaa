//go:build browser

package browsertest

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/cdproto/dom"
	"github.com/chromedp/cdproto/runtime"
)

// crew is a list with a day that can be two days, a slip and a name spelt twice.
const crew = "Name;Geburtsdatum;Firma\n" +
	"Ottilie Vandersteen;3/4/1991;Larkmoor Rotors\n" +
	"Otilie Vandersteen;3/4/1991;Larkmoor Rotors\n" +
	"Casimir Holloway;31.02.1988;Larkmoor Rotors\n" +
	"Perpetua Lindqvist;11.12.1990;Larkmoor Rotors\n"

// choose puts a file in the page's field for one.
func (p *Page) choose(file string) {
	p.t.Helper()
	field := call(p, runtime.Evaluate, runtime.EvaluateParams{Expression: `document.querySelector("input[type=file]")`})
	call(p, dom.SetFileInputFiles, dom.SetFileInputFilesParams{Files: []string{file}, ObjectID: field.Result.ObjectID})
}

// TestAListIsBroughtInAndTakenBack sends a dirty list, sets how its days are
// written, looks at the rows, brings them in and takes them back.
func TestAListIsBroughtInAndTakenBack(t *testing.T) {
	t.Parallel()
	file := filepath.Join(t.TempDir(), "crew.csv")
	if err := os.WriteFile(file, []byte(crew), 0o600); err != nil {
		t.Fatal(err)
	}
	walk(t, EveryWay, func(t *testing.T, demo *Program, look Look) {
		p := demo.Open(t, look)
		p.SignIn("administrator")
		p.Go("/import")
		p.WantH1("Bring in")
		p.WantSound()
		p.WantAccessible()
		p.Choose("What it lists", "People")
		p.choose(file)
		p.Click("button", "Send the file")
		p.WantH1("Which column is which")
		p.WantText("crew.csv: People, 4 rows below the heads", "Such as 3/4/1991 · 3/4/1991 · 31.02.1988")
		p.WantSound()
		p.WantAccessible()
		p.Choose("Days such as 2/3/27", "day first: 2 March 2027")
		p.Click("button", "Judge the rows")
		p.WantText("2 of 4 rows can be taken", "A3", "may be Ottilie Vandersteen in row 2", "B4", "is not a day of the calendar")
		p.WantSound()
		p.WantAccessible()
		p.Click("button", "Bring in 2 rows")
		p.WantText("Say that you vouch for this file.")
		p.Check("I vouch for this file")
		p.Click("button", "Bring in 2 rows")
		p.WantH1("People, from crew.csv")
		p.WantText("2 taken, 2 refused", "Nothing rests on it so far.")
		p.WantSound()
		p.WantAccessible()
		p.Go("/people?q=Vandersteen")
		p.Click("link", "Ottilie Vandersteen")
		p.WantText("Not first-hand: row 2 of crew.csv")
		p.WantSound()
		p.Go("/import")
		p.Click("link", "People, from crew.csv")
		p.Click("button", "Take the whole file back")
		p.WantText("The file was taken back as a whole.")
		p.Go("/people?q=Vandersteen")
		p.WantNoText("Ottilie Vandersteen")
	})
}

// alike is a list of one person under two spellings, which only a person can tell.
const alike = "Name;Geburtsdatum\nRosalind Umber;29.02.1996\nRosalynde Umber;\n"

// TestTwoPeopleAlikeAreJoinedAndPartedAgain brings in one person twice, joins the
// two, and takes the join back.
func TestTwoPeopleAlikeAreJoinedAndPartedAgain(t *testing.T) {
	t.Parallel()
	file := filepath.Join(t.TempDir(), "alike.csv")
	if err := os.WriteFile(file, []byte(alike), 0o600); err != nil {
		t.Fatal(err)
	}
	walk(t, EveryWay, func(t *testing.T, demo *Program, look Look) {
		p := demo.Open(t, look)
		p.SignIn("administrator")
		p.Go("/import")
		p.Choose("What it lists", "People")
		p.choose(file)
		p.Click("button", "Send the file")
		p.Click("button", "Judge the rows")
		p.WantText("2 of 2 rows can be taken")
		p.Check("I vouch for this file")
		p.Click("button", "Bring in 2 rows")
		p.Go("/import/alike")
		p.WantH1("People who may be one")
		p.WantText("Rosalind Umber", "born Thu 29 Feb 1996", "Rosalynde Umber", "no birth date")
		p.WantSound()
		p.WantAccessible()
		p.Click("button", "One person: keep Rosalind Umber and join Rosalynde Umber")
		p.WantText("Joined. It can be undone below.", "Rosalynde Umber is Rosalind Umber")
		p.WantNoText("One person: keep Rosalind Umber")
		p.WantSound()
		p.WantAccessible()
		p.Go("/people?q=Umber")
		p.WantText("Rosalind Umber")
		p.WantNoText("Rosalynde Umber")
		p.Go("/import/alike")
		p.Click("button", "They are two after all Rosalynde Umber")
		p.WantText("They are two again.", "One person: keep Rosalind Umber", "Nobody was joined.")
		p.WantSound()
		p.Go("/people?q=Umber")
		p.WantText("Rosalind Umber", "Rosalynde Umber")
	})
}
