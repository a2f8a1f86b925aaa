package running_test

import (
	"slices"
	"strings"
	"testing"

	"rungbook/internal/arrival"
	"rungbook/internal/demo"
	"rungbook/internal/running"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

func TestASessionDoesNotStartWhileSomethingOfAnArrivalIsMissing(t *testing.T) {
	r := open(t)
	s := r.ready()
	gate := func() running.Gate {
		gates := r.show(s.ID).Gates
		i := slices.IndexFunc(gates, func(g running.Gate) bool { return g.Name == "arrivals" })
		if i < 0 {
			t.Fatal("there is no such gate")
		}
		return gates[i]
	}
	if g := gate(); !g.Holds {
		t.Fatal("shut although the demo has seen all of them")
	}
	var was []arrival.Arrival
	r.read(func(v *store.View) (err error) { was, err = v.Arrivals(s.Trainees...); return err })
	for name, change := range map[string]func(*arrival.Arrival){
		"identity": func(a *arrival.Arrival) { a.Identity = nil }, "induction": func(a *arrival.Arrival) { a.Induction = nil },
		"a fitness statement": func(a *arrival.Arrival) { a.Fitness, a.FitnessAt = nil, 0 },
		"that they came":      func(a *arrival.Arrival) { *a = arrival.Arrival{Trainee: a.Trainee, State: arrival.DidNotCome} },
	} {
		a := was[0]
		change(&a)
		r.put("noted", a)
		g := gate()
		if said := g.Found.In(verdict.PlainStyle(demo.Zone())); g.Holds || !strings.Contains(said, name) || !strings.HasSuffix(g.Mend, "/arrivals") {
			t.Errorf("%s: holds %v, %q, mended at %q", name, g.Holds, said, g.Mend)
		}
		r.put("noted", was[0])
	}
}
