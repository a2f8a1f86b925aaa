package demo

import (
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/plan"
	"rungbook/internal/plan/check"
	"rungbook/internal/session"
	"rungbook/internal/verdict"
)

// todays are days on which a demo has often been made: each weekday, month and
// year ends, leap days, and the days around both clock changes.
var todays = []string{
	"2026-11-25", "2026-11-28", "2026-11-29", "2026-12-24", "2026-12-25", "2026-12-31", "2027-01-01",
	"2027-03-15", "2027-03-26", "2027-03-27", "2027-03-28", "2027-03-29", "2027-06-15", "2027-08-31",
	"2027-10-29", "2027-10-30", "2027-10-31", "2027-11-01", "2028-02-28", "2028-02-29", "2028-03-01",
}

func scenario(t testing.TB, today string) *Scenario {
	t.Helper()
	s, err := New(Config{Today: day(t, today), Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// repeating are the trainees who do an exercise again, because they did not
// complete it the first time. The judge knows of no results and minds that; the
// next test does know them.
func (r *records) repeating() map[string]bool {
	type did struct {
		who  id.Trainee
		what id.Exercise
	}
	seen := map[did]bool{}
	out := map[string]bool{}
	for _, s := range r.sessions {
		if s.State == session.StoodDown {
			continue
		}
		for _, who := range s.Trainees {
			if seen[did{who, s.Exercise}] {
				out[string(who)] = true
			}
			seen[did{who, s.Exercise}] = true
		}
	}
	return out
}

func TestTheJudgeFindsNothingInTwoYearsOfSessions(t *testing.T) {
	for _, today := range todays {
		t.Run(today, func(t *testing.T) { judge(t, scenario(t, today)) })
	}
}

func TestALongAndCrowdedHistoryIsValidToo(t *testing.T) {
	s, err := New(Config{Today: day(t, "2026-11-25"), Seed: 3, Years: 6, Scale: 2})
	if err != nil {
		t.Fatal(err)
	}
	if n, two := len(recordsOf(s).sessions), len(recordsOf(scenario(t, "2026-11-25")).sessions); n < 4*two {
		t.Errorf("%d sessions in 6 crowded years, want at least 4 times the %d of 2 years", n, two)
	}
	judge(t, s)
}

// judge asks plan/check about every session of a scenario.
func judge(t *testing.T, s *Scenario) {
	t.Helper()
	r := recordsOf(s)
	first := s.Facts[0].Day
	p := r.problem(t, s.Zone, first, int(s.Monday-first)+35)
	if err := p.Usable(); err != nil {
		t.Fatal(err)
	}
	report := check.Plan(p, &plan.Plan{Sessions: r.planned()}, check.Options{})
	repeating := r.repeating()
	style := verdict.PlainStyle(s.Zone)
	for _, f := range report.Findings {
		if f.Rule == "needed-once" && repeating[f.Who.ID] {
			continue
		}
		t.Errorf("%s %s %s: %s; required: %s", f.Level, f.Rule, f.Who.ID, f.Found.In(style), f.Required.In(style))
	}
}

// completed reports whether a trainee completed the exercise of a signed session.
func (r *records) completed(s session.Session, who id.Trainee) bool {
	for _, p := range r.attendance[s.ID].Presences {
		if p.Who == string(who) && p.Mark == session.DidNotCome {
			return false
		}
	}
	for _, x := range r.results[s.ID].Results {
		if x.Trainee == who && (x.Result == session.NotYetCompetent || s.State == session.CutShort && x.Result != session.Competent) {
			return false
		}
	}
	return true
}

func TestNobodyRepeatsWhatTheyCompletedNorSkipsWhatComesFirst(t *testing.T) {
	for _, today := range todays[:7] {
		s := scenario(t, today)
		r := recordsOf(s)
		after := map[id.Exercise][]id.Exercise{}
		for _, e := range r.exercises {
			for _, a := range e.After {
				after[e.ID] = append(after[e.ID], a.Exercise)
			}
		}
		type did struct {
			who  id.Trainee
			what id.Exercise
		}
		sessionsByStart(r.sessions)
		done := map[did]civil.Instant{}
		for _, x := range r.sessions {
			if x.State == session.StoodDown {
				continue
			}
			for _, who := range x.Trainees {
				if _, twice := done[did{who, x.Exercise}]; twice {
					t.Errorf("%s: trainee %s repeats %s, which they completed", today, who, x.Exercise)
				}
				for _, first := range after[x.Exercise] {
					if end, ok := done[did{who, first}]; !ok || end > x.Start {
						t.Errorf("%s: trainee %s is in %s before completing %s", today, who, x.Exercise, first)
					}
				}
			}
			for _, who := range x.Trainees {
				if x.State == session.Booked || x.State == session.Pencilled || r.completed(x, who) {
					done[did{who, x.Exercise}] = x.End
				}
			}
		}
	}
}
