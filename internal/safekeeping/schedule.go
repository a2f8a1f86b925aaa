package safekeeping

import (
	"cmp"
	"slices"

	"rungbook/internal/civil"
)

// Schedule says when a backup is due, which ones stay, and when their absence
// turns loud.
type Schedule struct {
	Every     civil.Minutes // from one to the next
	Kept      int           // the newest so many stay, at least 1
	LoudAfter civil.Minutes // the last good one may be this old
}

// What stays beside the newest: of each week and month that is over, its last
// backup, so that a damage that is noticed late finds an older one. Common
// practice, no source.
const (
	weeksKept  = 4
	monthsKept = 12
)

// After a failure it is tried again after firstRetry, then after twice that, up to
// lastRetry; never later than the schedule itself would. Common practice, no source.
const (
	firstRetry = civil.Minutes(5)
	lastRetry  = civil.Minutes(60)
)

// Due is when the next backup is due: one interval after the last good one, at once
// where there is none (last is 0); after failures in a row, the newest at tried, not
// before the wait that they ask for.
func (s Schedule) Due(last, tried civil.Instant, failures int, now civil.Instant) civil.Instant {
	due := now
	if last != 0 {
		due = last.Add(s.Every)
	}
	if failures > 0 {
		due = max(due, tried.Add(s.retry(failures)))
	}
	return due
}

func (s Schedule) retry(failures int) civil.Minutes {
	wait := firstRetry
	for i := 1; i < failures && wait < lastRetry; i++ {
		wait *= 2
	}
	return min(wait, lastRetry, s.Every)
}

// slack is how far ahead of the clock a backup may be dated, as after the clock was
// set right. What is dated later is not believed.
const slack = civil.Minutes(10)

// LastGood is the newest good backup by a moment; false where there is none.
func LastGood(list []Found, now civil.Instant) (last Found, ok bool) {
	for _, f := range list {
		if f.Good(now) && (!ok || last.before(f)) {
			last, ok = f, true
		}
	}
	return last, ok
}

// Surplus returns the backups that need not stay: of those that a server made and
// that are good, all but the newest s.Kept, the last of each of the newest weeks and
// months that hold one, and the last good one. Whatever else lies in the folder is
// not for us to take away. day is the day that a moment falls on.
func (s Schedule) Surplus(list []Found, now civil.Instant, day func(civil.Instant) civil.Day) []Found {
	var ours, surplus []Found
	for _, f := range list {
		if f.ByServer && f.Good(now) {
			ours = append(ours, f)
		}
	}
	slices.SortFunc(ours, newestFirst)
	weeks, months := map[civil.Day]bool{}, map[civil.Day]bool{}
	for i, f := range ours {
		d := day(f.Made)
		week, month := d.Monday(), d.MonthEnd()
		firstOfWeek, firstOfMonth := !weeks[week], !months[month]
		weeks[week], months[month] = true, true
		stays := i < max(1, s.Kept) || firstOfWeek && len(weeks) <= weeksKept+1 || firstOfMonth && len(months) <= monthsKept+1
		if !stays {
			surplus = append(surplus, f)
		}
	}
	return surplus
}

func (f Found) before(g Found) bool { return newestFirst(f, g) > 0 }

// newestFirst orders backups; of one minute, by name, which holds the second.
func newestFirst(a, b Found) int {
	return cmp.Or(cmp.Compare(b.Made, a.Made), cmp.Compare(b.Name, a.Name))
}

// Loud is why a yard's backups ask for somebody at once; "" = they don't.
type Loud string

// The reasons.
const (
	NoSchedule Loud = "no-schedule" // nobody said where backups go
	NoFolder   Loud = "no-folder"   // the folder can't be read
	NoneGood   Loud = "none-good"
	TooOld     Loud = "too-old"
)

// loud judges what was found.
func (s Schedule) loud(list []Found, now civil.Instant) Loud {
	last, ok := LastGood(list, now)
	switch {
	case !ok:
		return NoneGood
	case now.Sub(last.Made) > s.LoudAfter:
		return TooOld
	}
	return ""
}
