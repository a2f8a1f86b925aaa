package web

import (
	"fmt"
	"strconv"
	"strings"

	"rungbook/internal/civil"
	"rungbook/internal/verdict"
)

// Words says how days, times and names read on a page of one yard: weekday with
// every day, the year only when it isn't today's, 24 h, local to Zone.
type Words struct {
	Zone  civil.Zone
	Today civil.Day
	Name  func(verdict.Ref) string // the name a reader knows a thing by; nil prints the id
}

// Style prints the values in a finding as pages do.
func (w Words) Style() verdict.Style {
	name := w.Name
	if name == nil {
		name = func(r verdict.Ref) string { return r.ID }
	}
	return verdict.Style{Ref: name, Day: w.Day, Instant: w.Moment, Period: w.Period}
}

var weekdays = [...]string{"Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"}

// Weekday returns "Mon" to "Sun".
func Weekday(d civil.Day) string { return weekdays[d.Weekday()-1] }

// Day returns "Tue 2 Mar", or "Tue 2 Mar 2028" outside today's year; "" for no day.
func (w Words) Day(d civil.Day) string {
	if d == 0 {
		return ""
	}
	return Weekday(d) + " " + w.date(d)
}

func (w Words) date(d civil.Day) string {
	year, month, day := d.Date()
	s := fmt.Sprintf("%d %s", day, month.String()[:3])
	if today, _, _ := w.Today.Date(); w.Today == 0 || year != today {
		s += fmt.Sprintf(" %d", year)
	}
	return s
}

// FullDay returns the day with its year, "Tue 2 Mar 2027", for certificates,
// documents and paper that outlive the year.
func FullDay(d civil.Day) string {
	if d == 0 {
		return ""
	}
	return Words{}.Day(d)
}

// Days returns a span of days, both ends inside: "Mon 22 – Sat 27 Feb 2027",
// "Mon 29 Mar – Fri 2 Apr". One day is the day alone.
func (w Words) Days(first, last civil.Day) string {
	if first == last {
		return w.Day(first)
	}
	y1, m1, d1 := first.Date()
	if y2, m2, _ := last.Date(); y1 == y2 && m1 == m2 {
		return fmt.Sprintf("%s %d – %s", Weekday(first), d1, w.Day(last))
	}
	return w.Day(first) + " – " + w.Day(last)
}

// Clock returns the local time of an instant, "08:00". Where the clock shows a
// time twice, the second showing says so.
func (w Words) Clock(t civil.Instant) string {
	clock := w.Zone.Clock(t)
	s := civil.ClockString(clock)
	if w.Zone.At(w.Zone.DayOf(t), clock) != t {
		s += " (second)"
	}
	return s
}

// Moment returns "Tue 2 Mar 08:00"; "" for no instant.
func (w Words) Moment(t civil.Instant) string {
	if t == 0 {
		return ""
	}
	return w.Day(w.Zone.DayOf(t)) + " " + w.Clock(t)
}

// Period returns "Tue 2 Mar 08:00–11:30", with the second day where the period
// ends on another one. A period that ends at midnight ends at 24:00.
func (w Words) Period(p civil.Period) string {
	first := w.Zone.DayOf(p.Start)
	return w.Day(first) + " " + w.Times(p)
}

// Times returns the hours of a period whose day the reader already sees:
// "08:00–11:30", or "20:00 – Wed 3 Mar 07:00" where it ends on another day.
func (w Words) Times(p civil.Period) string {
	first, last := w.Zone.DayOf(p.Start), w.Zone.DayOf(p.End)
	switch {
	case first == last:
		return w.Clock(p.Start) + "–" + w.Clock(p.End)
	case p.End == w.Zone.StartOfDay(first+1):
		return w.Clock(p.Start) + "–24:00"
	default:
		return w.Clock(p.Start) + " – " + w.Moment(p.End)
	}
}

// DaysLeft says how far today is from a last valid day, which still counts:
// "31 days left", "last day today", "lapsed 3 days ago".
func (w Words) DaysLeft(last civil.Day) string {
	switch n := int(last - w.Today); {
	case n == 0:
		return "last day today"
	case n > 0:
		return Count(n, "day left", "days left")
	default:
		return "lapsed " + Count(-n, "day", "days") + " ago"
	}
}

// Due says how far today is from a day on which something falls due:
// "due today", "due in 5 days", "overdue since Mon 3 May".
func (w Words) Due(d civil.Day) string {
	switch n := int(d - w.Today); {
	case n == 0:
		return "due today"
	case n > 0:
		return "due in " + Count(n, "day", "days")
	default:
		return "overdue since " + w.Day(d)
	}
}

// Count returns "1 trainee", "6 trainees", "no trainees".
func Count(n int, one, many string) string {
	switch n {
	case 0:
		return "no " + many
	case 1, -1:
		return Number(int64(n)) + " " + one
	default:
		return Number(int64(n)) + " " + many
	}
}

// narrow is the narrow no-break space that groups digits (ISO 80000-1, 7.3.1).
const narrow = "\u202f"

// Number returns a whole number with its digits in groups of three, "20 413",
// and the minus sign proper.
func Number(n int64) string {
	digits := strconv.FormatInt(n, 10)
	sign := ""
	if strings.HasPrefix(digits, "-") {
		sign, digits = "−", digits[1:]
	}
	for i := len(digits) - 3; i > 0; i -= 3 {
		digits = digits[:i] + narrow + digits[i:]
	}
	return sign + digits
}

// Metres returns decimetres as metres with one decimal, "18.0".
func Metres(decimetres int) string {
	sign := ""
	if decimetres < 0 {
		sign, decimetres = "−", -decimetres
	}
	return fmt.Sprintf("%s%d.%d", sign, decimetres/10, decimetres%10)
}

// Hours returns minutes as hours with one decimal for columns headed "h",
// rounded half up: 3 h 45 is "3.8". Never add up what this returns.
func Hours(m civil.Minutes) string {
	tenths := (m*10 + 30) / 60
	return Number(int64(tenths/10)) + "." + strconv.Itoa(int(tenths%10))
}

// List joins names as a sentence does: "A", "A and B", "A, B and C".
func List(names []string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	last := len(names) - 1
	return strings.Join(names[:last], ", ") + " and " + names[last]
}

// Title puts a capital at the front of a sentence or word.
func Title(s string) string {
	for i, r := range s {
		return strings.ToUpper(string(r)) + s[i+len(string(r)):]
	}
	return s
}
