package bound

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// The job shops are those of Lawrence 1984 whose optimum is the load of the busiest
// machine; optima as listed in the public collection JSPLIB, commit eea2b60.
var busiest = map[string]civil.Minutes{"la01": 666, "la05": 593, "la06": 926, "la08": 863, "la10": 958,
	"la11": 1222, "la13": 1150, "la15": 1207, "la23": 1032, "la30": 1355}

// shop reads a job shop as a planning problem: a job is a trainee, a machine a
// station with an instructor of its own, an operation an exercise after the one
// before it; all within one day that is open for so many minutes.
func shop(t *testing.T, name string, open civil.Minutes) *plan.Problem {
	t.Helper()
	file, err := os.Open(filepath.Join("testdata", "jobshop", name+".txt"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	next := func() (n int) {
		if _, err := fmt.Fscan(file, &n); err != nil {
			t.Fatal(err)
		}
		return n
	}
	zone, err := civil.LoadZone("UTC")
	if err != nil {
		t.Fatal(err)
	}
	day, err := civil.ParseDay("2027-03-01")
	if err != nil {
		t.Fatal(err)
	}
	p := &plan.Problem{Zone: zone, Grid: 1, From: day, Days: 1, Weights: plan.Weights{Unplaced: 1000},
		Open: []plan.Window{{Weekdays: []int{1}, From: 0, To: open}}, Rigs: []plan.Rig{{ID: "shop"}}}
	jobs, machines := next(), next()
	for m := range machines {
		p.Stations = append(p.Stations, plan.Station{ID: fmt.Sprint("m", m), Rig: "shop", Places: 1})
		p.People = append(p.People, plan.Person{ID: fmt.Sprint("p", m)})
	}
	for j := range jobs {
		trainee := plan.Trainee{ID: fmt.Sprint("j", j), Intake: fmt.Sprint("j", j)}
		for k := range machines {
			m := next()
			e := plan.Exercise{ID: fmt.Sprintf("j%d.%d", j, k), Minutes: civil.Minutes(next()), Stations: []string{fmt.Sprint("m", m)}, GroupMin: 1, GroupMax: 1, Ratio: 1}
			if k > 0 {
				e.After = []plan.After{{Exercise: fmt.Sprintf("j%d.%d", j, k-1)}}
			}
			p.Exercises = append(p.Exercises, e)
			p.People[m].Teaches = append(p.People[m].Teaches, plan.Teaches{Exercise: e.ID, Validity: plan.Validity{From: day, Until: day}})
			trainee.Needs = append(trainee.Needs, e.ID)
		}
		p.Trainees = append(p.Trainees, trainee)
	}
	if err := p.Usable(); err != nil {
		t.Fatal(err)
	}
	return p
}

func TestAMachineWithMoreWorkThanTheDayLeavesANeedOut(t *testing.T) {
	for name, load := range busiest {
		if least := Lower(shop(t, name, load-1), nil, 0, nil); least < 1000 {
			t.Errorf("%s: a minute short of its busiest machine's load, the bound is %d and no need stays out", name, least)
		}
		if least := Lower(shop(t, name, load), nil, 20, nil); least != 0 {
			t.Errorf("%s: with its optimum as the day, all needs can be placed, but the bound is %d", name, least)
		}
	}
}
