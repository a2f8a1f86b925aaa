package solve

import (
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
	"rungbook/internal/plan/check"
)

// jobShops are classic instances with their proven optima and the load of their
// busiest machine; testdata/jobshop/SOURCE.md names the sources.
var jobShops = []struct {
	name             string
	optimum, busiest int
}{
	{"ft06", 55, 43}, {"ft10", 930, 631}, {"la01", 666, 666}, {"la05", 593, 593}, {"la08", 863, 863},
	{"la16", 945, 660}, {"la21", 1046, 935}, {"abz6", 943, 688}, {"orb07", 397, 286},
}

// jobShop reads an instance as a planning problem of one day that is window minutes
// long: jobs are trainees, machines are stations with a teacher each, operations are
// exercises one after another. It has a plan with nothing unplaced if and only if
// the jobs can all be done in that time. Operations of no length are left out: they
// fit anywhere.
func jobShop(tb testing.TB, name string, window int) *plan.Problem {
	tb.Helper()
	data, err := os.ReadFile("testdata/jobshop/" + name + ".txt")
	if err != nil {
		tb.Fatal(err)
	}
	z, err := civil.LoadZone("UTC")
	if err != nil {
		tb.Fatal(err)
	}
	day := civil.DayOf(2027, 3, 1)
	p := &plan.Problem{Zone: z, Grid: 1, From: day, Days: 1, Weights: plan.Weights{Unplaced: 1000}, Rigs: []plan.Rig{{ID: "shop"}}}
	p.Open = []plan.Window{{Weekdays: []int{1}, From: 0, To: civil.Minutes(window)}}
	lines := strings.Split(strings.TrimSpace(string(data)), "\n")
	var jobs, machines int
	if _, err := fmt.Sscan(lines[0], &jobs, &machines); err != nil {
		tb.Fatal(err)
	}
	for m := range machines {
		p.Stations = append(p.Stations, plan.Station{ID: fmt.Sprintf("m%02d", m), Rig: "shop", Places: 1})
		p.People = append(p.People, plan.Person{ID: fmt.Sprintf("teacher%02d", m), Rest: []string{}})
	}
	for j := range jobs {
		t := plan.Trainee{ID: fmt.Sprintf("job%02d", j), Intake: fmt.Sprintf("job%02d", j), Rest: []string{}}
		words := strings.Fields(lines[1+j])
		for k := range machines {
			m, _ := strconv.Atoi(words[2*k])
			length, _ := strconv.Atoi(words[2*k+1])
			if length == 0 {
				continue
			}
			e := plan.Exercise{
				ID: fmt.Sprintf("job%02d-%02d", j, k), Minutes: civil.Minutes(length), Stations: []string{p.Stations[m].ID},
				GroupMin: 1, GroupMax: 1, Ratio: 1,
			}
			if n := len(t.Needs); n > 0 {
				e.After = []plan.After{{Exercise: t.Needs[n-1]}}
			}
			t.Needs = append(t.Needs, e.ID)
			p.Exercises = append(p.Exercises, e)
			p.People[m].Teaches = append(p.People[m].Teaches, plan.Teaches{Exercise: e.ID, Validity: plan.Validity{From: day, Until: day}})
		}
		p.Trainees = append(p.Trainees, t)
	}
	if err := check.Usable(p); err != nil {
		tb.Fatal(err)
	}
	return p
}

// placed plans a problem for some rounds and returns how many needs have no seat,
// after the judge has looked at the plan.
func placed(tb testing.TB, p *plan.Problem, o Options) int {
	tb.Helper()
	made := Plan(p, o)
	pl := &plan.Plan{Sessions: made.Sessions, Unplaced: made.Unplaced, Cost: &made.Cost}
	if r := check.Plan(p, pl, check.Options{}); len(r.Findings) > 0 {
		tb.Fatalf("the plan breaks %s: %v", r.Findings[0].Rule, r.Findings[0])
	}
	return len(made.Unplaced)
}

func TestJobShopsArePlacedWholeInTheirOptimalTime(t *testing.T) {
	for _, shop := range []struct {
		name   string
		effort int64
	}{{"ft06", 10}, {"la01", 10}, {"la05", 10}, {"la08", 10}} {
		t.Run(shop.name, func(t *testing.T) {
			for _, s := range jobShops {
				if s.name == shop.name {
					if open := placed(t, jobShop(t, s.name, s.optimum), Options{Seed: 1, Effort: shop.effort}); open != 0 {
						t.Errorf("%d operations are left out", open)
					}
				}
			}
		})
	}
}

func TestJobShopsArePlacedWholeInLittleMoreThanTheirOptimalTime(t *testing.T) {
	for _, s := range jobShops {
		t.Run(s.name, func(t *testing.T) {
			if open := placed(t, jobShop(t, s.name, s.optimum*105/100), Options{Seed: 1, Effort: 12}); open != 0 {
				t.Errorf("%d operations are left out in 1.05 of the optimum", open)
			}
		})
	}
}

func TestAJobShopIsNeverPlacedWholeInLessThanItsOptimalTime(t *testing.T) {
	for _, s := range jobShops {
		t.Run(s.name, func(t *testing.T) {
			if open := placed(t, jobShop(t, s.name, s.optimum-1), Options{Seed: 1, Effort: 2}); open < 1 {
				t.Error("nothing is left out in less than the time that is needed: the plan can't be right")
			}
		})
	}
}

func BenchmarkJobShops(b *testing.B) {
	for _, percent := range []int{100, 102, 105} {
		b.Run(fmt.Sprintf("at %d percent", percent), func(b *testing.B) {
			whole := 0
			for b.Loop() {
				whole = 0
				for _, s := range jobShops {
					begun := time.Now()
					stop := func() bool { return time.Since(begun) > 10*time.Second }
					p := jobShop(b, s.name, s.optimum*percent/100)
					var last Progress
					Plan(p, Options{Seed: 1, Effort: -1, Stop: func() bool { return stop() || last.Effort > 0 && last.Unplaced == 0 }, Tell: func(at Progress) { last = at }})
					whole += count(last.Unplaced == 0)
				}
			}
			b.ReportMetric(float64(whole)*100/float64(len(jobShops)), "%whole")
		})
	}
}
