package complaints

import (
	"cmp"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/complaint"
)

// Count is what is counted in a year; a closed list.
type Count string

// What is counted. A decision counts in the year in which it was made, and only while
// it stands: what was opened again counts where it is decided at last.
const (
	CountReceived  Count = "received"
	CountAppeals   Count = "appeals" // of those received
	CountDecided   Count = "decided"
	CountUpheld    Count = "upheld"
	CountInPart    Count = "upheld-in-part"
	CountNot       Count = "not-upheld"
	CountWithdrawn Count = "withdrawn"
)

// Counts lists what is counted in the order pages show it.
func Counts() []Count {
	return []Count{CountReceived, CountAppeals, CountDecided, CountUpheld, CountInPart, CountNot, CountWithdrawn}
}

// In reports whether a complaint counts in a year.
func (c Count) In(x complaint.Complaint, year int, z civil.Zone) bool {
	if c == CountReceived || c == CountAppeals {
		return yearOf(x.Received) == year && (c == CountReceived || x.Kind == complaint.Appeal)
	}
	d, ok := x.Decision()
	return ok && yearOf(z.DayOf(d.At)) == year && (c == CountDecided || string(c) == string(d.Outcome))
}

// Year is what was counted in one year.
type Year struct {
	Year   int
	Counts map[Count]int
}

// Years counts the list by year, the latest first.
func (l List) Years() (out []Year) {
	var years []int
	for _, r := range l.Rows {
		years = append(years, yearOf(r.Complaint.Received))
		if d, ok := r.Complaint.Decision(); ok {
			years = append(years, yearOf(l.Zone.DayOf(d.At)))
		}
	}
	slices.SortFunc(years, func(a, b int) int { return cmp.Compare(b, a) })
	for _, y := range slices.Compact(years) {
		of := Year{Year: y, Counts: map[Count]int{}}
		for _, c := range Counts() {
			of.Counts[c] = len(l.Only(y, c).Rows)
		}
		out = append(out, of)
	}
	return out
}

// Only returns those that count in a year; year 0 and no count leave out nothing.
func (l List) Only(year int, of Count) List {
	if year == 0 {
		return l
	}
	if !slices.Contains(Counts(), of) {
		of = CountReceived
	}
	l.Rows = slices.DeleteFunc(slices.Clone(l.Rows), func(r Row) bool { return !of.In(r.Complaint, year, l.Zone) })
	return l
}

func yearOf(d civil.Day) int {
	y, _, _ := d.Date()
	return y
}
