package sheets

import (
	"archive/zip"
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"rungbook/internal/fault"
)

// book writes a workbook with a second program's hand.
func book(t testing.TB, fill func(*excelize.File)) []byte {
	t.Helper()
	f := excelize.NewFile()
	defer f.Close()
	fill(f)
	b, err := f.WriteToBuffer()
	if err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func set(t testing.TB, f *excelize.File, cell string, value any) {
	t.Helper()
	if err := f.SetCellValue("Sheet1", cell, value); err != nil {
		t.Fatal(err)
	}
}

// parts packs a workbook by hand.
func parts(t testing.TB, sheet string, more ...string) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	all := append([]string{
		"xl/workbook.xml", `<workbook xmlns:r="r"><workbookPr date1904="1"/><sheets><sheet name="List" sheetId="1" r:id="r1"/></sheets></workbook>`,
		"xl/_rels/workbook.xml.rels", `<Relationships><Relationship Id="r1" Target="worksheets/sheet1.xml"/></Relationships>`,
		"xl/worksheets/sheet1.xml", sheet,
	}, more...)
	for i := 0; i < len(all); i += 2 {
		w, err := z.Create(all[i])
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write([]byte(all[i+1])); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestAWorkbooksCellsKeepWhatTheyAre(t *testing.T) {
	data := book(t, func(f *excelize.File) {
		set(t, f, "A1", "Name")
		set(t, f, "A2", "Ingrid  Vale ")
		set(t, f, "B2", 12.5)
		set(t, f, "C2", true)
		style, err := f.NewStyle(&excelize.Style{NumFmt: 14})
		if err != nil {
			t.Fatal(err)
		}
		set(t, f, "D2", 46083)
		format := `"day" 0.00`
		other, err := f.NewStyle(&excelize.Style{CustomNumFmt: &format})
		if err != nil {
			t.Fatal(err)
		}
		set(t, f, "G2", 7)
		for _, err := range []error{
			f.SetCellStyle("Sheet1", "D2", "D2", style), f.SetCellStyle("Sheet1", "G2", "G2", other),
			f.SetCellFormula("Sheet1", "E2", "B2*2"), f.MergeCell("Sheet1", "A4", "B5"),
			f.SetRowVisible("Sheet1", 3, false), f.SetColVisible("Sheet1", "F", false),
		} {
			if err != nil {
				t.Fatal(err)
			}
		}
		set(t, f, "A3", "hidden")
		set(t, f, "A4", "merged")
	})
	got, err := Read(data, Options{})
	if err != nil {
		t.Fatal(err)
	}
	want := []Cell{{"Ingrid Vale", Text}, {"12.5", Number}, {"1", Truth}, {"46083", Date}, {"", Formula}, {}, {"7", Number}}
	if len(got.Rows) != 4 || fmt.Sprint(got.Rows[1].Cells) != fmt.Sprint(want) {
		t.Fatalf("got %+v", got.Rows)
	}
	if !got.Rows[2].Hidden || got.Rows[1].Hidden || !got.Hidden[5] || got.Hidden[4] {
		t.Errorf("hidden rows or columns: got %+v, %v", got.Rows, got.Hidden)
	}
	if c := got.Rows[3].Cells; c[0] != (Cell{"merged", Merged}) || c[1] != (Cell{"", Merged}) {
		t.Errorf("merged: got %+v", c)
	}
}

func TestTheTwoReadersOfWorkbooksAgree(t *testing.T) {
	data := book(t, func(f *excelize.File) {
		for r := 1; r <= 60; r++ {
			for c := 1; c <= 7; c++ {
				cell, err := excelize.CoordinatesToCellName(c, r)
				if err != nil {
					t.Fatal(err)
				}
				set(t, f, cell, []any{fmt.Sprintf("värde %d", r*c), r * c, float64(r) / 7, "x"}[(r+c)%4])
			}
		}
	})
	got, err := Read(data, Options{})
	if err != nil {
		t.Fatal(err)
	}
	f, err := excelize.OpenReader(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	want, err := f.GetRows("Sheet1", excelize.Options{RawCellValue: true})
	if err != nil {
		t.Fatal(err)
	}
	for i, row := range want {
		for j, value := range row {
			if got.Rows[i].Cell(j).Text != value {
				t.Errorf("%s: got %q, want %q", Address(j, i+1), got.Rows[i].Cell(j).Text, value)
			}
		}
	}
}

func TestAWorkbookThatCouldHarmIsRefused(t *testing.T) {
	const row = `<worksheet><sheetData><row r="1"><c r="A1"><v>1</v></c></row></sheetData></worksheet>`
	long := strings.Repeat("a", maxText+1)
	cases := []struct {
		name string
		data []byte
		want string
	}{
		{"macros", parts(t, row, "xl/vbaProject.bin", "x"), "The workbook holds macros. Save it as .xlsx, without macros."},
		{"links to other files", parts(t, row, "xl/externalLinks/externalLink1.xml", "<a/>"), "The workbook takes values from other files. Paste them as values and save it again."},
		{"data from elsewhere", parts(t, row, "xl/connections.xml", "<a/>"), "The workbook fetches data from elsewhere. Paste it as values and save it again."},
		{"another file inside", parts(t, row, "xl/embeddings/a.bin", "x"), "Other files are embedded in the workbook. Take them out and save it again."},
		{"a bomb", parts(t, row, "xl/sharedStrings.xml", strings.Repeat(" ", 40<<20)), "Unpacked, the workbook is larger than a list can be. Copy the list, as values, into a new workbook."},
		{"a part twice", parts(t, row, "XL/Workbook.xml", "<a/>"), `The workbook is damaged: it holds "XL/Workbook.xml" twice.`},
		{"a million columns", parts(t, `<worksheet><row r="1"><c r="XFD1"><v>1</v></c></row></worksheet>`), "XFD1: the list has more than 200 columns. Take out those that are not needed."},
		{"beyond the last column", parts(t, `<worksheet><row r="1"><c r="BBBBB1"><v>1</v></c></row></worksheet>`), `The workbook is damaged: cell "BBBBB1" stands in the wrong place.`},
		{"rows in the wrong order", parts(t, `<worksheet><row r="2"><c><v>1</v></c></row><row r="1"/></worksheet>`), `The workbook is damaged: row "1" stands in the wrong place.`},
		{"a text that is missing", parts(t, `<worksheet><row r="1"><c r="A1" t="s"><v>5</v></c></row></worksheet>`), "A1: the workbook is damaged: the cell's text is missing."},
		{"a long text", parts(t, `<worksheet><row r="1"><c r="B1" t="str"><v>`+long+`</v></c></row></worksheet>`), "B1: the cell holds more than 4096 characters."},
		{"an entity of its own", parts(t, `<!DOCTYPE a [<!ENTITY b "c">]><worksheet><row r="1"><c r="A1" t="str"><v>&b;</v></c></row></worksheet>`), "The workbook is damaged: xl/worksheets/sheet1.xml can't be read."},
		{"no workbook", parts(t, row)[:40], "The workbook is damaged: it can't be unpacked."},
	}
	for _, c := range cases {
		_, err := Read(c.data, Options{})
		if fault.Of(err) != fault.Invalid || fault.Message(err) != c.want {
			t.Errorf("%s: got %v, want %q", c.name, err, c.want)
		}
	}
	got, err := Read(parts(t, row), Options{})
	if err != nil || !got.Since1904 || got.Rows[0].Cells[0] != (Cell{"1", Number}) || got.Sheet != "List" {
		t.Errorf("a plain one: got %+v, %v", got, err)
	}
}

func TestSizesThatAFileOnlyClaimsDontCount(t *testing.T) {
	const claimed = 100
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, p := range []struct{ name, text string }{
		{"xl/workbook.xml", `<workbook><sheets><sheet name="a" id="r"/></sheets></workbook>`},
		{"xl/_rels/workbook.xml.rels", `<r><Relationship Id="r" Target="s.xml"/></r>`},
	} {
		w, err := z.Create(p.name)
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprint(w, p.text)
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	left := int64(claimed)
	r := bounded{strings.NewReader(strings.Repeat("a", claimed+1)), &left}
	if _, err := new(bytes.Buffer).ReadFrom(r); err != errTooLarge {
		t.Errorf("got %v, want it stopped beyond %d bytes", err, claimed)
	}
	left = claimed
	if _, err := new(bytes.Buffer).ReadFrom(bounded{strings.NewReader(strings.Repeat("a", claimed)), &left}); err != nil {
		t.Errorf("exactly %d bytes: got %v", claimed, err)
	}
	if _, err := Read(b.Bytes(), Options{}); fault.Of(err) != fault.Invalid {
		t.Errorf("a sheet that is not there: got %v, want a refusal", err)
	}
}

func FuzzWorkbook(f *testing.F) {
	f.Add([]byte(`<worksheet><cols><col min="1" max="3" hidden="1"/></cols><row r="1"><c r="A1" t="inlineStr"><is><t>a</t></is></c><c t="s"><v>0</v></c></row><mergeCell ref="A1:B9"/></worksheet>`), []byte(`<sst><si><t>x</t><rPh><t>y</t></rPh></si></sst>`))
	f.Add([]byte(`<row><c r="A1"><f>1+1</f><v>2</v></c><c t="e"><v>#REF!</v></c></row><mergeCell ref="A1:XFD1048576"/>`), []byte(`<si><t>`))
	f.Add([]byte(`<row r="1048576"><c s="99999999999"><v>1</v></c></row>`), []byte(``))
	f.Fuzz(func(t *testing.T, sheet, texts []byte) {
		got, err := Read(parts(t, string(sheet), "xl/sharedStrings.xml", string(texts)), Options{})
		if err != nil {
			if fault.Of(err) != fault.Invalid {
				t.Fatalf("got %v, want a refusal", err)
			}
			return
		}
		last := 0
		for _, r := range got.Rows {
			if r.Number <= last || len(r.Cells) > MaxColumns || r.Blank() {
				t.Fatalf("got row %d after %d with %d cells", r.Number, last, len(r.Cells))
			}
			last = r.Number
		}
	})
}

// A list of 100,000 rows with ten columns, as a benchmark of time and memory.
func BenchmarkHundredThousandRows(b *testing.B) {
	f := excelize.NewFile()
	w, err := f.NewStreamWriter("Sheet1")
	if err != nil {
		b.Fatal(err)
	}
	for r := 1; r <= MaxRows; r++ {
		row := make([]any, 10)
		for c := range row {
			row[c] = fmt.Sprintf("value %d of %d", c, r)
		}
		if err := w.SetRow(fmt.Sprintf("A%d", r), row); err != nil {
			b.Fatal(err)
		}
	}
	if err := w.Flush(); err != nil {
		b.Fatal(err)
	}
	data, err := f.WriteToBuffer()
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if got, err := Read(data.Bytes(), Options{}); err != nil || len(got.Rows) != MaxRows {
			b.Fatal(err)
		}
	}
}
