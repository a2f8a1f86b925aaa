package sheets

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"
	"pgregory.net/rapid"
)

// several writes a file of two lists, the second without a row.
func several(t *testing.T, format string) *bytes.Buffer {
	t.Helper()
	var b bytes.Buffer
	o, err := NewOut(&b, format, "A person", "As of today")
	if err != nil {
		t.Fatal(err)
	}
	for _, do := range []func() error{
		func() error { return o.Part("Sessions", "Day", "Hours") }, func() error { return o.Row("Mon", 3) }, func() error { return o.Row("Tue", int64(4)) },
		func() error { return o.Part("Results", "Outcome") }, o.Close,
	} {
		if err := do(); err != nil {
			t.Fatal(err)
		}
	}
	return &b
}

func TestAFileOfSeveralListsKeepsThemApart(t *testing.T) {
	var got struct {
		Parts []struct {
			Name  string
			Heads []string
			Rows  []map[string]any
		}
	}
	if err := json.Unmarshal(several(t, "json").Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	if len(got.Parts) != 2 || got.Parts[0].Name != "Sessions" || len(got.Parts[0].Rows) != 2 || got.Parts[0].Rows[1]["Hours"] != 4.0 || got.Parts[1].Heads[0] != "Outcome" || len(got.Parts[1].Rows) != 0 {
		t.Errorf("as JSON: %+v", got)
	}
	r := csv.NewReader(several(t, "csv"))
	r.FieldsPerRecord = -1
	rows, err := r.ReadAll()
	if err != nil || len(rows) != 8 || rows[2][0] != "Sessions" || rows[6][0] != "Results" {
		t.Errorf("as CSV: %q, %v", rows, err)
	}
	f, err := excelize.OpenReader(several(t, "xlsx"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if names := strings.Join(f.GetSheetList(), ","); names != "Sessions,Results,About" {
		t.Errorf("sheets %s", names)
	}
}

func TestAWorkbookGoesOnOnTheNextSheetAndSaysWhereItCutsAText(t *testing.T) {
	var b bytes.Buffer
	o, err := newBookOut(&b, "Long", nil)
	if err != nil {
		t.Fatal(err)
	}
	o.most = 3
	if err := o.Part("", "Name"); err != nil {
		t.Fatal(err)
	}
	long := strings.Repeat("ä", cellText)
	for _, text := range []string{"a", "b", long, long + "ä"} {
		if err := o.Row(text); err != nil {
			t.Fatal(err)
		}
	}
	if err := o.Close(); err != nil {
		t.Fatal(err)
	}
	f, err := excelize.OpenReader(&b)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	first, err := f.GetRows("List")
	if err != nil || len(first) != 3 {
		t.Errorf("%d rows, %v", len(first), err)
	}
	second, err := f.GetRows("List 2")
	if err != nil || len(second) != 3 || second[0][0] != "Name" || second[1][0] != long || !strings.HasSuffix(second[2][0], tooLong) {
		t.Errorf("the second sheet has %d rows, %v", len(second), err)
	}
}

func TestARowThatDoesNotFitItsHeadsIsNoRow(t *testing.T) {
	for _, format := range Formats() {
		o, err := NewOut(&bytes.Buffer{}, format, "T")
		if err != nil {
			t.Fatal(err)
		}
		if err := o.Row("before any part"); err == nil {
			t.Errorf("%s: a row before its heads is taken", format)
		}
		if err := o.Part("", "One", "Two"); err != nil {
			t.Fatal(err)
		}
		if err := o.Row("one"); err == nil {
			t.Errorf("%s: a row with a value too few is taken", format)
		}
		if err := o.Row("one", "two"); err != nil {
			t.Errorf("%s: %v", format, err)
		}
	}
}

func TestAnyTextComesBackFromAnyFormat(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		texts := rapid.SliceOfN(rapid.StringOf(rapid.RuneFrom([]rune("ab=+-@'\",;<>&\\{}[]äé \n"))), 1, 8).Draw(t, "texts")
		l := listed{title: "T", heads: []string{"Text", "Number"}}
		for i, text := range texts {
			l.rows = append(l.rows, []any{text, i})
		}
		var b bytes.Buffer
		if err := l.write(&b, "json"); err != nil {
			t.Fatal(err)
		}
		var got struct{ Rows []map[string]any }
		if err := json.Unmarshal(b.Bytes(), &got); err != nil || len(got.Rows) != len(texts) {
			t.Fatalf("%v in %s", err, b.String())
		}
		b.Reset()
		if err := l.write(&b, "xlsx"); err != nil {
			t.Fatal(err)
		}
		f, err := excelize.OpenReader(&b)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		for i, text := range texts {
			if got.Rows[i]["Text"] != text {
				t.Errorf("JSON has %q for %q", got.Rows[i]["Text"], text)
			}
			cell, _ := excelize.CoordinatesToCellName(1, i+2)
			if back, err := f.GetCellValue("List", cell); err != nil || back != text {
				t.Errorf("the workbook has %q for %q, %v", back, text, err)
			}
		}
	})
}
