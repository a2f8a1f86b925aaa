package demo

import (
	"fmt"
	"testing"
	"time"

	"rungbook/internal/civil"
	"rungbook/internal/store"
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

func open(t testing.TB, d civil.Day) *store.Store {
	t.Helper()
	s, err := store.Open(t.Context(), store.Options{Dir: t.TempDir(), Clock: clockAt(t, d)})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	return s
}

func TestFillProbe(t *testing.T) {
	today := day(t, "2026-11-25")
	s := open(t, today)
	t0 := time.Now()
	if err := Fill(t.Context(), s, Config{Today: today, Seed: 1}); err != nil {
		t.Fatal(err)
	}
	fmt.Println("fill", time.Since(t0))
	err := s.Read(t.Context(), func(v *store.View) error { fmt.Println(v.Entries()); return nil })
	if err != nil {
		t.Fatal(err)
	}
}
