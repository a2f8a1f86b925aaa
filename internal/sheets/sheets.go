// Package sheets reads spreadsheets that offices keep: workbooks (XLSX, ISO/IEC
// 29500) and lists of values (CSV, RFC 4180 and its many habits). It knows cells
// and their addresses, encodings, separators and how days, times and numbers are
// written. It does not know what a list is about.
//
// What it can't read for certain it does not guess: a formula, a merged or hidden
// cell and an ambiguous day stay marked, and whoever asks refuses them. Files
// that could harm are refused before they are unpacked.
//
// Read sheets.go first, then day.go for how a day is read.
package sheets

import (
	"strconv"
	"strings"

	"rungbook/internal/fault"
)

// Limits of a file. A list of 100,000 rows with a dozen columns stays well below.
const (
	MaxBytes    = 32 << 20  // of the file
	maxUnpacked = 256 << 20 // of all parts of a workbook
	maxRatio    = 100       // unpacked to packed; text of cells packs 10 to 40 times
	maxParts    = 1000      // of a workbook
	MaxRows     = 100_001   // a line of heads and the rows below it
	MaxColumns  = 200
	maxText     = 4096 // bytes of one cell
	lastRow     = 1_048_576
	lastColumn  = 16_384
)

// Kind says what stands in a cell.
type Kind int

// The kinds of cells. Formula, Error and Merged have no value to rely on.
const (
	Empty   Kind = iota
	Text         // typed text; in a CSV every value
	Number       // a number of a workbook
	Date         // a number of a workbook shown as a day or time
	Truth        // TRUE or FALSE of a workbook: text 1 or 0
	Formula      // a formula; the text is what was last worked out
	Error        // an error value such as #REF!
	Merged       // part of a merged range
)

// Cell is one cell: its text as stored, without space around it.
type Cell struct {
	Text string
	Is   Kind
}

// Row is one row. Number counts from 1 as spreadsheets show it.
type Row struct {
	Number int
	Cells  []Cell
	Hidden bool
}

// Cell returns a cell of the row by its place from 0; empty beyond the last.
func (r Row) Cell(column int) Cell {
	if column < 0 || column >= len(r.Cells) {
		return Cell{}
	}
	return r.Cells[column]
}

// Blank reports whether no cell of the row holds anything.
func (r Row) Blank() bool {
	for _, c := range r.Cells {
		if c.Is != Empty {
			return false
		}
	}
	return true
}

// Options are what a person sets where a file does not say it itself; "" = look.
type Options struct {
	Encoding  string // one of Encodings; of a CSV
	Separator string // one of Separators; of a CSV
	Sheet     string // name of the sheet; the first visible one where empty
}

// Table is one sheet as read, with how it was read.
type Table struct {
	Rows      []Row
	Hidden    map[int]bool // columns that are hidden, from 0
	Sheet     string       // that was read
	Sheets    []string     // all that can be chosen; none for a CSV
	Encoding  string       // of a CSV
	Separator string       // of a CSV
	Since1904 bool         // a workbook that counts days from 1904
}

// Read reads a file. Errors are fault.Invalid with one sentence that names the
// cell or part, for the person who chose the file.
func Read(data []byte, how Options) (*Table, error) {
	switch {
	case len(data) == 0:
		return nil, refuse("The file is empty.")
	case len(data) > MaxBytes:
		return nil, refuse("The file has more than %d MB. Split it, or take out what is not needed.", MaxBytes>>20)
	case strings.HasPrefix(string(data[:min(8, len(data))]), "\xD0\xCF\x11\xE0"):
		return nil, refuse("This is a workbook of the old form (.xls), or one with a password. Save it as .xlsx without a password.")
	case strings.HasPrefix(string(data[:min(4, len(data))]), "PK\x03\x04"), strings.HasPrefix(string(data[:min(4, len(data))]), "PK\x05\x06"):
		return readWorkbook(data, how)
	}
	return readCSV(data, how)
}

func refuse(format string, args ...any) error { return fault.New(fault.Invalid, format, args...) }

// Column returns the letters of a column, from 0: A, B, … Z, AA.
func Column(column int) string {
	s := ""
	for column++; column > 0; column = (column - 1) / 26 {
		s = string(rune('A'+(column-1)%26)) + s
	}
	return s
}

// Address returns a cell's address, such as C12.
func Address(column, row int) string { return Column(column) + strconv.Itoa(row) }

// placeOf reads an address; ok is false for anything else.
func placeOf(address string) (column, row int, ok bool) {
	i := 0
	for ; i < len(address) && address[i] >= 'A' && address[i] <= 'Z'; i++ {
		if column = column*26 + int(address[i]-'A') + 1; column > lastColumn {
			return 0, 0, false
		}
	}
	row, err := strconv.Atoi(address[i:])
	if i == 0 || err != nil || row < 1 || row > lastRow || address[i] == '+' {
		return 0, 0, false
	}
	return column - 1, row, true
}

// put sets a cell of a row; the row grows as needed.
func (r *Row) put(column int, c Cell) {
	for len(r.Cells) <= column {
		r.Cells = append(r.Cells, Cell{})
	}
	r.Cells[column] = c
}

// check refuses a cell beyond the limits.
func check(column, row int, text string) error {
	if column >= MaxColumns {
		return refuse("%s: the list has more than %d columns. Take out those that are not needed.", Address(column, row), MaxColumns)
	}
	if len(text) > maxText {
		return refuse("%s: the cell holds more than %d characters.", Address(column, row), maxText)
	}
	return nil
}

// add takes a row that holds something into the table.
func (t *Table) add(r Row) error {
	if r.Blank() {
		return nil
	}
	if len(t.Rows) >= MaxRows {
		return refuse("Row %d: the list has more than %d rows. Bring it in in parts.", r.Number, MaxRows-1)
	}
	t.Rows = append(t.Rows, r)
	return nil
}
