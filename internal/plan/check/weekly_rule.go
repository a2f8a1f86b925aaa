package check

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
	"rungbook/internal/verdict"
)

// busy is a time without a gap in which a body has times.
type busy struct {
	civil.Period
	session bool // a session starts it
}

// spans joins the body's times that overlap or touch.
func (v *view) spans() []busy {
	if !v.busy.start() {
		return v.busy.list
	}
	list := v.busy.list
	for _, t := range v.times {
		if t.Length() <= 0 {
			continue
		}
		if n := len(list); n > 0 && t.Start <= list[n-1].End {
			last := &list[n-1]
			last.session = last.session || t.session != nil && t.Start == last.Start
			last.End = max(last.End, t.End)
			continue
		}
		list = append(list, busy{t.Period, t.session != nil})
	}
	v.busy.list = list
	return list
}

// weeklyRest: for each block of weekly_rest_days local days, counted from the
// Monday on or before `from`, that begins in the horizon: weekly_rest_count
// separate stretches free of the person's times, each ≥ weekly_rest_minutes. A
// stretch is what lies between two times: it is cut at the block's start and
// must begin before the block's end, but may run on past it.
func weeklyRest(v *view) {
	v.eachPolicy(func(r *plan.RestPolicy) bool { return r.WeeklyRest > 0 }, func(r *plan.RestPolicy, who verdict.Ref) {
		zone, n := v.j.p.Zone, civil.Day(blockDays(r))
		monday := v.j.p.From.Monday()
		next := monday // the first block not judged yet
		for next < v.j.p.From {
			next += n
		}
		// A block can only fail where a time lies in it or cuts short a stretch
		// that begins in it, so the blocks far from any time need no look.
		for _, b := range v.spans() {
			first := monday + (zone.DayOf(b.Start.Add(-r.WeeklyRest))-monday)/n*n
			last := zone.DayOf(b.End - 1)
			for block := max(next, first); block <= min(last, v.j.last); block += n {
				v.block(block, r, who)
				next = block + n
			}
		}
	})
}

// block judges the weekly rest of one block.
func (v *view) block(day civil.Day, r *plan.RestPolicy, who verdict.Ref) {
	days := blockDays(r)
	p := civil.Period{Start: v.j.day(day).start, End: v.j.day(day + civil.Day(days)).start}
	stretches, mine := v.stretches(p, r.WeeklyRest)
	slices.SortFunc(stretches, func(a, b civil.Minutes) int { return cmp.Compare(b, a) })
	count, rests := max(1, r.WeeklyRestCount), 0
	var short civil.Minutes
	for _, m := range stretches[:min(count, len(stretches))] {
		if m >= r.WeeklyRest {
			rests++
		}
		short += max(0, r.WeeklyRest-m)
	}
	if rests >= count || !mine {
		return
	}
	short += r.WeeklyRest * civil.Minutes(max(0, count-len(stretches)))
	longest := civil.Minutes(0)
	if len(stretches) > 0 {
		longest = stretches[0]
	}
	v.stop(verdict.WeeklyRest(who, r.Name, day, days, rests, count, longest, r.WeeklyRest, short, limitAt(r, "weekly_rest_minutes")))
}

// stretches returns the lengths of the free stretches of a block, and whether a
// session of the plan takes part: lies in the block, or ends too soon a stretch
// that runs on past it.
func (v *view) stretches(block civil.Period, least civil.Minutes) (free []civil.Minutes, mine bool) {
	list, from := v.spans(), block.Start
	free = v.free[:0]
	i := sort.Search(len(list), func(i int) bool { return list[i].End > block.Start })
	for ; i < len(list) && from < block.End; i++ {
		if gap := list[i].Start.Sub(from); gap > 0 {
			free = append(free, gap)
			mine = mine || list[i].Start >= block.End && gap < least && list[i].session
		}
		from = max(from, list[i].End)
	}
	if from < block.End {
		free = append(free, verdict.Endless)
	}
	v.free = free
	return free, mine || v.sessionIn(block)
}

// sessionIn reports whether a session of the body overlaps a period.
func (v *view) sessionIn(p civil.Period) bool {
	if v.ends.start() {
		latest := civil.Instant(math.MinInt64)
		v.ends.list = append(v.ends.list, latest)
		for _, t := range v.times {
			if t.session != nil && t.Length() > 0 {
				latest = max(latest, t.End)
			}
			v.ends.list = append(v.ends.list, latest)
		}
	}
	before := sort.Search(len(v.times), func(i int) bool { return v.times[i].Start >= p.End })
	return v.ends.list[before] > p.Start
}
