package plan_test

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/plan"
)

func read(t testing.TB, path string) []byte {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func dublin(t testing.TB) civil.Zone {
	t.Helper()
	z, err := civil.LoadZone("Europe/Dublin")
	if err != nil {
		t.Fatal(err)
	}
	return z
}

// sameZone compares zones by name.
var sameZone = cmp.Comparer(func(a, b civil.Zone) bool { return a.Name() == b.Name() })

func TestAProblemIsReadWithEveryFieldOfTheFormat(t *testing.T) {
	p, err := plan.DecodeProblem(read(t, "testdata/problem.json"))
	if err != nil {
		t.Fatal(err)
	}
	at := func(s string) civil.Instant {
		v, err := p.Zone.Parse(s)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	if len(p.RestPolicies) != 2 || p.RestPolicies[0].Name != "a/b ~ c" || p.RestPolicies[1].WeeklyRestCount != 2 {
		t.Errorf("rest policies %+v, want two, by name", p.RestPolicies)
	}
	if p.Open[1].To != 24*60 || p.Daylight[0].From != 6*60+30 {
		t.Errorf("clock times %v and %v, want 24:00 and 06:30", p.Open[1].To, p.Daylight[0].From)
	}
	if got, want := p.Stations[0].Shut[0].Length(), civil.Minutes(9*60); got != want {
		t.Errorf("the shut night of the clock change lasts %v, want %v", got, want)
	}
	if e := p.Exercises[0]; e.GroupMin != 1 || e.GroupMax != 0 {
		t.Errorf("an exercise without group limits has %d to %d, want 1 to no limit (0)", e.GroupMin, e.GroupMax)
	}
	if a := p.People[0].Available; a == nil || len(a) != 0 {
		t.Errorf("available [] is %#v, want empty and not nil: never", a)
	}
	if a := p.People[1].Available; a != nil {
		t.Errorf("available that is absent is %#v, want nil: always", a)
	}
	if r := p.People[1].Rest; r == nil || len(r) != 0 {
		t.Errorf("rest [] is %#v, want empty and not nil: no limit", r)
	}
	if p.Trainees[0].Deadline.String() != "2027-04-01" || p.Trainees[0].Body != "b-7" || p.Fixed[0].Start != at("2027-03-29T09:00:00+01:00") {
		t.Errorf("trainee %+v, fixed %+v", p.Trainees[0], p.Fixed[0])
	}
}

func TestFilesSurviveBeingWrittenAndReadAgain(t *testing.T) {
	p, err := plan.DecodeProblem(read(t, "testdata/problem.json"))
	if err != nil {
		t.Fatal(err)
	}
	data, err := plan.EncodeProblem(p)
	if err != nil {
		t.Fatal(err)
	}
	again, err := plan.DecodeProblem(data)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(p, again, sameZone); diff != "" {
		t.Error(diff)
	}
	pl, err := plan.DecodePlan(read(t, "testdata/plan.json"), p.Zone)
	if err != nil {
		t.Fatal(err)
	}
	if err := p.Knows(pl); err != nil {
		t.Error(err)
	}
	data, err = plan.EncodePlan(pl, p.Zone)
	if err != nil {
		t.Fatal(err)
	}
	planAgain, err := plan.DecodePlan(data, p.Zone)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(pl, planAgain); diff != "" {
		t.Error(diff)
	}
	if strings.Contains(string(data), "null") {
		t.Errorf("the plan file holds null:\n%s", data)
	}
}

func TestAPlanIsWrittenInCanonicalOrder(t *testing.T) {
	one := plan.Session{ID: "b", Exercise: "climb", Station: "deck", Start: 100, End: 160, Trainees: []string{"t2", "t1"}}
	two := plan.Session{ID: "a", Exercise: "climb", Station: "attic", Start: 100, End: 160}
	early := plan.Session{ID: "c", Exercise: "climb", Station: "deck", Start: 40, End: 100}
	x := &plan.Plan{Sessions: []plan.Session{one, two, early}, Unplaced: []plan.Unplaced{{Trainee: "t2", Exercise: "x"}, {Trainee: "t1", Exercise: "x"}}}
	y := &plan.Plan{Sessions: []plan.Session{early, one.Clone(), two}, Unplaced: []plan.Unplaced{{Trainee: "t1", Exercise: "x"}, {Trainee: "t2", Exercise: "x"}}}
	dataX, err := plan.EncodePlan(x, dublin(t))
	if err != nil {
		t.Fatal(err)
	}
	dataY, err := plan.EncodePlan(y, dublin(t))
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(dataX), string(dataY)); diff != "" {
		t.Errorf("the same plan in another order gives other bytes:\n%s", diff)
	}
	if x.Sessions[0].ID != "b" || x.Sessions[0].Trainees[0] != "t2" {
		t.Error("encoding a plan changed it")
	}
	read, err := plan.DecodePlan(dataX, dublin(t))
	if err != nil {
		t.Fatal(err)
	}
	var order []string
	for _, s := range read.Sessions {
		order = append(order, s.ID)
	}
	if diff := cmp.Diff([]string{"c", "a", "b"}, order); diff != "" {
		t.Error(diff)
	}
}

func TestRestThatIsNotStatedMakesAFileUnusable(t *testing.T) {
	p, err := plan.DecodeProblem(read(t, "testdata/problem.json"))
	if err != nil {
		t.Fatal(err)
	}
	p.People[0].Rest = nil
	data, err := plan.EncodeProblem(p)
	if err != nil {
		t.Fatal(err)
	}
	_, err = plan.DecodeProblem(data)
	var f *fault.Error
	if !errors.As(err, &f) || f.Field != "/people/0/rest" {
		t.Errorf("got %v, want an error at /people/0/rest", err)
	}
}

// The probes of the rules are problems and plans too.
func TestEveryProbeSurvivesBeingWrittenAndReadAgain(t *testing.T) {
	paths, err := filepath.Glob("../../testdata/probes/*/*.json")
	if err != nil || len(paths) == 0 {
		t.Fatalf("no probes: %v", err)
	}
	for _, path := range paths {
		p, pl := probe(t, read(t, path))
		data, err := plan.EncodeProblem(p)
		if err != nil {
			t.Fatal(err)
		}
		again, err := plan.DecodeProblem(data)
		if err != nil {
			t.Fatalf("%s: %v", path, err)
		}
		if diff := cmp.Diff(p, again, sameZone, cmpopts.EquateEmpty()); diff != "" {
			t.Errorf("%s: %s", path, diff)
		}
		if data, err = plan.EncodePlan(pl, p.Zone); err != nil {
			t.Fatal(err)
		}
		planAgain, err := plan.DecodePlan(data, p.Zone)
		if err != nil {
			t.Fatalf("%s: %v", path, err)
		}
		if diff := cmp.Diff(pl, planAgain, cmpopts.EquateEmpty()); diff != "" {
			t.Errorf("%s: %s", path, diff)
		}
	}
}
