package verdict

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"

	"rungbook/internal/civil"
)

// Text is a sentence whose times, days and names are still values, so that one
// wording serves the command line (ids, full instants) and pages (names, the
// local form of a day). Parts are string, int, Ref, civil.Day, civil.Instant,
// civil.Period or civil.Minutes.
type Text []any

// Say builds a Text from parts in reading order; strings carry their own spaces.
func Say(parts ...any) Text { return Text(parts) }

// Style tells Text how to print the values in it.
type Style struct {
	Ref     func(Ref) string
	Day     func(civil.Day) string
	Instant func(civil.Instant) string
	Period  func(civil.Period) string
}

// PlainStyle prints ids and full instants, as the check command does. A name that
// holds what can't be printed is quoted, so that a finding is one line.
func PlainStyle(z civil.Zone) Style {
	return Style{
		Ref:     func(r Ref) string { return oneLine(r.ID) },
		Day:     civil.Day.String,
		Instant: z.Format,
		Period:  func(p civil.Period) string { return z.Format(p.Start) + " to " + z.Format(p.End) },
	}
}

func oneLine(name string) string {
	if strings.ContainsFunc(name, func(r rune) bool { return !unicode.IsPrint(r) }) {
		return strconv.Quote(name)
	}
	return name
}

// In returns the sentence in a style.
func (t Text) In(s Style) string {
	var b strings.Builder
	for _, part := range t {
		switch v := part.(type) {
		case string:
			b.WriteString(v)
		case Ref:
			b.WriteString(s.Ref(v))
		case civil.Day:
			b.WriteString(s.Day(v))
		case civil.Instant:
			b.WriteString(s.Instant(v))
		case civil.Period:
			b.WriteString(s.Period(v))
		case Text:
			b.WriteString(v.In(s))
		default: // int, civil.Minutes and other values that print themselves
			fmt.Fprint(&b, v)
		}
	}
	return b.String()
}

// Refs returns the things a sentence names, in reading order.
func (t Text) Refs() []Ref {
	var out []Ref
	for _, part := range t {
		switch v := part.(type) {
		case Ref:
			out = append(out, v)
		case Text:
			out = append(out, v.Refs()...)
		}
	}
	return out
}
