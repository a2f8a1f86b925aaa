package sheets

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"rungbook/internal/civil"
)

// Habits are how an office writes days and numbers, where a cell does not say it
// itself. Each is "" until a person sets it: then an ambiguous cell is refused.
type Habits struct {
	Order   string `json:"order,omitempty"`   // DayFirst or MonthFirst, of 2/3/27
	Serial  string `json:"serial,omitempty"`  // Since1900 or Since1904, of a bare 46083
	Decimal string `json:"decimal,omitempty"` // "," or ".", of 1.500
}

// The habits of days.
const (
	DayFirst   = "day-first"
	MonthFirst = "month-first"
	Since1900  = "1900"
	Since1904  = "1904"
)

// Day reads a day. A year of two digits is taken as the latest that is not after
// latest. since1904 is the workbook's own count. The error is a sentence's part
// that says what was found and what is required.
func (h Habits) Day(c Cell, since1904 bool, latest int) (civil.Day, error) {
	switch c.Is {
	case Empty:
		return 0, fmt.Errorf("no day stands here")
	case Date:
		return serialDay(c.Text, since1904)
	case Number:
		return h.bare(c.Text, latest)
	case Text:
		return h.typed(c.Text, latest)
	}
	return 0, fmt.Errorf("%q is not a day", c.Text)
}

// bare reads digits that could be a day written together or a spreadsheet's count.
func (h Habits) bare(s string, latest int) (civil.Day, error) {
	if len(s) == 8 && digits(s) {
		return dayOf(s[:4], s[4:6], s[6:], s, latest)
	}
	switch h.Serial {
	case Since1900, Since1904:
		return serialDay(s, h.Serial == Since1904)
	}
	return 0, fmt.Errorf("%q is a bare number; if it is a spreadsheet's count of days, say from which year it counts", s)
}

// serialDay turns a spreadsheet's count into a day (ISO/IEC 29500-1, 18.17.4.1:
// 1 is 1 January 1900 and a 29 February 1900 is counted that never was; in the
// other system 0 is 1 January 1904).
func serialDay(s string, since1904 bool) (civil.Day, error) {
	n, err := strconv.ParseFloat(s, 64)
	if err != nil || n < 0 || n > 2_958_465 || math.IsNaN(n) {
		return 0, fmt.Errorf("%q is not a day", s)
	}
	if n != math.Trunc(n) {
		return 0, fmt.Errorf("%q is a day with a time; give the day alone", s)
	}
	day := civil.Day(n)
	switch {
	case since1904:
		return civil.DayOf(1904, time.January, 1) + day, nil
	case day == 0:
		return 0, fmt.Errorf("%q is a time without a day", s)
	case day == 60:
		return 0, fmt.Errorf("%q would be 29 February 1900, which never was", s)
	case day < 60:
		return civil.DayOf(1899, time.December, 31) + day, nil
	}
	return civil.DayOf(1899, time.December, 30) + day, nil
}

func (h Habits) typed(s string, latest int) (civil.Day, error) {
	if digits(s) || strings.Count(s, ".") == 1 && digits(strings.Replace(s, ".", "", 1)) {
		return h.bare(s, latest)
	}
	text := strings.ToLower(s)
	for _, midnight := range []string{" 00:00:00", " 00:00", "t00:00:00", "t00:00", " 0:00", "t00:00:00z"} {
		text = strings.TrimSuffix(text, midnight)
	}
	parts := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune("-/. ,’'", r) })
	parts = withoutWeekday(parts)
	if len(parts) != 3 {
		return 0, notDay(s)
	}
	for i, p := range parts {
		if m := monthNamed(p); m > 0 {
			return named(parts, i, m, s, latest)
		}
		if !digits(p) {
			return 0, notDay(s)
		}
	}
	if len(parts[0]) == 4 {
		return dayOf(parts[0], parts[1], parts[2], s, latest)
	}
	return h.ordered(parts, strings.ContainsAny(text, "/-"), s, latest)
}

// ordered reads three numbers that end in the year. With points the day comes
// first, as in every country that writes them so; else a person says it, unless
// one of the two can't be a month.
func (h Habits) ordered(p []string, asked bool, s string, latest int) (civil.Day, error) {
	a, _ := strconv.Atoi(p[0])
	b, _ := strconv.Atoi(p[1])
	order := h.Order
	switch {
	case !asked:
		order = DayFirst
	case order != "":
	case a > 12 || a == b:
		order = DayFirst
	case b > 12:
		order = MonthFirst
	default:
		return 0, fmt.Errorf("%q can be two days; say whether day or month comes first", s)
	}
	if order == MonthFirst {
		return dayOf(p[2], p[0], p[1], s, latest)
	}
	return dayOf(p[2], p[1], p[0], s, latest)
}

func named(parts []string, at int, month time.Month, s string, latest int) (civil.Day, error) {
	m := strconv.Itoa(int(month))
	switch {
	case at == 1 && len(parts[0]) == 4: // 2027-Mar-02
		return dayOf(parts[0], m, parts[2], s, latest)
	case at == 1: // 2 March 2027
		return dayOf(parts[2], m, strings.TrimRight(parts[0], "stndrhe"), s, latest)
	case at == 0: // March 2, 2027
		return dayOf(parts[2], m, strings.TrimRight(parts[1], "stndrhe"), s, latest)
	}
	return 0, notDay(s)
}

func dayOf(year, month, day, s string, latest int) (civil.Day, error) {
	y, err1 := strconv.Atoi(year)
	m, err2 := strconv.Atoi(month)
	d, err3 := strconv.Atoi(day)
	if err1 != nil || err2 != nil || err3 != nil || len(day) > 2 || len(month) > 2 || (len(year) != 2 && len(year) != 4) {
		return 0, notDay(s)
	}
	if len(year) == 2 {
		y += latest - latest%100
		if y > latest {
			y -= 100
		}
	}
	at, err := civil.ParseDay(fmt.Sprintf("%04d-%02d-%02d", y, m, d))
	if err != nil {
		return 0, fmt.Errorf("%q is not a day of the calendar", s)
	}
	return at, nil
}

func notDay(s string) error {
	return fmt.Errorf("%q is not a day; write it as 2027-03-02", s)
}

func digits(s string) bool {
	return s != "" && strings.Trim(s, "0123456789") == ""
}

// months are the names of months in the languages of European offices, by their
// first letters, and enough of them to tell months apart.
var months = [12][]string{
	{"jan", "ene", "sty", "gen"}, {"feb", "fév", "fev", "lut"}, {"mar", "mär", "mrz", "maa", "mrt"}, {"apr", "avr", "abr", "kwi"},
	{"may", "mai", "mei", "maj", "mag"}, {"jun", "juin", "cze", "giu"}, {"jul", "juil", "lip", "lug"}, {"aug", "aoû", "aou", "ago", "sie"},
	{"sep", "set", "wrz"}, {"oct", "okt", "out", "paź", "ott"}, {"nov", "lis"}, {"dec", "dez", "déc", "dic", "gru"},
}

func monthNamed(s string) time.Month {
	best, month := 0, time.Month(0)
	for i, names := range months {
		for _, n := range names {
			if strings.HasPrefix(s, n) && len(n) > best {
				best, month = len(n), time.Month(i+1)
			}
		}
	}
	return month
}

// withoutWeekday drops a weekday that stands before a day in words.
func withoutWeekday(parts []string) []string {
	if len(parts) == 4 && !digits(parts[0]) && monthNamed(parts[0]) == 0 {
		return parts[1:]
	}
	return parts
}
