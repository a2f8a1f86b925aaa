package completing

import (
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
)

// Ten workdays after completion: Requirements for Training, V12 (2022), cl 7.2.
func TestAReportIsDueSoManyWorkdaysAfterTheCompletion(t *testing.T) {
	start := monday - civil.Day(monday.Weekday()-1) // a Monday
	yard := rig.Yard{Open: []rig.Window{{Weekdays: []int{1, 2, 3, 4, 5}, From: 480, To: 1020}}}
	book := func(from civil.Day, days ...int64) rulebook.Version {
		b := rulebook.Version{From: from, Profiles: []id.Profile{"training"}}
		for _, n := range days {
			b.Lines = append(b.Lines, rulebook.Line{Profile: "training", Quantity: rulebook.ReportWorkingDays, Value: n})
		}
		return b
	}
	for _, c := range []struct {
		name  string
		yard  rig.Yard
		books []rulebook.Version
		day   civil.Day
		want  civil.Day
	}{
		{"ten days over two weekends", yard, []rulebook.Version{book(1, 10)}, start, start + 14},
		{"completed on a Friday", yard, []rulebook.Version{book(1, 10)}, start + 4, start + 18},
		{"a holiday between", rig.Yard{Open: yard.Open, ClosedDays: []rig.ClosedDay{{Day: start + 2}}}, []rulebook.Version{book(1, 10)}, start, start + 15},
		{"the strictest of two lines", yard, []rulebook.Version{book(1, 10, 3)}, start, start + 3},
		{"by the book of the completion day, not of later", yard, []rulebook.Version{book(1, 10), book(start+1, 2)}, start, start + 14},
		{"by the book that begins on the day", yard, []rulebook.Version{book(1, 10), book(start, 2)}, start, start + 2},
		{"no line", yard, []rulebook.Version{book(1)}, start, 0},
		{"no book", yard, nil, start, 0},
		{"a yard without hours", rig.Yard{}, []rulebook.Version{book(1, 10)}, start, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got, ok := due(c.yard, c.books, c.day); got != c.want || ok != (c.want != 0) {
				t.Errorf("due by %s, %v; want %s", got, ok, c.want)
			}
			r := Report{Due: c.want}
			if c.want != 0 && (r.Late(c.want) || !r.Late(c.want+1)) {
				t.Error("late on its last day, or not on the day after")
			}
			if c.want == 0 && !r.Late(c.day) {
				t.Error("without a last day it is not due at once")
			}
		})
	}
}
