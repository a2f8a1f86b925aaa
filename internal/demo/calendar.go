package demo

import (
	"time"

	"github.com/rickar/cal/v2/ie"

	"rungbook/internal/civil"
	"rungbook/internal/rig"
)

const daysPerYear = 365

// before is how long before its first intake the yard was opened: so long reach
// the records that the first sessions rest on.
const before = 60

// layCalendar finds the week the demo shows first and the days on which the yard
// is closed: the public holidays of Ireland.
func (b *builder) layCalendar() {
	b.monday = b.Today.Monday()
	if b.Today.Weekday() > 5 {
		b.monday += 7
	}
	b.first = b.Today.AddMonths(-12 * b.Years)
	b.closed = map[civil.Day]string{}
	from, _, _ := b.opened().Date()
	until, _, _ := (b.Today + daysPerYear).Date()
	for year := from; year <= until; year++ {
		for _, holiday := range ie.Holidays {
			on, _ := holiday.Calc(year)
			if d := dayOf(on); !on.IsZero() && d.Weekday() <= 5 {
				b.closed[d] = holiday.Name
				b.yard.ClosedDays = append(b.yard.ClosedDays, rig.ClosedDay{Day: d, Reason: text(holiday.Name)})
			}
		}
	}
}

// opened is the day on which the yard's records begin.
func (b *builder) opened() civil.Day { return b.first - before }

func dayOf(t time.Time) civil.Day { return civil.DayOf(t.Date()) }

// open reports whether the yard has sessions on a day.
func (b *builder) open(d civil.Day) bool { return d.Weekday() <= 5 && b.closed[d] == "" }

// workday returns the first open day on or after d.
func (b *builder) workday(d civil.Day) civil.Day {
	for !b.open(d) {
		d++
	}
	return d
}

// workdayBefore returns the last open day before d.
func (b *builder) workdayBefore(d civil.Day) civil.Day {
	d--
	for !b.open(d) {
		d--
	}
	return d
}

// at is the instant at which the yard's clock shows a time of a day.
func (b *builder) at(d civil.Day, c civil.Minutes) civil.Instant { return b.zone.At(d, c) }

// span is a period within one day, by the yard's clock.
func (b *builder) span(d civil.Day, from, to civil.Minutes) civil.Period {
	return civil.Period{Start: b.at(d, from), End: b.at(d, to)}
}

// light is the daylight of a day; ok is false where the sun stays below.
func (b *builder) light(d civil.Day) (p civil.Period, ok bool) {
	l, ok := rig.DaylightOn(b.yard, b.zone, d)
	return b.span(d, l.From, l.To), ok
}
