package sheets

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"io"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"
	"pgregory.net/rapid"

	"rungbook/internal/civil"
)

func dublin(t *testing.T) civil.Zone {
	t.Helper()
	z, err := civil.LoadZone("Europe/Dublin")
	if err != nil {
		t.Fatal(err)
	}
	return z
}

// listed is a file of one list.
type listed struct {
	title        string
	about, heads []string
	rows         [][]any
}

func (l listed) write(w io.Writer, format string) error {
	o, err := NewOut(w, format, l.title, l.about...)
	if err != nil {
		return err
	}
	if err := o.Part("", l.heads...); err != nil {
		return err
	}
	for _, r := range l.rows {
		if err := o.Row(r...); err != nil {
			return err
		}
	}
	return o.Close()
}

// sample is a list with a value of each kind, and text that would be a formula.
func sample(t *testing.T) listed {
	z := dublin(t)
	day, err := civil.ParseDay("2027-07-01")
	if err != nil {
		t.Fatal(err)
	}
	return listed{title: "People", about: []string{"As of today", "=1+1"}, heads: []string{"Name", "Hours", "Last valid day", "Start"},
		rows: [][]any{{"=HYPERLINK(\"http://a\")", -7, day, Moment{z.At(day, 8*60+15), z}}, {"O'Rourke, \"Nell\"\nTwo", 0, civil.Day(0), Moment{0, z}}}}
}

func TestAListAsValuesKeepsNumbersAndDaysAndRunsNothing(t *testing.T) {
	var b bytes.Buffer
	if err := sample(t).write(&b, "csv"); err != nil {
		t.Fatal(err)
	}
	text, marked := strings.CutPrefix(b.String(), "\ufeff")
	if !marked || !strings.Contains(text, "\r\n") {
		t.Errorf("no mark of its encoding, or other line ends: %q", text)
	}
	r := csv.NewReader(strings.NewReader(text))
	r.FieldsPerRecord = -1
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	want := [][]string{{"People"}, {"As of today"}, {"'=1+1"}, {"Name", "Hours", "Last valid day", "Start"},
		{"'=HYPERLINK(\"http://a\")", "-7", "2027-07-01", "2027-07-01T08:15:00+01:00"}, {"O'Rourke, \"Nell\"\nTwo", "0", "", ""}}
	for i := range want {
		if i >= len(rows) || strings.Join(rows[i], "|") != strings.Join(want[i], "|") {
			t.Fatalf("row %d of %q, want %q", i, rows, want)
		}
	}
}

func TestAListAsAWorkbookHasTypedCellsAFrozenHeadAndNoFormula(t *testing.T) {
	var b bytes.Buffer
	if err := sample(t).write(&b, "xlsx"); err != nil {
		t.Fatal(err)
	}
	f, err := excelize.OpenReader(&b)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for cell, want := range map[string]string{"A1": "Name", "A2": "=HYPERLINK(\"http://a\")", "B2": "-7", "C2": "2027-07-01", "D2": "2027-07-01 08:15", "C3": "", "D3": ""} {
		got, err := f.GetCellValue("List", cell)
		formula, err2 := f.GetCellFormula("List", cell)
		if got != want || formula != "" || err != nil || err2 != nil {
			t.Errorf("%s is %q, formula %q, %v, %v; want %q", cell, got, formula, err, err2, want)
		}
	}
	for cell, want := range map[string]excelize.CellType{"A2": excelize.CellTypeInlineString, "B2": excelize.CellTypeUnset, "C2": excelize.CellTypeUnset} {
		if got, err := f.GetCellType("List", cell); err != nil || got != want {
			t.Errorf("%s is of type %v, %v, want %v", cell, got, err, want)
		}
	}
	if panes, err := f.GetPanes("List"); err != nil || !panes.Freeze || panes.YSplit != 1 {
		t.Errorf("%+v, %v", panes, err)
	}
	if about, err := f.GetCellValue("About", "A3"); err != nil || about != "=1+1" {
		t.Errorf("about: %q, %v", about, err)
	}
}

func TestAListAsJSONNamesItsValues(t *testing.T) {
	var b bytes.Buffer
	if err := sample(t).write(&b, "json"); err != nil {
		t.Fatal(err)
	}
	var got struct {
		Title string
		About []string
		Rows  []map[string]any
	}
	if err := json.Unmarshal(b.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	if got.Title != "People" || len(got.About) != 2 || got.Rows[0]["Hours"] != -7.0 || got.Rows[0]["Last valid day"] != "2027-07-01" || got.Rows[0]["Name"] != "=HYPERLINK(\"http://a\")" {
		t.Errorf("%+v", got)
	}
}

func TestNoTextOfAListBeginsLikeAFormula(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOf(rapid.RuneFrom([]rune("=+-@\t\r＝＋－＠ab1 ',\"\n;"))).Draw(t, "text")
		var b bytes.Buffer
		if err := (listed{title: "T", heads: []string{"H"}, rows: [][]any{{text}}}).write(&b, "csv"); err != nil {
			t.Fatal(err)
		}
		r := csv.NewReader(strings.NewReader(strings.TrimPrefix(b.String(), "\ufeff")))
		rows, err := r.ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		if len(rows) < 3 {
			return // an empty line is no row
		}
		if got := rows[2][0]; got != "" && strings.ContainsRune("=+-@\t\r\n＝＋－＠", []rune(got)[0]) {
			t.Errorf("%q came out as %q", text, got)
		}
	})
}
