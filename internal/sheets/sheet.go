package sheets

import (
	"cmp"
	"encoding/xml"
	"errors"
	"slices"
	"strconv"
	"strings"

	"rungbook/internal/fault"
)

func isRefusal(err error) bool { return fault.Of(err) == fault.Invalid }

// A sheetReader reads one sheet's cells as they come.
type sheetReader struct {
	book   *workbook
	table  *Table
	row    Row
	column int // of the next cell
	cell   rawCell
	inCell bool
	in     string // "v", "f" or "t" inside a cell
	rph    bool
	merged int // cells of merged ranges so far
}

// rawCell is a cell as it is written.
type rawCell struct {
	column       int
	kind, style  string
	value, typed string
	formula      bool
}

func (b *workbook) readSheet(t *Table, part string) error {
	if b.parts[strings.ToLower(part)] == nil {
		return refuse("The workbook is damaged: the sheet %q is missing.", t.Sheet)
	}
	r := &sheetReader{book: b, table: t}
	return b.each(part, r.token)
}

func (r *sheetReader) token(_ *xml.Decoder, token xml.Token) error {
	switch e := token.(type) {
	case xml.StartElement:
		return r.start(e)
	case xml.CharData:
		if !r.inCell || r.rph {
			return nil
		}
		switch r.in {
		case "v":
			r.cell.value += string(e)
		case "t":
			r.cell.typed += string(e)
		}
		if len(r.cell.value)+len(r.cell.typed) > 4*maxText {
			return check(r.cell.column, r.row.Number, r.cell.value+r.cell.typed)
		}
	case xml.EndElement:
		return r.end(e.Name.Local)
	}
	return nil
}

func (r *sheetReader) start(e xml.StartElement) error {
	switch e.Name.Local {
	case "row":
		number := r.row.Number + 1
		if text := attribute(e, "r"); text != "" {
			n, err := strconv.Atoi(text)
			if err != nil || n < number || n > lastRow {
				return refuse("The workbook is damaged: row %q stands in the wrong place.", text)
			}
			number = n
		}
		r.row, r.column = Row{Number: number, Hidden: isTrue(attribute(e, "hidden"))}, 0
	case "c":
		r.inCell, r.in = true, ""
		r.cell = rawCell{column: r.column, kind: attribute(e, "t"), style: attribute(e, "s")}
		if address := attribute(e, "r"); address != "" {
			column, row, ok := placeOf(address)
			if !ok || row != r.row.Number || column < r.column {
				return refuse("The workbook is damaged: cell %q stands in the wrong place.", address)
			}
			r.cell.column = column
		}
		r.column = r.cell.column + 1
	case "f":
		r.cell.formula = true
		r.in = "f"
	case "v", "t":
		r.in = e.Name.Local
	case "rPh":
		r.rph = true
	case "col":
		return r.hide(e)
	case "mergeCell":
		return r.merge(attribute(e, "ref"))
	}
	return nil
}

func (r *sheetReader) end(name string) error {
	switch name {
	case "v", "f", "t":
		r.in = ""
	case "rPh":
		r.rph = false
	case "c":
		r.inCell = false
		c, err := r.finish()
		if err != nil || c.Is == Empty {
			return err
		}
		if err := check(r.cell.column, r.row.Number, c.Text); err != nil {
			return err
		}
		r.row.put(r.cell.column, c)
	case "row":
		return r.table.add(r.row)
	}
	return nil
}

// finish makes a cell of what was written.
func (r *sheetReader) finish() (Cell, error) {
	raw := r.cell
	c := Cell{Text: clean(raw.value)}
	switch raw.kind {
	case "s":
		n, err := strconv.Atoi(c.Text)
		if c.Text != "" && (err != nil || n < 0 || n >= len(r.book.strings)) {
			return c, refuse("%s: the workbook is damaged: the cell's text is missing.", Address(raw.column, r.row.Number))
		}
		if c.Text != "" {
			c = Cell{r.book.strings[n], Text}
		}
	case "inlineStr":
		c = Cell{clean(raw.typed), Text}
	case "str":
		c.Is = Text
	case "d":
		c.Is = Text // an ISO 8601 day, written as text
	case "b":
		c.Is = Truth
	case "e":
		c.Is = Error
	case "", "n":
		c.Is = Number
		if n, err := strconv.Atoi(raw.style); err == nil && n >= 0 && n < len(r.book.days) && r.book.days[n] {
			c.Is = Date
		}
	default:
		return c, refuse("%s: the workbook is damaged: a cell of the kind %q is not known.", Address(raw.column, r.row.Number), raw.kind)
	}
	if raw.formula {
		c.Is = Formula
	} else if c.Text == "" {
		c.Is = Empty
	}
	return c, nil
}

// hide notes hidden columns.
func (r *sheetReader) hide(e xml.StartElement) error {
	if !isTrue(attribute(e, "hidden")) {
		return nil
	}
	from, err1 := strconv.Atoi(attribute(e, "min"))
	to, err2 := strconv.Atoi(attribute(e, "max"))
	if errors.Join(err1, err2) != nil {
		return nil
	}
	for c := max(from, 1); c <= min(to, MaxColumns); c++ {
		r.table.Hidden[c-1] = true
	}
	return nil
}

// merge marks the cells of a merged range, which stands behind all rows.
func (r *sheetReader) merge(ref string) error {
	first, last, ok := strings.Cut(ref, ":")
	c1, r1, ok1 := placeOf(first)
	c2, r2, ok2 := placeOf(last)
	if !ok || !ok1 || !ok2 {
		return refuse("The workbook is damaged: %q is no range of cells.", ref)
	}
	if r.cellsMerged(c1, r1, c2, r2) > maxMerged {
		return refuse("%s: far too many cells are merged. Copy the list, as values, into a new workbook.", ref)
	}
	return nil
}

// maxMerged bounds the work that merged ranges ask for.
const maxMerged = 1_000_000

func (r *sheetReader) cellsMerged(c1, r1, c2, r2 int) (n int) {
	rows := r.table.Rows
	for i := rowFrom(rows, r1); i < len(rows) && rows[i].Number <= r2; i++ {
		for c := c1; c <= min(c2, MaxColumns-1); c++ {
			rows[i].put(c, Cell{rows[i].Cell(c).Text, Merged})
			n++
		}
	}
	r.merged += n + 1
	return r.merged
}

// rowFrom returns the place of the first row of at least a number.
func rowFrom(rows []Row, number int) int {
	i, _ := slices.BinarySearchFunc(rows, number, func(r Row, n int) int { return cmp.Compare(r.Number, n) })
	return i
}
