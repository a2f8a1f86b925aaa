package demo

import (
	"slices"
	"strings"
	"testing"
	"time"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/plan"
	"rungbook/internal/planning"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

func day(t testing.TB, s string) civil.Day {
	t.Helper()
	d, err := civil.ParseDay(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// clockAt stands still on a morning of a day.
func clockAt(t testing.TB, d civil.Day) civil.Clock {
	t.Helper()
	z, err := civil.LoadZone(yardZone)
	if err != nil {
		t.Fatal(err)
	}
	at := time.Unix(int64(z.At(d, 9*60+10))*60, 0)
	return func() time.Time { return at }
}

func filled(t testing.TB, c Config) *store.Store {
	t.Helper()
	s, err := store.Open(t.Context(), store.Options{Dir: t.TempDir(), Clock: clockAt(t, c.Today)})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	if err := Fill(t.Context(), s, c); err != nil {
		t.Fatal(err)
	}
	return s
}

func TestPlanningFindsNothingInTheRunningWeeks(t *testing.T) {
	for _, today := range []string{"2026-11-25", "2027-03-27", "2028-02-29"} {
		c := Config{Today: day(t, today), Seed: 1}
		s := filled(t, c)
		err := s.Read(t.Context(), func(v *store.View) error {
			var b planning.Builder
			slice, err := b.Build(v, planning.Scope{From: c.Today, Until: c.Today + 20, Everyone: true})
			if err != nil {
				return err
			}
			style := verdict.PlainStyle(v.Zone())
			style.Ref = slice.Name
			for _, f := range slice.All().Findings {
				t.Errorf("%s: %s %s %s: %s; required: %s", today, f.Level, f.Rule, slice.Name(f.Who), f.Found.In(style), f.Required.In(style))
			}
			return everyCautionIsAccepted(t, v, slice)
		})
		if err != nil {
			t.Fatal(err)
		}
	}
}

// everyCautionIsAccepted compares what planning cautions about each booked
// session with what was accepted, and counts on there being some.
func everyCautionIsAccepted(t *testing.T, v *store.View, slice *planning.Slice) error {
	cautions := 0
	for _, p := range slice.Standing {
		if strings.HasSuffix(p.Exercise, ".past") || p.Start < v.Zone().StartOfDay(v.Today()) {
			continue
		}
		accepted, err := v.Acceptances(id.Session(p.ID))
		if err != nil {
			return err
		}
		for _, f := range slice.Change([]string{p.ID}, []plan.Session{p}).At(verdict.Cautions) {
			cautions++
			if !slices.ContainsFunc(accepted, func(a session.Acceptance) bool {
				return a.Rule == f.Rule && a.Subject == f.Subject() && a.Field == f.Field && a.By != ""
			}) {
				t.Errorf("caution %s of session %s (%s) is not accepted", f.Rule, p.ID, slice.Name(verdict.Ref{Kind: verdict.Exercise, ID: p.Exercise}))
			}
		}
	}
	if cautions < 5 {
		t.Errorf("%d cautions in the running weeks, want at least 5 for a visitor to see", cautions)
	}
	return nil
}
