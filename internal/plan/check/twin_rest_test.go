package check

import (
	"cmp"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// rest judges the times of a body under one policy.
func (w *twin) rest(name string, slots []slot, r plan.RestPolicy) {
	byDay := make(map[civil.Day][]slot)
	byWeek := make(map[civil.Day][]slot)
	for _, s := range slots {
		d := w.p.Zone.DayOf(s.Start)
		byDay[d] = append(byDay[d], s)
		byWeek[d.Monday()] = append(byWeek[d.Monday()], s)
	}
	for d, list := range byDay {
		first := slices.MinFunc(list, func(a, b slot) int { return cmp.Compare(a.Start, b.Start) }).Start
		last := slices.MaxFunc(list, func(a, b slot) int { return cmp.Compare(a.End, b.End) }).End
		if r.DayMinutes > 0 && hasSession(list) {
			w.out.add(int64(w.minutes(list)-r.DayMinutes), "day-minutes", name, r.Name, d.String())
		}
		if r.DaySpan > 0 && (touchesStart(list, first) || touchesEnd(list, last)) {
			w.out.add(int64(last.Sub(first)-r.DaySpan), "day-span", name, r.Name, d.String())
		}
		if r.HeightDay > 0 {
			w.out.add(int64(w.heightMinutes(list)-r.HeightDay), "height-minutes", name, r.Name, d.String())
		}
		next := d + 1
		for next < d+400 && byDay[next] == nil {
			next++
		}
		if r.DailyRest > 0 && byDay[next] != nil {
			start := slices.MinFunc(byDay[next], func(a, b slot) int { return cmp.Compare(a.Start, b.Start) }).Start
			if touchesEnd(list, last) || touchesStart(byDay[next], start) {
				w.out.add(int64(r.DailyRest-start.Sub(last)), "daily-rest", name, r.Name, next.String())
			}
		}
		run, mine := 0, false
		for back := d; byDay[back] != nil; back-- {
			run++
			mine = mine || hasSession(byDay[back])
		}
		if r.RunDays > 0 && mine {
			w.out.add(int64(run-r.RunDays), "day-run", name, r.Name, d.String())
		}
	}
	for monday, list := range byWeek {
		if r.WeekMinutes > 0 && hasSession(list) {
			w.out.add(int64(w.minutes(list)-r.WeekMinutes), "week-minutes", name, r.Name, monday.String())
		}
	}
	w.chains(name, slots, r)
	w.weekly(name, slots, r)
}

func hasSession(list []slot) bool {
	return slices.ContainsFunc(list, func(s slot) bool { return s.s != nil })
}

func touchesStart(list []slot, t civil.Instant) bool {
	return slices.ContainsFunc(list, func(s slot) bool { return s.s != nil && s.Start == t })
}

func touchesEnd(list []slot, t civil.Instant) bool {
	return slices.ContainsFunc(list, func(s slot) bool { return s.s != nil && s.End == t })
}

// minutes counts the minutes of times that are no pause.
func (w *twin) minutes(list []slot) (n civil.Minutes) {
	for _, s := range list {
		for t := s.Start; t < s.End; t++ {
			if s.s == nil || !w.inPause(s.s, t, 0) {
				n++
			}
		}
	}
	return n
}

func (w *twin) heightMinutes(list []slot) (n civil.Minutes) {
	for _, s := range list {
		if s.s == nil || !w.station(s.s).Height {
			continue
		}
		for t := s.s.Start; t < s.s.End; t++ {
			if !w.inPause(s.s, t, 0) {
				n++
			}
		}
	}
	return n
}

// chains grows chains from every piece until nothing more is near enough.
func (w *twin) chains(name string, slots []slot, r plan.RestPolicy) {
	if r.Stretch == 0 {
		return
	}
	var pieces []slot
	for _, s := range slots {
		var open *slot
		for t := s.Start; t < s.End; t++ {
			switch {
			case s.s != nil && w.inPause(s.s, t, r.Break):
				open = nil
			case open == nil:
				pieces = append(pieces, slot{civil.Period{Start: t, End: t + 1}, s.s, s.n})
				open = &pieces[len(pieces)-1]
			default:
				open.End = t + 1
			}
		}
	}
	for _, start := range pieces {
		chain := []slot{start}
		for grown := true; grown; {
			grown = false
			for _, p := range pieces {
				if slices.Contains(chain, p) {
					continue
				}
				for _, c := range chain {
					if max(p.Start, c.Start).Sub(min(p.End, c.End)) < r.Break {
						chain, grown = append(chain, p), true
						break
					}
				}
			}
		}
		first := slices.MinFunc(chain, func(a, b slot) int { return cmp.Compare(a.Start, b.Start) }).Start
		last := slices.MaxFunc(chain, func(a, b slot) int { return cmp.Compare(a.End, b.End) }).End
		for _, c := range chain {
			if c.s != nil {
				w.out.add(int64(last.Sub(first)-r.Stretch), "break", name, r.Name, c.s.ID)
			}
		}
	}
}

// weekly walks each block minute by minute.
func (w *twin) weekly(name string, slots []slot, r plan.RestPolicy) {
	if r.WeeklyRest == 0 {
		return
	}
	days, count := max(7*b2i(r.WeeklyRestDays == 0), r.WeeklyRestDays), max(1, r.WeeklyRestCount)
	end := civil.Instant(0)
	busy := make(map[civil.Instant]bool)
	for _, s := range slots {
		end = max(end, s.End)
		for t := s.Start; t < s.End; t++ {
			busy[t] = true
		}
	}
	for block := w.p.From.Monday(); block < w.p.From+civil.Day(w.p.Days); block += civil.Day(days) {
		if block < w.p.From {
			continue
		}
		in := civil.Period{Start: w.p.Zone.StartOfDay(block), End: w.p.Zone.StartOfDay(block + civil.Day(days))}
		mine := slices.ContainsFunc(slots, func(s slot) bool { return s.s != nil && s.Length() > 0 && s.Overlaps(in) })
		var free []civil.Minutes
		for t := in.Start; t < in.End; t++ {
			if busy[t] {
				continue
			}
			from := t
			for t <= end && !busy[t] {
				t++
			}
			length := t.Sub(from)
			if t > end {
				length = 1 << 40
				t = in.End
			}
			free = append(free, length)
			mine = mine || t >= in.End && length < r.WeeklyRest && touchesLongStart(slots, t)
		}
		slices.Sort(free)
		slices.Reverse(free)
		short := int64(0)
		for i := range count {
			if i < len(free) {
				short += int64(max(0, r.WeeklyRest-free[i]))
			} else {
				short += int64(r.WeeklyRest)
			}
		}
		if mine {
			w.out.add(short, "weekly-rest", name, r.Name, block.String())
		}
	}
}

func touchesLongStart(list []slot, t civil.Instant) bool {
	return slices.ContainsFunc(list, func(s slot) bool { return s.s != nil && s.Length() > 0 && s.Start == t })
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}
