package page

import (
	"strings"
	"testing"

	"github.com/a-h/templ"

	"rungbook/internal/verdict"
	"rungbook/web/ui"
)

// bringingPages are the pages on which lists that a centre kept come in.
func bringingPages() map[string]templ.Component {
	refused := sampleBringIn()
	refused.Bad = "The file holds macros. Save it without them, and look at it."
	refused.Form.Errors = []ui.FieldError{{Field: "file", Text: refused.Bad}}
	judging := Rows{Shell: sampleShell("set-up", "What each row would become"), Line: "crew.csv: People", Done: 4500, All: 100_000, Say: "4500 of 100000 rows judged", Columns: link("Set the columns again", "/import/files/f1"), Drop: sampleDrop()}
	none := sampleJudgedRows()
	none.Notices, none.Confirm, none.Changes = []ui.Notice{{Level: verdict.Stops, Text: "No row can be taken. Mend the file and send it again."}}, ui.Form{}, nil
	rested := sampleBatch()
	rested.Rests, rested.Back = []string{"trainee: 12 later records", "certificate: 1 later record"}, ui.Form{}
	return map[string]templ.Component{
		"import": BringInPage(sampleBringIn()), "import-refused": BringInPage(refused), "import-first": BringInPage(BringIn{Shell: sampleShell("set-up", "Bring in"), Form: sampleBringIn().Form, List: sampleBringIn().List, Largest: "32 MB"}),
		"import-columns": ColumnsPage(sampleColumns()), "import-rows": RowsPage(sampleJudgedRows()), "import-judging": RowsPage(judging), "import-no-row": RowsPage(none),
		"batch": BatchPage(sampleBatch()), "batch-rested-on": BatchPage(rested),
		"alike": AlikePage(sampleAlike()), "alike-none": AlikePage(Alike{Shell: sampleShell("set-up", "People who may be one")}),
	}
}

func sampleDrop() ui.Form {
	return ui.Form{Action: "/import/files/f1/drop", Key: "k9", Button: "Drop the file"}
}

func sampleBringIn() BringIn {
	return BringIn{
		Shell: sampleShell("set-up", "Bring in"), Form: ui.Form{Action: "/import", Button: "Send the file"}, Largest: "32 MB",
		List: ui.Field{Name: "list", Label: "What it lists", Kind: ui.Select, Required: true, Options: []ui.Option{{Value: "people", Label: "People", Chosen: true}, {Value: "sessions", Label: "Past sessions with attendance"}}},
		Batches: []BatchRow{
			{What: link("People, from crew-of-the-whole-yard-with-a-long-name.xlsx", "/import/batches/b1"), When: "Tue 2 Mar 09:40", By: "Ngozi Brennan", Rows: "12 taken, 3 refused"},
			{What: link("Certificates, from old.csv", "/import/batches/b2"), When: "Mon 1 Mar 17:05", By: "Ngozi Brennan", Rows: "4 taken, 0 refused", Back: "taken back"},
		},
	}
}

func sampleColumns() Columns {
	pick := func(name, label, hint, bad string) ui.Field {
		return ui.Field{Name: name, Label: label, Kind: ui.Select, Hint: hint, Error: bad, Options: []ui.Option{{Label: "none"}, {Value: "A", Label: "A: Name", Chosen: true}}}
	}
	p := Columns{
		Shell: sampleShell("set-up", "Which column is which"), Line: "crew.csv: People, 4 rows below the heads", Drop: sampleDrop(),
		Form: ui.Form{Action: "/import/files/f1", Key: "k1", Button: "Judge the rows", Lead: "Not judged. To mend:", Also: ui.Also{Text: "Show the file so", Action: "/import/files/f1"}},
		Groups: []FieldGroup{
			{Title: "Columns", Note: "Guessed from the heads, or as last time. Set what is wrong.", Fields: []ui.Field{pick("column_name", "Name (needed)", "Such as Ottilie Vandersteen", ""), pick("column_born", "Birth date", "", "Column A is chosen for Name already.")}},
			{Title: "How it is written", Fields: []ui.Field{pick("order", "Days such as 2/3/27", "", "")}},
		},
		Columns: []ColumnRow{{"A", "Name", "Ottilie Vandersteen · Casimir Holloway"}, {"B", "Geburtsdatum", "3/4/1991 · 31.02.1988"}, {"C", "", "hidden"}},
	}
	p.Form.Errors = ui.Errors(p.Groups[0].Fields)
	return p
}

func sampleJudgedRows() Rows {
	return Rows{
		Shell: sampleShell("set-up", "What each row would become"), Line: "crew.csv: People. 2 of 4 rows can be taken, 1 of them with caution; 2 are refused.",
		Changes: []ui.Fact{{Label: "Person", Value: link("2", "")}}, Columns: link("Set the columns again", "/import/files/f1"), Drop: sampleDrop(),
		Filters: []RowFilter{{Link: link("All rows", "/import/files/f1/rows?show=#rows"), Count: "4", Chosen: true}, {Link: link("Refused", "/import/files/f1/rows?show=refused#rows"), Count: "2"}},
		Shown:   "Rows by their number in the file",
		Rows: []RowVerdict{
			{Row: 2, Level: verdict.Clear, Answer: "taken", Says: "new person Ottilie Vandersteen, new employer Larkmoor Rotors"},
			{Row: 3, Level: verdict.Cautions, Answer: "taken with caution", Says: "new person Casimir Holloway", Remarks: []RowRemark{{"A3", "Somebody else called Casimir Holloway, born on 1979-05-04, stands in the records."}}},
			{Row: 4, Level: verdict.Stops, Answer: "refused", Says: "reads: Otilie Vandersteen · 3/4/1991", Remarks: []RowRemark{{"A4", "Otilie Vandersteen may be Ottilie Vandersteen in row 2, with another spelling."}, {"B4", "Birth date: “3/4/1991” can be two days; say whether day or month comes first."}}},
		},
		Pages:   ui.Pages{Shown: "Row 2 to 4"},
		Confirm: ui.Form{Action: "/import/files/f1/rows", Key: "k2", Button: "Bring in 2 rows", Hidden: []ui.Value{{Name: "taken", Value: "2"}}},
		Vouch:   ui.Field{Name: "vouch", Label: "What is taken is marked as not first-hand, with your name", Kind: ui.Checkboxes, Options: []ui.Option{{Value: "yes", Label: "I vouch for this file"}}},
	}
}

func sampleBatch() Batch {
	return Batch{
		Shell: sampleShell("set-up", "Batch"), Title: "People, from crew.csv", Line: "brought in Tue 2 Mar 09:40",
		Facts: []ui.Fact{{Label: "Vouched for by", Value: link("Ngozi Brennan", "")}, {Label: "SHA-256 of the file", Value: link(strings.Repeat("3e90e4d2fb6e17b2", 4), "")}},
		Back:  ui.Form{Action: "/import/batches/b1/take-back", Key: "k3", Grave: true, Button: "Take the whole file back"},
	}
}

func sampleAlike() Alike {
	one := AlikePerson{link("Rosalind Umber", "/people/p1"), "born Thu 29 Feb 1996", "number P-112"}
	other := AlikePerson{link("Rosalynde Umber-Vandersteen", "/people/p2"), "no birth date", "no number"}
	keep := func(kept, gone, key string) ui.Form {
		return ui.Form{Action: "/import/alike", Key: key, Button: "One person: keep " + kept, Unseen: "and join " + gone}
	}
	return Alike{
		Shell: sampleShell("set-up", "People who may be one"), Bad: "Both have a place in the same intake. They are two people, or one place is to be ended first.",
		Pairs: []AlikePair{{one, other, keep("Rosalind Umber", "Rosalynde Umber-Vandersteen", "k4"), keep("Rosalynde Umber-Vandersteen", "Rosalind Umber", "k5")}},
		Joins: []AlikeJoin{{link("Otilie Vandersteen is Ottilie Vandersteen", "/people/p3"), "joined Tue 2 Mar 09:40 by Ngozi Brennan", ui.Form{Action: "/import/alike/part", Key: "k6", Button: "They are two after all", Unseen: "Otilie Vandersteen"}}},
	}
}

func TestEachOfTwoPeopleAlikeCanBeKept(t *testing.T) {
	text := said(draw(t, bringingPages()["alike"]))
	for _, want := range []string{"One person: keep Rosalind Umber", "One person: keep Rosalynde Umber-Vandersteen", "They are two after all", "Both have a place in the same intake."} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not on the page:\n%s", want, text)
		}
	}
}
