package plan_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// costProblem has two intakes and an exercise that holds its people for 90
// minutes, on a Monday in Dublin.
func costProblem(t *testing.T) *plan.Problem {
	p, err := plan.DecodeProblem([]byte(`{"format":"rungbook.problem.v1","zone":"Europe/Dublin","from":"2027-03-01","days":30,
		"open":[],"weights":{"unplaced":1000,"staff_minute":1,"trainee_day":10,"intake_day":7,"moved":200},
		"rigs":[{"id":"tower"}],"stations":[{"id":"deck","rig":"tower","places":6}],
		"exercises":[{"id":"climb","minutes":60,"setup_minutes":20,"strike_minutes":10,"stations":["deck"],"ratio":6},
			{"id":"knots","minutes":60,"stations":["deck"],"ratio":6}],
		"people":[{"id":"ada","rest":[]},{"id":"ben","rest":[]}],
		"trainees":[{"id":"t1","intake":"in1","needs":["climb","knots"],"rest":[]},{"id":"t2","intake":"in2","needs":["climb"],"rest":[]}]}`))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestCostIsItsDefinition(t *testing.T) {
	p := costProblem(t)
	session := func(id, exercise, start string, trainees ...string) plan.Session {
		at, err := p.Zone.Parse(start)
		if err != nil {
			t.Fatal(err)
		}
		return plan.Session{ID: id, Exercise: exercise, Station: "deck", Start: at, End: at.Add(60), Trainees: trainees, Instructors: []string{"ada"}}
	}
	climb := session("s1", "climb", "2027-03-02T09:00:00+00:00", "t1", "t2")
	knots := session("s2", "knots", "2027-03-02T11:00:00+00:00", "t1")
	late := session("s2", "knots", "2027-03-03T11:00:00+00:00", "t1")
	guarded := climb.Clone()
	guarded.Rescuers = []string{"ben"}
	reordered := climb.Clone()
	reordered.Trainees = []string{"t2", "t1"}
	for _, c := range []struct {
		name          string
		sessions, old []plan.Session
		want          plan.Cost
	}{
		{"nothing placed: three needs", nil, nil, 3000},
		// 1 need, 90 staff minutes, 2 trainee days, both intakes end on day 1.
		{"one session for two", []plan.Session{climb}, nil, 1000 + 90 + 20 + 14},
		{"a standby rescuer is staff for the hold", []plan.Session{guarded}, nil, 1000 + 180 + 20 + 14},
		{"two sessions of a day are one trainee day", []plan.Session{climb, knots}, nil, 90 + 60 + 20 + 14},
		{"another day costs the trainee and the intake", []plan.Session{climb, late}, nil, 90 + 60 + 30 + 14 + 7},
		{"what stays is not moved", []plan.Session{climb, knots}, []plan.Session{reordered, knots}, 90 + 60 + 20 + 14},
		{"gone and changed sessions are moved", []plan.Session{climb, late}, []plan.Session{guarded, knots, session("s9", "knots", "2027-03-02T11:00:00+00:00")}, 90 + 60 + 30 + 21 + 600},
	} {
		if got := p.Cost(c.sessions, c.old); got != c.want {
			t.Errorf("%s: cost %d, want %d", c.name, got, c.want)
		}
	}
}

func TestCostStopsAtTheLargestNumber(t *testing.T) {
	p := costProblem(t)
	p.Weights = plan.Weights{Unplaced: math.MaxInt64, StaffMinute: math.MaxInt64, TraineeDay: 1, IntakeDay: 1, Moved: math.MaxInt64}
	s := plan.Session{ID: "s1", Exercise: "climb", Station: "deck", Start: 0, End: 1 << 40, Instructors: []string{"ada", "ben"}}
	if got := p.Cost([]plan.Session{s}, []plan.Session{{ID: "x"}, {ID: "y"}}); got != math.MaxInt64 {
		t.Errorf("cost %d, want the largest number", got)
	}
}

// Each weight is a price of its own: the cost is linear in the weights.
func TestCostIsLinearInEachWeight(t *testing.T) {
	p := costProblem(t)
	weights := func(t *rapid.T, label string) plan.Weights {
		n := rapid.Int64Range(0, 1e6)
		return plan.Weights{Unplaced: n.Draw(t, label), StaffMinute: n.Draw(t, label), TraineeDay: n.Draw(t, label), IntakeDay: n.Draw(t, label), Moved: n.Draw(t, label)}
	}
	rapid.Check(t, func(t *rapid.T) {
		var list []plan.Session
		for i := range rapid.IntRange(0, 4).Draw(t, "sessions") {
			start := p.Zone.StartOfDay(p.From).Add(civil.Minutes(rapid.IntRange(0, 29*24*60).Draw(t, "start")))
			list = append(list, plan.Session{ID: string(rune('a' + i)), Exercise: rapid.SampledFrom([]string{"climb", "knots"}).Draw(t, "exercise"),
				Start: start, End: start.Add(60), Trainees: []string{rapid.SampledFrom([]string{"t1", "t2"}).Draw(t, "trainee")}, Instructors: []string{"ada"}})
		}
		a, b, sum := *p, *p, *p
		a.Weights, b.Weights = weights(t, "a"), weights(t, "b")
		sum.Weights = plan.Weights{Unplaced: a.Weights.Unplaced + b.Weights.Unplaced, StaffMinute: a.Weights.StaffMinute + b.Weights.StaffMinute,
			TraineeDay: a.Weights.TraineeDay + b.Weights.TraineeDay, IntakeDay: a.Weights.IntakeDay + b.Weights.IntakeDay, Moved: a.Weights.Moved + b.Weights.Moved}
		if got, want := sum.Cost(list, nil), a.Cost(list, nil)+b.Cost(list, nil); got != want {
			t.Fatalf("cost %d, want %d", got, want)
		}
	})
}
