package drafting

import (
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
	"rungbook/internal/store"
)

func TestHowMuchBetterIsPossibleIsReadFromCostAndBound(t *testing.T) {
	m := memo{Unplaced: 10_000, Base: 200}
	for _, c := range []struct {
		name        string
		cost, bound int64
		want        Better
	}{
		{"no plan yet", 0, 0, Better{}},
		{"nothing better", 1200, 1200, Better{Known: true}},
		{"a tenth of what can change", 1200, 1100, Better{Known: true, Permille: 100}},
		{"rounded up", 1200, 1199, Better{Known: true, Permille: 1}},
		{"a bound below what is fixed says nothing", 1200, 100, Better{Known: true, Permille: 1000}},
		{"two left out, and all may fit", 21_200, 1_000, Better{Known: true, MorePlaced: 2, Permille: -1}},
		{"two left out, one must be", 21_200, 10_500, Better{Known: true, MorePlaced: 1, Permille: -1}},
		{"two left out, both must be", 21_200, 20_700, Better{Known: true, Permille: 500}},
		{"nothing but what is fixed", 200, 200, Better{Known: true}},
		{"no weights", 5, 5, Better{Known: true}},
	} {
		m := m
		if c.name == "no weights" {
			m, c.want = memo{}, Better{}
		}
		if got := m.better(c.cost, c.bound); got != c.want {
			t.Errorf("%s: %+v, want %+v", c.name, got, c.want)
		}
	}
}

// TestAPlaceIsAlwaysWorthMoreThanAllElse draws problems up to the largest that is
// planned, and compares the weight of a need with the most that a plan can cost
// beside needs.
func TestAPlaceIsAlwaysWorthMoreThanAllElse(t *testing.T) {
	z, err := civil.LoadZone("Europe/Dublin")
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(rt *rapid.T) {
		p := &plan.Problem{Zone: z, From: 740000, Days: rapid.IntRange(1, MostDays+40).Draw(rt, "days"), Exercises: []plan.Exercise{{ID: "e", Minutes: 60, Setup: 30, Ratio: 1}}}
		for range rapid.IntRange(0, 60).Draw(rt, "people") {
			p.People = append(p.People, plan.Person{})
		}
		for i := range rapid.IntRange(1, 2000).Draw(rt, "trainees") {
			p.Trainees = append(p.Trainees, plan.Trainee{Intake: string(rune('a' + i%40)), Needs: make([]string, rapid.IntRange(0, 12).Draw(rt, "needs"))})
		}
		level := func(name string) Level { return rapid.SampledFrom(Levels()).Draw(rt, name) }
		old := rapid.IntRange(0, 2000).Draw(rt, "old")
		weigh(p, Wish{Soon: level("soon"), FewDays: level("few"), SpareStaff: level("spare")}, movedPrice, old)
		var needs int64
		intakes := map[string]bool{}
		for _, tr := range p.Trainees {
			needs += int64(len(tr.Needs))
			intakes[tr.Intake] = true
		}
		days := int64(p.Days)
		rest := p.Weights.StaffMinute*int64(len(p.People))*days*24*60 + p.Weights.TraineeDay*needs + p.Weights.IntakeDay*int64(len(intakes))*days + p.Weights.Moved*int64(old)
		if p.Weights.Unplaced <= rest {
			rt.Fatalf("a need weighs %d, all else can cost %d", p.Weights.Unplaced, rest)
		}
		if total := float64(p.Weights.Unplaced)*float64(needs) + float64(rest); total > float64(plan.MostCost)/2 {
			rt.Fatalf("the cost could reach %g", total)
		}
	})
}

func TestAChartHasAtMostTwoHundredPointsHoweverLongTheSearch(t *testing.T) {
	s := &search{every: 1}
	for round := int64(1); round <= 20_000; round++ {
		s.note(store.DraftPoint{Tenths: round, Cost: 20_000 - round}, round)
		if len(s.points) > mostPoints {
			t.Fatalf("%d points after %d rounds", len(s.points), round)
		}
	}
	if len(s.points) < mostPoints/4 {
		t.Errorf("only %d points are left", len(s.points))
	}
	for i := 1; i < len(s.points); i++ {
		if s.points[i].Tenths <= s.points[i-1].Tenths {
			t.Fatalf("points %d and %d are not in order", i-1, i)
		}
	}
	if first, last := s.points[0].Tenths, s.points[len(s.points)-1].Tenths; first > 2 || last < 19_000 {
		t.Errorf("the chart reaches from %d to %d of 20000", first, last)
	}
}
