package sheets

import (
	"errors"
	"fmt"
	"io"
	"strconv"
	"time"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"rungbook/internal/civil"
)

// Limits of a workbook, as ECMA-376 readers keep them.
const (
	bookRows = 1 << 20 // of a sheet
	cellText = 32767   // letters of a cell
)

// tooLong ends a text that a cell does not hold whole.
const tooLong = " … (a cell holds no more; the CSV and JSON files have it whole)"

// bookOut writes an XLSX: each list on a sheet of its own, with frozen heads and
// typed cells, and on the last what the file is about. Text is stored as text, so that
// nothing is ever a formula. What a sheet can't hold goes on on the next.
type bookOut struct {
	frame
	w      io.Writer
	book   *excelize.File
	styles styles
	about  []string
	sheet  *excelize.StreamWriter
	name   string // of the list
	sheets int    // of the list
	row    int    // written last; 1 = heads
	most   int    // rows a sheet holds
	cells  []any
}

func newBookOut(w io.Writer, title string, about []string) (*bookOut, error) {
	o := &bookOut{w: w, book: excelize.NewFile(), about: append([]string{title}, about...), most: bookRows}
	var err error
	if o.styles, err = newStyles(o.book); err != nil {
		return nil, errors.Join(err, o.book.Close())
	}
	return o, nil
}

// The sheet of a file's only list, the one of what the file is about, and the one
// that a new workbook has.
const onlySheet, aboutSheet, givenSheet = "List", "About", "Sheet1"

func (o *bookOut) Part(name string, heads ...string) error {
	o.begin(heads)
	if o.name, o.sheets = name, 0; name == "" {
		o.name = onlySheet
	}
	return o.next()
}

// next begins a sheet, the first of a list or one on which it goes on.
func (o *bookOut) next() error {
	if err := o.flush(); err != nil {
		return err
	}
	o.sheets++
	name := o.name
	if o.sheets > 1 {
		name += " " + strconv.Itoa(o.sheets)
	}
	if _, err := o.book.NewSheet(name); err != nil {
		return err
	}
	var err error
	if o.sheet, err = o.book.NewStreamWriter(name); err != nil {
		return err
	}
	if err := o.sheet.SetColWidth(1, max(1, len(o.heads)), 22); err != nil {
		return err
	}
	if err := o.sheet.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}); err != nil {
		return err
	}
	o.cells, o.row = make([]any, len(o.heads)), 1
	for i, h := range o.heads {
		o.cells[i] = excelize.Cell{StyleID: o.styles.head, Value: h}
	}
	return o.sheet.SetRow("A1", o.cells)
}

func (o *bookOut) flush() error {
	if o.sheet == nil {
		return nil
	}
	return o.sheet.Flush()
}

func (o *bookOut) Row(values ...any) error {
	if err := o.fits(values); err != nil {
		return err
	}
	if o.row == o.most {
		if err := o.next(); err != nil {
			return err
		}
	}
	o.row++
	for i, v := range values {
		o.cells[i] = o.styles.cell(v)
	}
	return o.sheet.SetRow("A"+strconv.Itoa(o.row), o.cells)
}

func (o *bookOut) Close() (err error) {
	defer func() { err = errors.Join(err, o.book.Close()) }()
	if err := o.flush(); err != nil {
		return err
	}
	if _, err := o.book.NewSheet(aboutSheet); err != nil {
		return err
	}
	if o.parts > 0 {
		if err := o.book.DeleteSheet(givenSheet); err != nil {
			return err
		}
	}
	for i, line := range o.about {
		if err := o.book.SetCellStr(aboutSheet, fmt.Sprintf("A%d", i+1), line); err != nil {
			return err
		}
	}
	return o.book.Write(o.w)
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
	case int, int64:
		return v
	}
	return fitting(plainText(v))
}

// fitting is a text as far as a cell holds it, saying so where it is cut.
func fitting(s string) string {
	if len(s) <= cellText || utf8.RuneCountInString(s) <= cellText {
		return s
	}
	return string([]rune(s)[:cellText-utf8.RuneCountInString(tooLong)]) + tooLong
}
