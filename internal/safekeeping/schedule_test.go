package safekeeping

import (
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/civil"
)

const day = civil.Minutes(24 * 60)

// noon is a moment of 2 March 2027, a Tuesday.
var noon = utc.At(civil.DayOf(2027, 3, 2), 12*60)

func TestTheNextBackupIsDueOneIntervalAfterTheLastGoodOneAndSoonerAfterAFailure(t *testing.T) {
	daily, quick := Schedule{Every: day, Kept: 7}, Schedule{Every: 15, Kept: 7}
	for name, c := range map[string]struct {
		s        Schedule
		last     civil.Instant
		tried    civil.Instant
		failures int
		want     civil.Instant
	}{
		"none so far":                       {daily, 0, 0, 0, noon},
		"one of an hour ago":                {daily, noon - 60, 0, 0, noon - 60 + civil.Instant(day)},
		"one of two days ago":               {daily, noon.Add(-2 * day), 0, 0, noon.Add(-day)},
		"none, and one failure":             {daily, 0, noon, 1, noon + 5},
		"overdue, and two failures":         {daily, noon.Add(-2 * day), noon, 2, noon + 10},
		"overdue, and four":                 {daily, noon.Add(-2 * day), noon, 4, noon + 40},
		"overdue, and five":                 {daily, noon.Add(-2 * day), noon, 5, noon + 60},
		"overdue, and a thousand":           {daily, noon.Add(-2 * day), noon, 1000, noon + 60},
		"asked for in between, and failed":  {daily, noon - 60, noon, 1, noon - 60 + civil.Instant(day)},
		"never later than the schedule":     {quick, noon - 15, noon, 9, noon + 15},
		"the minute before the last backup": {daily, noon, 0, 0, noon.Add(day)},
	} {
		t.Run(name, func(t *testing.T) {
			if got := c.s.Due(c.last, c.tried, c.failures, noon); got != c.want {
				t.Errorf("%d minutes from now, want %d", got.Sub(noon), c.want.Sub(noon))
			}
		})
	}
}

func TestTheLongestWaitIsAnIntervalOrAnHourAfterAFailure(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := Schedule{Every: civil.Minutes(rapid.IntRange(15, 60*24*31).Draw(t, "every")), Kept: 1}
		now := noon
		last := civil.Instant(0)
		if rapid.Bool().Draw(t, "any") {
			last = now.Add(-civil.Minutes(rapid.IntRange(0, 60*24*60).Draw(t, "age")))
		}
		failures := rapid.IntRange(0, 50).Draw(t, "failures")
		tried := now.Add(-civil.Minutes(rapid.IntRange(0, 100).Draw(t, "since")))
		due := s.Due(last, tried, failures, now)
		limit := now
		if last != 0 {
			limit = max(limit, last.Add(s.Every))
		}
		if failures > 0 {
			limit = max(limit, tried.Add(min(s.Every, lastRetry)))
		}
		if due > limit {
			t.Fatalf("due %d minutes from now, the latest is %d", due.Sub(now), limit.Sub(now))
		}
		if last != 0 && due < last.Add(s.Every) {
			t.Fatalf("due %d minutes after the last good one, every %d are wished", due.Sub(last), s.Every)
		}
	})
}

// good is a backup that a server made at a moment.
func good(at civil.Instant) Found {
	return Found{Name: fmt.Sprintf("rungbook-%d.backup", at), Known: ReadThrough, ByServer: true, Made: at}
}

func TestWhatStaysIsTheNewestAndTheLastOfWeeksAndMonths(t *testing.T) {
	s := Schedule{Every: day, Kept: 3}
	by := func(f Found, change func(*Found)) Found { change(&f); return f }
	other := func(known Known) Found {
		return by(good(noon.Add(-100*day)), func(f *Found) { f.Name, f.Known = string(known), known })
	}
	for name, c := range map[string]struct {
		list []Found
		goes []int // of the list
	}{
		"as many as are kept":                {[]Found{good(noon), good(noon - 1), good(noon - 2)}, nil},
		"one more of the same day":           {[]Found{good(noon), good(noon - 1), good(noon - 2), good(noon - 3)}, []int{3}},
		"one more, the last of its week":     {[]Found{good(noon), good(noon - 1), good(noon - 2), good(noon.Add(-2 * day))}, nil},
		"one more, not the last of its week": {[]Found{good(noon), good(noon - 1), good(noon - 2), good(noon.Add(-2 * day)), good(noon.Add(-3 * day))}, []int{4}},
		"neither of week nor month":          {[]Found{good(noon), good(noon - 1), good(noon - 2), good(noon.Add(-2 * day)), good(noon.Add(-2*day) - 1), good(noon.Add(-2*day) - 2)}, []int{4, 5}},
		"one that somebody made by hand":     {[]Found{good(noon), good(noon - 1), good(noon - 2), by(good(noon-3), func(f *Found) { f.ByServer = false })}, nil},
		"what is not known to be good":       {[]Found{good(noon), good(noon - 1), good(noon - 2), other(Unread), other(Damaged), other(Unstated), other(Foreign)}, nil},
		"one dated after now":                {[]Found{good(noon.Add(3 * day)), good(noon), good(noon - 1), good(noon - 2), good(noon - 3)}, []int{4}},
	} {
		t.Run(name, func(t *testing.T) {
			var want []string
			for _, i := range c.goes {
				want = append(want, c.list[i].Name)
			}
			var got []string
			for _, f := range s.Surplus(c.list, noon, utc.DayOf) {
				got = append(got, f.Name)
			}
			if !slices.Equal(got, want) {
				t.Errorf("%v go, want %v", got, want)
			}
		})
	}
}

func TestNothingGoesThatIsNotOursAndTheLastGoodOneNever(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		now := noon
		s := Schedule{Every: day, Kept: rapid.IntRange(-1, 9).Draw(t, "kept")}
		kinds := []Known{ReadThrough, ReadThrough, HashHolds, Unread, Damaged, Unstated, Foreign}
		list := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Found {
			return Found{Known: rapid.SampledFrom(kinds).Draw(t, "known"), ByServer: rapid.IntRange(0, 3).Draw(t, "by") > 0,
				Made: now.Add(civil.Minutes(rapid.IntRange(-400*24*60, 24*60).Draw(t, "made")))}
		}), 0, 60).Draw(t, "list")
		for i := range list {
			list[i].Name = fmt.Sprint(i)
		}
		gone := s.Surplus(list, now, utc.DayOf)
		last, any := LastGood(list, now)
		left := slices.DeleteFunc(slices.Clone(list), func(f Found) bool { return slices.Contains(gone, f) })
		for _, f := range gone {
			if !f.ByServer || !f.Good(now) || any && f == last {
				t.Fatalf("%+v goes", f)
			}
		}
		if again := s.Surplus(left, now, utc.DayOf); len(again) > 0 {
			t.Fatalf("what stayed goes the next time: %v", again)
		}
		ours := 0
		for _, f := range list {
			if f.ByServer && f.Good(now) {
				ours++
			}
		}
		if stay := ours - len(gone); stay < min(ours, max(1, s.Kept)) || stay > max(1, s.Kept)+weeksKept+1+monthsKept+1 {
			t.Fatalf("%d of %d stay, %d are wished", stay, ours, s.Kept)
		}
	})
}

func TestAfterAYearOfDailyBackupsEachMonthAndTheLastWeeksHaveTheirs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := Schedule{Every: day, Kept: rapid.IntRange(1, 14).Draw(t, "kept")}
		missed := rapid.IntRange(0, 9).Draw(t, "missed in ten")
		var list []Found
		months, weeks := []civil.Day{}, []civil.Day{} // that had one, oldest first
		now := noon
		for range 400 {
			now = now.Add(day)
			if rapid.IntRange(0, 9).Draw(t, "day") < missed {
				continue
			}
			list = append(list, good(now))
			for _, p := range []struct {
				of *[]civil.Day
				d  civil.Day
			}{{&months, utc.DayOf(now).MonthEnd()}, {&weeks, utc.DayOf(now).Monday()}} {
				if !slices.Contains(*p.of, p.d) {
					*p.of = append(*p.of, p.d)
				}
			}
			gone := s.Surplus(list, now, utc.DayOf)
			list = slices.DeleteFunc(list, func(f Found) bool { return slices.Contains(gone, f) })
		}
		has := func(period func(civil.Day) civil.Day, want civil.Day) bool {
			return slices.ContainsFunc(list, func(f Found) bool { return period(utc.DayOf(f.Made)) == want })
		}
		for _, m := range months[max(0, len(months)-monthsKept-1):] {
			if !has(civil.Day.MonthEnd, m) {
				t.Fatalf("no backup of the month that ends on %s is left", m)
			}
		}
		for _, w := range weeks[max(0, len(weeks)-weeksKept-1):] {
			if !has(civil.Day.Monday, w) {
				t.Fatalf("no backup of the week of %s is left", w)
			}
		}
	})
}

func TestItTurnsLoudAMinuteAfterTheLastGoodOneIsTooOld(t *testing.T) {
	s := Schedule{Every: day, Kept: 3, LoudAfter: 3 * day}
	for name, c := range map[string]struct {
		list []Found
		want Loud
	}{
		"none":                       {nil, NoneGood},
		"three days to the minute":   {[]Found{good(noon.Add(-3 * day))}, ""},
		"a minute more":              {[]Found{good(noon.Add(-3*day) - 1)}, TooOld},
		"a newer one that is unread": {[]Found{{Known: Unread, Made: noon}, good(noon.Add(-3*day) - 1)}, TooOld},
		"only one dated after now":   {[]Found{good(noon.Add(slack) + 1)}, NoneGood},
		"one a little after now":     {[]Found{good(noon.Add(slack))}, ""},
	} {
		t.Run(name, func(t *testing.T) {
			if got := s.loud(c.list, noon); got != c.want {
				t.Errorf("%q, want %q", got, c.want)
			}
		})
	}
}
