package planning_test

import (
	"slices"
	"strconv"
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/plan"
	"rungbook/internal/planning"
	"rungbook/internal/session"
	"rungbook/internal/verdict"
)

// A slice reaches as far as any rule looks. Each pair below lets the widest of
// them decide: one session more, or one hour, far away from the proposed one.

// fortnight is the first Monday after today that begins a block of 14 days.
func fortnight() civil.Day {
	d := today
	for d.Monday() != d || (d/7)%2 != 0 {
		d++
	}
	return d
}

// everyDay puts a lesson of Brona's on each day in [from, until) at an hour, but
// for the days left out.
func everyDay(from, until civil.Day, hour civil.Minutes, without ...civil.Day) (out []any) {
	for d := from; d < until; d++ {
		if !slices.Contains(without, d) {
			out = append(out, run(id.Session("day-"+strconv.Itoa(int(d))), "theory", at(d, hour, 0), session.Booked, nil, "brona"))
		}
	}
	return out
}

// onlyBlocks leaves Brona bound by rest in blocks of 14 days alone: 48 h once in
// each (Working Time Regulations 1998, reg 11(2)(b)).
func onlyBlocks() *records {
	r := sound()
	r.book = set(set(set(set(r.book, "site.weekly-rest", 0), "site.run-days", 0), "site.week-minutes", 0), "site.weekly-rest-days", 0)
	return r
}

func TestTheSliceReachesOverAWholeBlockOfRestOnBothSides(t *testing.T) {
	start := fortnight() + 14
	for _, c := range []struct {
		name      string
		proposed  civil.Day
		free      []civil.Day // days without a lesson in the block
		wantStops bool
	}{
		// The only 48 h of the block are its last two days; a lesson on either cuts
		// them to less, and that shows only to who sees the first day too.
		{"on its last day, all other days worked but the day before", start + 13, []civil.Day{start + 12, start + 13}, true},
		{"on its last day, with two days free at its beginning", start + 13, []civil.Day{start, start + 1, start + 13}, false},
		{"on its first day, all other days worked but the day after", start, []civil.Day{start, start + 1}, true},
		{"on its first day, with two days free at its end", start, []civil.Day{start, start + 12, start + 13}, false},
	} {
		r := onlyBlocks()
		r.more = everyDay(start-2, start+16, 12, c.free...)
		got := open(t, r).judge(planning.AsPlan(run("new", "theory", at(c.proposed, 12, 0), session.Booked, tilde, "brona")))
		if stops := breaks(got, "weekly-rest"); stops != c.wantStops {
			t.Errorf("%s: %q, want weekly-rest stopping: %t", c.name, got, c.wantStops)
		}
	}
}

func TestARunOfDaysIsSeenToItsFarEnd(t *testing.T) {
	for _, limit := range []int64{14, 13} { // 13 days behind and the proposed one
		r := sound()
		r.book = set(set(set(r.book, "site.run-days", limit), "site.weekly-rest", 0), "site.week-minutes", 0)
		r.book = set(set(r.book, "uk-adult-b.weekly-rest", 0), "uk-adult-b.weekly-rest-days", 0)
		r.more = everyDay(today, today+13, 12)
		got := open(t, r).judge(planning.AsPlan(run("new", "theory", at(today+13, 12, 0), session.Booked, tilde, "brona")))
		if stops := breaks(got, "day-run"); stops != (limit < 14) {
			t.Errorf("at most %d days in a row: %q, want day-run stopping: %t", limit, got, limit < 14)
		}
	}
}

func TestALimitWiderThanThoseShippedWidensTheSlice(t *testing.T) {
	for _, limit := range []int64{60, 59} {
		r := sound()
		r.book = set(set(set(r.book, "site.run-days", limit), "site.weekly-rest", 0), "site.week-minutes", 0)
		r.book = set(set(r.book, "uk-adult-b.weekly-rest", 0), "uk-adult-b.weekly-rest-days", 0)
		r.more = everyDay(today, today+59, 12)
		got := open(t, r).judge(planning.AsPlan(run("new", "theory", at(today+59, 12, 0), session.Booked, nil, "brona")))
		if stops := breaks(got, "day-run"); stops != (limit < 60) {
			t.Errorf("at most %d days in a row: %q, want day-run stopping: %t", limit, got, limit < 60)
		}
	}
}

func TestWhatWasDoneLongAgoAndWhatIsBookedFarAheadDecideTheOrder(t *testing.T) {
	r := sound()
	r.more = knowsTheory(today - 99)               // more than three months before
	r.programme.Exercises = []id.Exercise{"climb"} // no span of the course binds the theory
	b := open(t, r)
	if got := b.judge(climb(at(wednesday, 10, 0))); got != nil {
		t.Errorf("theory done 99 days ago: %q, want clear", got)
	}

	// Theory is booked, and a climb that builds on it seven weeks later.
	r = sound()
	first := run("first", "theory", at(wednesday, 10, 0), session.Booked, tilde, "brona")
	then := run("then", "climb", at(wednesday+50, 10, 0), session.Booked, tilde, "brona", "ana", "ivo")
	r.more = []any{first, then}
	b = open(t, r)
	s := b.slice(planning.AsPlan(first))
	if got := lines(s, s.Change([]string{"first"}, nil)); !breaks(got, "order") {
		t.Errorf("standing the theory down: %q, want order of the climb seven weeks on", got)
	}
	for _, c := range []struct {
		moved civil.Instant
		clear bool
	}{{at(wednesday, 11, 0), true}, {at(wednesday+50, 8, 0), true}, {at(wednesday+50, 13, 0), false}} {
		p := planning.AsPlan(first)
		p.Start, p.End = c.moved, c.moved.Add(60)
		d := dublin.DayOf(p.Start)
		s := b.build(planning.Scope{From: wednesday, Until: d, Day: d, Trainees: tilde, Staff: []id.Person{"brona"}})
		if got := lines(s, s.Judge([]string{"first"}, []plan.Session{p})); breaks(got, "order") == c.clear {
			t.Errorf("moving the theory to %s: %q, want order clear %t", dublin.Format(c.moved), got, c.clear)
		}
	}
}

func TestTwoRuleBooksInTheDaysAskedForJudgeByTheStricter(t *testing.T) {
	next := set(set(book("next", today+3), "site.daily-rest", 13*60), "site.first-aiders", 2)
	next = set(next, "site.ratio-practical", 1)
	r := sound()
	r.climb.Minutes = 30
	r.more = append(knowsTheory(today-20), next, run("evening", "theory", at(today, 20, 0), session.Booked, nil, "brona"))
	b := open(t, r)
	p := planning.AsPlan(run("new", "theory", at(today+1, 9, 0), session.Booked, []id.Trainee{"t-osei"}, "brona"))
	judge := func(until civil.Day) []string {
		s := b.build(planning.Scope{From: today + 1, Until: until, Trainees: []id.Trainee{"t-osei"}})
		if noted := s.Note() != nil; noted != (until > today+2) {
			t.Errorf("to %s: a note says that the rule book changes: %t", until, noted)
		}
		return lines(s, s.Judge(nil, []plan.Session{p}))
	}
	if got := judge(today + 2); got != nil {
		t.Errorf("12 h of rest by the book of the day: %q, want clear", got)
	}
	if got := judge(today + 3); !breaks(got, "daily-rest") {
		t.Errorf("with the next book's days asked for too: %q, want daily-rest by its 13 h", got)
	}
	s := b.build(planning.Scope{From: today + 1, Until: today + 3})
	i := slices.IndexFunc(s.Problem.Exercises, func(e plan.Exercise) bool { return e.ID == "climb" })
	if got := s.Problem.Exercises[i].Ratio; got != 1 {
		t.Errorf("ratio %d, want the next book's 1", got)
	}
	i = slices.IndexFunc(s.Problem.Stations, func(x plan.Station) bool { return x.ID == "deck" })
	if got := s.Problem.Stations[i].FirstAiders; got != 2 {
		t.Errorf("%d first aiders, want the next book's 2", got)
	}
}

func TestTheNextBookStopsItsOwnDaysUntilItIsConfirmed(t *testing.T) {
	next := book("next", today+3)
	next.Confirmations = nil
	r := sound()
	r.more = append(knowsTheory(today-20), next)
	b := open(t, r)
	if got := b.judge(climb(at(today+2, 10, 0))); got != nil {
		t.Errorf("on the last day of the old book: %q, want clear", got)
	}
	if got := b.judge(climb(at(today+3, 10, 0))); !breaks(got, "station-shut") {
		t.Errorf("on the first day of the new book: %q, want station-shut", got)
	}
}

func TestCausesPointAtLinesOfTheRuleBook(t *testing.T) {
	b := open(t, sound())
	s := b.slice(climb(at(wednesday, 10, 0)))
	f := verdict.Finding{At: "/exercises/" + strconv.Itoa(slices.IndexFunc(s.Problem.Exercises, func(e plan.Exercise) bool { return e.ID == "theory" })) + "/ratio"}
	if _, ok := s.Cause(f); ok {
		t.Error("the theory's own ratio binds, yet a cause says that the rule book's does")
	}
	r := sound()
	r.climb.Ratio, r.book = 6, set(r.book, "site.ratio-practical", 4)
	s = open(t, r).slice(climb(at(wednesday, 10, 0)))
	f.At = "/exercises/" + strconv.Itoa(slices.IndexFunc(s.Problem.Exercises, func(e plan.Exercise) bool { return e.ID == "climb" })) + "/ratio"
	if c, ok := s.Cause(f); !ok || c.Line != "site.ratio-practical" {
		t.Errorf("cause %+v, want the line site.ratio-practical", c)
	}
}
