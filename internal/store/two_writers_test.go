package store

import (
	"context"
	"testing"

	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/session"
)

// TestWhatAnotherServerWroteMeanwhileDecidesWhoCompleted has a second store on the same
// folder ask more of an exercise between two signatures of the first.
func TestWhatAnotherServerWroteMeanwhileDecidesWhoCompleted(t *testing.T) {
	b := newBench(t)
	b.yard()
	other := &bench{t: t, dir: b.dir, at: b.at}
	other.open()
	t.Cleanup(func() {
		if err := other.Close(); err != nil {
			t.Error(err)
		}
	})
	sign := func(of id.Session) {
		s := booked(of, nine)
		s.State = session.SignedOff
		a, r := session.Attendance{Session: of}, session.Results{Session: of, By: "brona"}
		for _, who := range s.Trainees {
			a.Presences = append(a.Presences, session.Presence{Who: string(who), Part: session.AsTrainee, Mark: session.Present, Start: s.Start, End: s.End})
			r.Results = append(r.Results, session.Result{Trainee: who, Outcome: "harness-on", Result: session.Competent})
		}
		b.put(s, a, r)
	}
	sign("first")
	_, err := other.Write(context.Background(), other.command(), func(tx *Tx) (Outcome, error) {
		more := curriculum.Outcome{ID: "harness-off", Name: tx.Seal("harness-off", "name", "Takes a harness off")}
		asks := curriculum.Exercise{ID: "harness", Name: tx.Seal("harness", "name", "Harness basics"), Minutes: 90, Stations: []id.Station{"deck-a"},
			Outcomes: []id.Outcome{"harness-on", "harness-off"}}
		return "/done", putFrom(tx, tx.Today(), more, asks)
	})
	if err != nil {
		t.Fatal(err)
	}
	sign("second")
	b.read(func(v *View) error {
		got, err := v.Completions("t-osei", "t-tilde")
		if err != nil {
			return err
		}
		for _, c := range got {
			if c.Session != "first" {
				t.Errorf("%+v: one of two outcomes was assessed", c)
			}
		}
		if len(got) != 2 {
			t.Errorf("%d completions, want those of the first session", len(got))
		}
		return nil
	})
	b.equalsRebuilt()
}
