package session

import (
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/civil"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
)

func TestATrialSessionCompletesNothingWhateverWasFound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := curriculum.Exercise{ID: "e", Outcomes: []id.Outcome{"o"}}
		s := Session{ID: "s", Exercise: "e", Trainees: []id.Trainee{"in"}, State: rapid.SampledFrom(States()).Draw(t, "state"), Trial: rapid.Bool().Draw(t, "trial"),
			Others: []id.Person{"watches"}}
		start := civil.Instant(rapid.IntRange(1, 50).Draw(t, "start"))
		part := rapid.SampledFrom([]Part{AsTrainee, AsOther}).Draw(t, "part")
		a := Attendance{Presences: []Presence{{Who: "in", Part: part, Mark: Present, Start: start, End: start + civil.Instant(rapid.IntRange(0, 9).Draw(t, "long"))}}}
		r := Results{Results: []Result{{Trainee: "in", Outcome: "o", Result: rapid.SampledFrom([]Assessed{Competent, NotAssessed}).Draw(t, "found")}}}
		got := Completed(s, a, r, e, "in")
		done := s.State == SignedOff || s.State == CutShort
		want := !s.Trial && done && part == AsTrainee && a.Presences[0].End > start && r.Results[0].Result == Competent
		if got != want {
			t.Fatalf("completed: %t, want %t", got, want)
		}
		if Completed(s, a, r, e, "watches") {
			t.Fatal("one who watches completed it")
		}
	})
}
