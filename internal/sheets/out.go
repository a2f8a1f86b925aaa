package sheets

import (
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"

	"rungbook/internal/civil"
)

// Out is a file of lists that is written row after row, so that a list of any length
// takes little memory. A value is text, a whole number (int, int64), a day (civil.Day,
// 0 = none) or a moment (Moment); nothing else.
type Out interface {
	// Part begins a list with its heads, each of its own. A file that holds one
	// list names it "".
	Part(name string, heads ...string) error
	// Row adds a row to the list that was begun last, a value for each head.
	Row(values ...any) error
	// Close ends the file. It closes nothing that it was given.
	Close() error
}

// Moment is an instant in the zone it is shown in.
type Moment struct {
	At   civil.Instant // 0 = none
	Zone civil.Zone
}

// Formats lists the forms a list can be written in.
func Formats() []string { return []string{"csv", "xlsx", "json"} }

// NewOut begins a file in one of the formats. about is what its reader must know of
// it: who took it out, as of when, under which filters.
func NewOut(w io.Writer, format, title string, about ...string) (Out, error) {
	switch format {
	case "csv":
		return newCSVOut(w, title, about)
	case "xlsx":
		return newBookOut(w, title, about)
	case "json":
		return newJSONOut(w, title, about)
	}
	panic("sheets: " + format + " is none of Formats")
}

// frame watches over what is common to all formats: rows that fit their heads.
type frame struct {
	heads []string
	parts int
}

func (f *frame) begin(heads []string) {
	for i, h := range heads {
		for _, earlier := range heads[:i] {
			if h == earlier {
				panic("sheets: the head " + h + " stands twice")
			}
		}
	}
	f.heads = heads
	f.parts++
}

func (f *frame) fits(values []any) error {
	if len(values) != len(f.heads) || f.parts == 0 {
		return fmt.Errorf("a row of %d values under %d heads", len(values), len(f.heads))
	}
	return nil
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
	case int64:
		return strconv.FormatInt(v, 10)
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
