package solve

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// calendar knows the horizon, when the yard is open and light, and where days
// begin.
type calendar struct {
	zone        civil.Zone
	from, until civil.Day // the horizon [from, until)
	step        civil.Minutes
	open        [][]civil.Period // by day − from, of the days that a search looks at
	light       map[civil.Day][]civil.Period
	windows     []plan.Window
	closed      map[civil.Day]bool
	first       civil.Day // the day of midnights[0]
	midnights   []civil.Instant
}

// margin is how many days around the horizon have their midnights ready; those
// beyond are worked out when somebody asks.
const margin = 70

func newCalendar(p *plan.Problem) calendar {
	k := calendar{
		zone: p.Zone, from: p.From, until: p.From + civil.Day(p.Days), step: max(1, p.Grid),
		open: make([][]civil.Period, min(p.Days, mostDays)), light: make(map[civil.Day][]civil.Period, len(p.Daylight)),
		windows: p.Open, closed: make(map[civil.Day]bool, len(p.ClosedDays)), first: max(1, p.From-margin),
	}
	for _, d := range p.ClosedDays {
		k.closed[d] = true
	}
	for d := k.first; d < k.from+civil.Day(len(k.open))+margin; d++ {
		k.midnights = append(k.midnights, k.zone.StartOfDay(d))
	}
	for i := range k.open {
		if d := k.from + civil.Day(i); !k.closed[d] {
			k.open[i] = k.hours(d, d.Weekday())
		}
	}
	for _, l := range p.Daylight {
		k.light[l.Day] = append(k.light[l.Day], k.clockPeriod(l.Day, l.From, l.To))
	}
	return k
}

// openOn returns the opening windows of a day of the horizon.
func (k *calendar) openOn(d civil.Day) []civil.Period {
	if i := int(d - k.from); i < len(k.open) {
		return k.open[i]
	}
	if k.closed[d] {
		return nil
	}
	return k.hours(d, d.Weekday())
}

// hours returns the opening windows of a weekday, laid on day d.
func (k *calendar) hours(d civil.Day, weekday int) []civil.Period {
	var out []civil.Period
	for _, w := range k.windows {
		if p := k.clockPeriod(d, w.From, w.To); slices.Contains(w.Weekdays, weekday) && p.Start < p.End {
			out = append(out, p)
		}
	}
	slices.SortFunc(out, func(a, b civil.Period) int { return int(a.Start - b.Start) })
	return out
}

func (k *calendar) clockPeriod(d civil.Day, from, to civil.Minutes) civil.Period {
	return civil.Period{Start: k.zone.At(d, from), End: k.zone.At(d, to)}
}

func (k *calendar) inside(d civil.Day) bool { return k.from <= d && d < k.until }

// midnight is the first instant whose local date is d.
func (k *calendar) midnight(d civil.Day) civil.Instant {
	if i := int(d - k.first); i >= 0 && i < len(k.midnights) {
		return k.midnights[i]
	}
	return k.zone.StartOfDay(d)
}

// dayNear returns the local day of t, or one that lies a day off where the clock
// changes by the calendar.
func (k *calendar) dayNear(t civil.Instant) civil.Day {
	n := len(k.midnights)
	if n == 0 || t < k.midnights[0] || t >= k.midnights[n-1] {
		return k.zone.DayOf(t)
	}
	const day = 24 * 60
	i := min(int(t-k.midnights[0])/day, n-1)
	for i > 0 && k.midnights[i] > t {
		i--
	}
	for i+1 < n && k.midnights[i+1] <= t {
		i++
	}
	return k.first + civil.Day(i)
}

// onGrid reports whether the local clock shows a multiple of the grid at t.
func (k *calendar) onGrid(t civil.Instant) bool { return k.zone.Clock(t)%k.step == 0 }

// nextOnGrid returns the first grid instant at or after t. Within a stretch of
// constant offset that is a jump; across a clock change it looks at each minute.
func (k *calendar) nextOnGrid(t civil.Instant) civil.Instant {
	clock := k.zone.Clock(t)
	if clock%k.step == 0 {
		return t
	}
	const day = 24 * 60
	next := t.Add(min(k.step-clock%k.step, day-clock))
	if k.zone.Offset(next) == k.zone.Offset(t) {
		return next
	}
	for !k.onGrid(t) {
		t = t.Add(1)
	}
	return t
}

// starts lists the grid instants of day d at which a session of the given
// length fits the opening hours, in order.
func (k *calendar) starts(d civil.Day, length civil.Minutes) []civil.Instant {
	if !k.inside(d) {
		return nil
	}
	return k.startsIn(k.openOn(d), length)
}

func (k *calendar) startsIn(windows []civil.Period, length civil.Minutes) []civil.Instant {
	var out []civil.Instant
	for _, w := range windows {
		for t := k.nextOnGrid(w.Start); t.Add(length) <= w.End; t = k.nextOnGrid(t.Add(1)) {
			out = append(out, t)
		}
	}
	return out
}

// anyStarts lists starts to refuse on a day that has none: those of the hours the
// day would have (its own, else those of any weekday, else round the clock),
// whether or not a session of that length fits.
func (k *calendar) anyStarts(d civil.Day, length civil.Minutes) []civil.Instant {
	windows := k.hours(d, d.Weekday())
	for weekday := 1; weekday <= 7 && len(windows) == 0; weekday++ {
		windows = k.hours(d, weekday)
	}
	if len(windows) == 0 {
		windows = []civil.Period{{Start: k.midnight(d), End: k.midnight(d + 1)}}
	}
	if out := k.startsIn(windows, length); out != nil {
		return out
	}
	return k.startsIn(windows, 1)
}

// openAt reports whether p lies inside one opening window of its day, d.
func (k *calendar) openAt(d civil.Day, p civil.Period) bool {
	return k.inside(d) && inOne(k.openOn(d), p)
}

// lightAt reports whether p lies inside the daylight listed for its day, d.
func (k *calendar) lightAt(d civil.Day, p civil.Period) bool {
	return inOne(k.light[d], p)
}

// inOne reports whether one of the periods covers p.
func inOne(list []civil.Period, p civil.Period) bool {
	for _, q := range list {
		if q.Covers(p) {
			return true
		}
	}
	return false
}
