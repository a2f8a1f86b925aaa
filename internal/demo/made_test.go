package demo

import (
	"context"
	"errors"
	"testing"
	"time"

	"rungbook/internal/civil"
	"rungbook/internal/people"
	"rungbook/internal/store"
)

// made reads what of the demo is in a store.
func made(t *testing.T, s *store.Store) (out Made, ours bool) {
	t.Helper()
	err := s.Read(t.Context(), func(v *store.View) (err error) {
		out, ours, err = MadeIn(v)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out, ours
}

func TestABrokenOffFillingIsSeenAndGoesOnToTheSameRecord(t *testing.T) {
	c := Config{Today: day(t, "2027-03-02"), Seed: 1}
	whole := filled(t, c)
	if got, ours := made(t, whole); !ours || got != (Made{Day: c.Today, Whole: true}) {
		t.Errorf("a whole demo: got %+v, %t", got, ours)
	}
	err := whole.Read(t.Context(), func(v *store.View) error {
		if got, ours, err := MadeIn(v.At(v.Head(), c.Today-30)); err != nil || !ours || !got.Whole {
			t.Errorf("a whole demo, by a clock a month behind: got %+v, %t, %v", got, ours, err)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}

	// The clock is read at least once a write; the hundredth reading ends the filling.
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	readings := 0
	clock := func() time.Time {
		if readings++; readings == 100 {
			cancel()
		}
		return clockAt(c.Today)()
	}
	s, err := store.Open(t.Context(), store.Options{Dir: t.TempDir(), Clock: clock})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if _, ours := made(t, s); ours {
		t.Error("an empty record is taken for a demo")
	}
	if err := Fill(ctx, s, c); !errors.Is(err, context.Canceled) {
		t.Fatalf("got %v, want that the filling is broken off", err)
	}
	if got, ours := made(t, s); !ours || got != (Made{Day: c.Today}) {
		t.Errorf("half a demo: got %+v, %t", got, ours)
	}
	if err := Fill(t.Context(), s, c); err != nil {
		t.Fatal(err)
	}
	if got, ours := made(t, s); !ours || !got.Whole {
		t.Errorf("after it went on: got %+v, %t", got, ours)
	}
	if got, want := entries(t, s), entries(t, whole); got != want {
		t.Errorf("%d entries after it went on, %d in one go", got, want)
	}
}

func entries(t *testing.T, s *store.Store) (n int64) {
	t.Helper()
	err := s.Read(t.Context(), func(v *store.View) error { n = v.Entries(); return nil })
	if err != nil {
		t.Fatal(err)
	}
	return n
}

func TestAYardThatIsNotTheDemosIsNotTakenForIt(t *testing.T) {
	for _, key := range []string{"8vk2", "demo", "demo tomorrow 0000"} {
		t.Run(key, func(t *testing.T) {
			s, err := store.Open(t.Context(), store.Options{Dir: t.TempDir(), Clock: civil.Real})
			if err != nil {
				t.Fatal(err)
			}
			defer s.Close()
			_, err = s.Write(t.Context(), store.Command{Key: key}, func(tx *store.Tx) (store.Outcome, error) {
				_, err := tx.Put("recorded", 0, people.Person{ID: "ada"})
				return "", err
			})
			if err != nil {
				t.Fatal(err)
			}
			if got, ours := made(t, s); ours {
				t.Errorf("got %+v", got)
			}
		})
	}
}
