package demo

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
	"rungbook/internal/session"
	"rungbook/internal/verdict"
)

func TestTheSameDayAndSeedGiveTheSameFacts(t *testing.T) {
	for _, today := range []string{"2026-11-25", "2028-02-29"} {
		a, b := scenario(t, today), scenario(t, today)
		if d := cmp.Diff(a.Facts, b.Facts, cmp.AllowUnexported(Fact{})); d != "" {
			t.Errorf("%s: two scenarios differ:\n%s", today, d)
		}
		other, err := New(Config{Today: day(t, today), Seed: 2})
		if err != nil {
			t.Fatal(err)
		}
		if cmp.Equal(a.Facts, other.Facts, cmp.AllowUnexported(Fact{})) {
			t.Errorf("%s: another seed gives the same facts", today)
		}
	}
}

func between(t *testing.T, what string, got, least, most int) {
	t.Helper()
	if got < least || got > most {
		t.Errorf("%d %s, want %d to %d", got, what, least, most)
	}
}

func TestTheYardIsAsBigAsPromised(t *testing.T) {
	for _, today := range todays {
		t.Run(today, func(t *testing.T) {
			s := scenario(t, today)
			r := recordsOf(s)
			between(t, "rigs", len(r.rigs), 4, 6)
			between(t, "stations", len(r.stations), 11, 18)
			between(t, "exercises", len(r.exercises), 16, 40)
			between(t, "programmes", len(r.programmes), 5, 5)
			between(t, "staff", len(r.staff), 11, 13)
			present, former := r.trainedPersons(len(r.intakes) - len(present))
			between(t, "present trainees", len(present), 80, 100)
			between(t, "former trainees", len(former), 215, 300)
			past := 0
			for _, x := range r.sessions {
				if x.State == session.SignedOff {
					past++
				}
			}
			between(t, "signed sessions", past, 700, 1200)
			between(t, "certificates that lapse within a year", len(r.lapsing(s.Today)), 300, 800)
		})
	}
}

// trainedPersons parts the persons who are trainees by whether they are in an
// intake from the n-th on.
func (r *records) trainedPersons(n int) (present, former map[id.Person]bool) {
	present, former = map[id.Person]bool{}, map[id.Person]bool{}
	now := map[id.Intake]bool{}
	for _, in := range r.intakes[n:] {
		now[in.ID] = true
	}
	for _, x := range r.trainees {
		if now[x.Intake] {
			present[x.Person] = true
		}
	}
	for _, x := range r.trainees {
		if !present[x.Person] {
			former[x.Person] = true
		}
	}
	return present, former
}

// lapsing are the trainees' certificates whose last valid day lies in the coming
// year.
func (r *records) lapsing(today civil.Day) (out []credential.Certificate) {
	staff := map[id.Person]bool{}
	for _, x := range r.staff {
		staff[x.ID] = true
	}
	for _, c := range r.certificates {
		if !staff[c.Person] && c.State == credential.Valid && today <= c.Until && c.Until <= today+365 {
			out = append(out, c)
		}
	}
	return out
}

func TestTheBoardIsBusyOnEveryDayToCome(t *testing.T) {
	for _, today := range todays {
		t.Run(today, func(t *testing.T) {
			s := scenario(t, today)
			r := recordsOf(s)
			closed := map[civil.Day]bool{}
			for _, d := range r.yard.ClosedDays {
				closed[d.Day] = true
			}
			perDay, cells := map[civil.Day]int{}, map[string]bool{}
			for _, x := range r.sessions {
				d := s.Zone.DayOf(x.Start)
				perDay[d]++
				if s.Monday <= d && d < s.Monday+7 {
					cells[string(x.Station)+d.String()] = true
				}
			}
			days := 0
			for d := s.Monday; d < s.Monday+lastBooked; d++ {
				if d.Weekday() > 5 || closed[d] {
					continue
				}
				if d < s.Monday+7 {
					days++
				}
				if d >= s.Today && d < s.Monday+14 && perDay[d] == 0 {
					t.Errorf("no session on %s, an open day", d)
				}
			}
			if perDay[s.Today] == 0 && s.Today.Weekday() <= 5 && !closed[s.Today] {
				t.Error("no session today")
			}
			// The upper deck is shut over the running week.
			open := (len(stations) - 1) * days
			t.Log(100 * len(cells) / open)
			between(t, "cells of the running week's board in use, in a hundred", 100*len(cells)/open, 50, 85)
		})
	}
}

func TestTuesdayShowsEveryStateThereCanBe(t *testing.T) {
	for _, today := range todays {
		s := scenario(t, today)
		states := map[session.State]int{}
		tuesday := s.Monday + 1
		closed := false
		r := recordsOf(s)
		for _, x := range r.sessions {
			if s.Zone.DayOf(x.Start) == tuesday {
				states[x.State]++
			}
		}
		for _, d := range r.yard.ClosedDays {
			closed = closed || d.Day == tuesday
		}
		want := []session.State{session.StoodDown, session.SignedOff}
		if tuesday >= s.Today {
			want = []session.State{session.StoodDown, session.Booked, session.Pencilled}
		}
		for _, w := range want {
			if states[w] == 0 && !closed {
				t.Errorf("%s: no session is %s on %s: %v", today, w, tuesday, states)
			}
		}
	}
}

func TestTheRuleBookIsConfirmedInEveryField(t *testing.T) {
	s := scenario(t, "2026-11-25")
	r := recordsOf(s)
	between(t, "versions of the rule book", len(r.books), 2, 2)
	for _, b := range r.books {
		if missing := b.Confirmed(nil, b.From); len(missing) > 0 {
			t.Errorf("rule book of %s is not confirmed for %v", b.From, missing)
		}
		if !slices.Equal(b.Fields(), append(verdict.Fields(), verdict.Planning)) {
			t.Errorf("rule book of %s has lines for %v", b.From, b.Fields())
		}
	}
}

func TestOnePlanIsDueForReviewAndOneStationShut(t *testing.T) {
	for _, today := range todays {
		s := scenario(t, today)
		plans := Records(s, func(p rig.RescuePlan) id.RescuePlan { return p.ID })
		due := 0
		for _, p := range plans {
			if p.ReviewBy < s.Today {
				t.Errorf("%s: plan %s has lapsed on %s", today, p.Name, p.ReviewBy)
			}
			if p.ReviewBy <= s.Today+14 {
				due++
			}
		}
		if due != 1 {
			t.Errorf("%s: %d rescue plans are due within 14 days, want 1", today, due)
		}
		shut, r := 0, recordsOf(s)
		at := s.Zone.At(max(s.Today, s.Monday), 10*60)
		for _, st := range r.stations {
			causes := r.register.StationAt(st.ID, civil.Period{Start: at, End: at + 60})
			if len(causes) == 0 || st.Name == text(convertingStation.name) {
				continue
			}
			shut++
			if causes[0].Kind != rig.IsShut || causes[0].Reason != rig.ShutAnchorTest {
				t.Errorf("%s: %s is out of use: %v", today, st.Name, causes)
			}
		}
		if shut != 1 {
			t.Errorf("%s: %d stations are out of use, want 1", today, shut)
		}
	}
}

func TestCertificatesAreNumberedAndDatedByTheRuleBook(t *testing.T) {
	s := scenario(t, "2026-11-25")
	r := recordsOf(s)
	seen := map[int]bool{}
	terms := map[id.Programme]rulebook.Terms{}
	for _, p := range r.programmes {
		x, ok := r.books[0].Terms(p.Validity)
		if !ok {
			t.Fatalf("programme %s names line %s, which the rule book lacks", p.Name, p.Validity)
		}
		terms[p.ID] = x
	}
	renewed := 0
	for _, c := range r.certificates {
		if (c.Kind == credential.ForProgramme) != (c.Number != 0) {
			t.Errorf("certificate of kind %s has number %d", c.Kind, c.Number)
		}
		if c.Number == 0 {
			continue
		}
		if seen[c.Number] || c.Number < firstNumber {
			t.Errorf("number %d is given twice or too small", c.Number)
		}
		seen[c.Number] = true
		want, ok := credential.LastValidDay(c.CountsFrom, c.Months, terms[c.Programme].Until)
		if !ok || c.Until != want {
			t.Errorf("certificate %d is valid to %s, %d months from %s are %s", c.Number, c.Until, c.Months, c.CountsFrom, want)
		}
		if c.CountsFrom != c.Completed {
			renewed++
		}
	}
	between(t, "certificates that a refresher renewed from the old day", renewed, 10, 100)
}
