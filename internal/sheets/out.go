package sheets

import (
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"rungbook/internal/civil"
)

// List is a list to be taken out: what it is, under which filters, and its rows.
// A value is text, a whole number (int), a day (civil.Day, 0 = none) or a moment
// (Moment); nothing else.
type List struct {
	Title string
	About []string // who took it out, as of when, under which filters
	Heads []string
	Rows  [][]any
}

// Moment is an instant in the zone it is shown in.
type Moment struct {
	At   civil.Instant // 0 = none
	Zone civil.Zone
}

// Formats lists the forms a list can be written in.
func Formats() []string { return []string{"csv", "xlsx", "json"} }

// Write writes a list in one of the formats.
func (l List) Write(w io.Writer, format string) error {
	switch format {
	case "csv":
		return l.writeCSV(w)
	case "xlsx":
		return l.writeWorkbook(w)
	case "json":
		return l.writeJSON(w)
	}
	panic("sheets: " + format + " is none of Formats")
}

// writeCSV writes RFC 4180 in UTF-8, with a mark at the beginning by which office
// programs know the encoding. What it is about stands above the heads.
func (l List) writeCSV(w io.Writer) error {
	if _, err := io.WriteString(w, "\ufeff"); err != nil {
		return err
	}
	out := csv.NewWriter(w)
	out.UseCRLF = true
	for _, line := range append([]string{l.Title}, l.About...) {
		if err := out.Write([]string{harmless(line)}); err != nil {
			return err
		}
	}
	row := make([]string, len(l.Heads))
	for i, h := range l.Heads {
		row[i] = harmless(h)
	}
	if err := out.Write(row); err != nil {
		return err
	}
	for _, values := range l.Rows {
		for i, v := range values {
			row[i] = plainText(v)
			if _, typed := v.(string); typed {
				row[i] = harmless(row[i])
			}
		}
		if err := out.Write(row); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// formulaBegins are the first letters that office programs take for a formula, those
// of East Asian keyboards among them.
const formulaBegins = "=+-@\t\r\n＝＋－＠"

// harmless puts an apostrophe before text that an office program would take for a
// formula, and so run.
func harmless(s string) string {
	if first, _ := utf8.DecodeRuneInString(s); s != "" && strings.ContainsRune(formulaBegins, first) {
		return "'" + s
	}
	return s
}

// plainText is a value as text: days and moments by ISO 8601.
func plainText(v any) string {
	switch v := v.(type) {
	case string:
		return v
	case int:
		return strconv.Itoa(v)
	case civil.Day:
		if v == 0 {
			return ""
		}
		return v.String()
	case Moment:
		if v.At == 0 {
			return ""
		}
		return v.Zone.Format(v.At)
	}
	panic(fmt.Sprintf("sheets: %T is no value of a list", v))
}

// writeJSON writes one object: title, about, and rows with the heads as names.
func (l List) writeJSON(w io.Writer) error {
	rows := make([]map[string]any, 0, len(l.Rows))
	for _, values := range l.Rows {
		row := make(map[string]any, len(values))
		for i, v := range values {
			row[l.Heads[i]] = plainText(v)
			if n, number := v.(int); number {
				row[l.Heads[i]] = n
			}
		}
		rows = append(rows, row)
	}
	out := json.NewEncoder(w)
	out.SetIndent("", " ")
	return out.Encode(map[string]any{"title": l.Title, "about": l.About, "heads": l.Heads, "rows": rows})
}

// writeWorkbook writes an XLSX: the rows on the first sheet, with the heads frozen
// and typed cells, and what it is about on the second. Text is stored as text, so
// that nothing is ever a formula.
func (l List) writeWorkbook(w io.Writer) (err error) {
	f := excelize.NewFile()
	defer func() { err = errors.Join(err, f.Close()) }()
	const first, second = "List", "About"
	if err := f.SetSheetName("Sheet1", first); err != nil {
		return err
	}
	if _, err := f.NewSheet(second); err != nil {
		return err
	}
	for i, line := range append([]string{l.Title}, l.About...) {
		if err := f.SetCellStr(second, fmt.Sprintf("A%d", i+1), line); err != nil {
			return err
		}
	}
	styles, err := newStyles(f)
	if err != nil {
		return err
	}
	out, err := f.NewStreamWriter(first)
	if err != nil {
		return err
	}
	if err := out.SetColWidth(1, max(1, len(l.Heads)), 22); err != nil {
		return err
	}
	if err := out.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}); err != nil {
		return err
	}
	row := make([]any, len(l.Heads))
	for i, h := range l.Heads {
		row[i] = excelize.Cell{StyleID: styles.head, Value: h}
	}
	if err := out.SetRow("A1", row); err != nil {
		return err
	}
	for n, values := range l.Rows {
		for i, v := range values {
			row[i] = styles.cell(v)
		}
		if err := out.SetRow(fmt.Sprintf("A%d", n+2), row); err != nil {
			return err
		}
	}
	if err := out.Flush(); err != nil {
		return err
	}
	return f.Write(w)
}

// styles are the numbers of a workbook's cell styles.
type styles struct{ head, day, moment int }

func newStyles(f *excelize.File) (s styles, err error) {
	day, moment := "yyyy-mm-dd", "yyyy-mm-dd hh:mm"
	for _, x := range []struct {
		to    *int
		style excelize.Style
	}{
		{&s.head, excelize.Style{Font: &excelize.Font{Bold: true}}},
		{&s.day, excelize.Style{CustomNumFmt: &day}},
		{&s.moment, excelize.Style{CustomNumFmt: &moment}},
	} {
		if *x.to, err = f.NewStyle(&x.style); err != nil {
			return s, err
		}
	}
	return s, nil
}

// cell types a value. A workbook knows no zones: a moment is the yard's wall clock.
func (s styles) cell(v any) any {
	switch v := v.(type) {
	case civil.Day:
		if v != 0 {
			y, m, d := v.Date()
			return excelize.Cell{StyleID: s.day, Value: time.Date(y, m, d, 0, 0, 0, 0, time.UTC)}
		}
		return nil
	case Moment:
		if v.At != 0 {
			y, m, d := v.Zone.DayOf(v.At).Date()
			clock := v.Zone.Clock(v.At)
			return excelize.Cell{StyleID: s.moment, Value: time.Date(y, m, d, int(clock/60), int(clock%60), 0, 0, time.UTC)}
		}
		return nil
	}
	return v
}
