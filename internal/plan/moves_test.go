package plan_test

import (
	"fmt"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

func TestMovesListPeopleWithBeforeAndAfter(t *testing.T) {
	session := func(id, exercise string, start civil.Instant, trainee, instructor string) plan.Session {
		return plan.Session{ID: id, Exercise: exercise, Station: "deck", Start: start, End: start + 60, Trainees: []string{trainee}, Instructors: []string{instructor}}
	}
	old := []plan.Session{session("s1", "climb", 100, "kim", "ada"), session("s2", "knots", 300, "kim", "ada"), session("s3", "climb", 500, "lee", "ben")}
	now := []plan.Session{session("s1", "climb", 700, "kim", "ada"), session("s2", "knots", 300, "kim", "eve")}
	want := []plan.Moves{
		{Person: "ada", Before: []plan.Session{old[0], old[1]}, After: []plan.Session{now[0]}},
		{Person: "ben", Before: []plan.Session{old[2]}},
		{Person: "eve", After: []plan.Session{now[1]}},
		{Person: "kim", Before: []plan.Session{old[0]}, After: []plan.Session{now[0]}}, // who teaches knots is not kim's affair
		{Person: "lee", Before: []plan.Session{old[2]}},
	}
	if diff := cmp.Diff(want, plan.MovesBetween(old, now)); diff != "" {
		t.Error(diff)
	}
}

func TestMovesAreNoneToOneselfAndTurnRound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(label string) (list []plan.Session) {
			for i := range rapid.IntRange(0, 5).Draw(t, label) {
				start := civil.Instant(rapid.IntRange(1, 3).Draw(t, "start") * 100)
				who := rapid.SampledFrom([]string{"kim", "lee", "ada"}).Draw(t, "who")
				s := plan.Session{ID: fmt.Sprint("s", i), Exercise: "climb", Station: "deck", Start: start, End: start + 60, Trainees: []string{who}}
				if rapid.Bool().Draw(t, "teaches") {
					s.Trainees, s.Instructors = nil, s.Trainees
				}
				list = append(list, s)
			}
			return list
		}
		a, b := draw("old"), draw("now")
		if m := plan.MovesBetween(a, a); len(m) > 0 {
			t.Fatalf("a plan moves %v to itself", m)
		}
		back := plan.MovesBetween(b, a)
		for i := range back {
			back[i].Before, back[i].After = back[i].After, back[i].Before
		}
		if diff := cmp.Diff(plan.MovesBetween(a, b), back); diff != "" {
			t.Fatal(diff)
		}
	})
}
