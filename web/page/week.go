package page

import (
	"cmp"
	"slices"

	"rungbook/web/ui"
)

// NewWeekFilter labels the filter above a board. Each list of options begins
// with the one that takes everything. say tells what is shown, "" for everything; clear
// is the board's address without a filter, "" when none is set.
func NewWeekFilter(action string, rigs, intakes, instructors []ui.Option, say, clear string) WeekFilter {
	f := WeekFilter{
		Say:  cmp.Or(say, "All rigs, intakes and instructors"),
		Form: ui.Form{Action: action, Get: true, Button: "Show", Swap: "page"},
		Fields: []ui.Field{
			{Name: "rig", Label: "Rig", Kind: ui.Select, Options: rigs},
			{Name: "intake", Label: "Intake", Kind: ui.Select, Options: intakes},
			{Name: "instructor", Label: "Instructor", Kind: ui.Select, Options: instructors},
		},
	}
	if clear != "" {
		f.Clear = ui.Link{Text: "Show all", Href: clear}
	}
	return f
}

// columns is the width of the table, the station's name included.
func (w Week) columns() int { return len(w.Days) + 1 }

// weekSpan is one cell of a row, over several days where a station is shut for
// the same cause on all of them.
type weekSpan struct{ First, Days int }

// spans joins neighbouring cells that say nothing but the same cause.
func (s WeekStation) spans() []weekSpan {
	var out []weekSpan
	for i, c := range s.Cells {
		if n := len(out); n > 0 && c.onlyShut() {
			last := s.Cells[out[n-1].First]
			if last.onlyShut() && slices.Equal(last.Shut, c.Shut) {
				out[n-1].Days++
				continue
			}
		}
		out = append(out, weekSpan{First: i, Days: 1})
	}
	return out
}

func (c WeekCell) onlyShut() bool {
	return len(c.Shut) > 0 && len(c.Sessions) == 0 && c.Free == BoardFree{}
}

// weekListDay is one day of the board as a list.
type weekListDay struct {
	Day      WeekDay
	Sessions []BoardSession
	Free     []weekPlace
	Shut     []weekPlace
}

// weekPlace is a station with what the board says of it on a day.
type weekPlace struct {
	Station string
	Free    BoardFree
	Shut    string
}

// list turns the board into days by time, for a phone: today and what follows
// first, the days that are over last.
func (w Week) list() []weekListDay {
	out := make([]weekListDay, len(w.Days))
	for i, d := range w.Days {
		out[i] = w.day(i, d)
	}
	slices.SortStableFunc(out, func(a, b weekListDay) int { return cmp.Compare(order(a.Day), order(b.Day)) })
	return out
}

func order(d WeekDay) int {
	if d.Past {
		return 1
	}
	return 0
}

// day gathers column i of the board.
func (w Week) day(i int, d WeekDay) weekListDay {
	out := weekListDay{Day: d}
	for _, r := range w.Rigs {
		for _, s := range r.Stations {
			if i >= len(s.Cells) {
				continue
			}
			c := s.Cells[i]
			out.Sessions = append(out.Sessions, c.Sessions...)
			if c.Free.Text != "" {
				out.Free = append(out.Free, weekPlace{Station: s.Name.Text, Free: c.Free})
			}
			for _, why := range c.Shut {
				out.Shut = append(out.Shut, weekPlace{Station: s.Name.Text, Shut: why})
			}
		}
	}
	// Times are written 08:00, so their order as text is their order in time.
	slices.SortStableFunc(out.Sessions, func(a, b BoardSession) int { return cmp.Compare(a.Times, b.Times) })
	return out
}

func freeSay(n int) string {
	if n == 1 {
		return "1 station has free time"
	}
	return number(n) + " stations have free time"
}
