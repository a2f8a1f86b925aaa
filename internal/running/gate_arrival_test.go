package running_test

import (
	"slices"
	"strings"
	"testing"

	"rungbook/internal/arrival"
	"rungbook/internal/demo"
	"rungbook/internal/id"
	"rungbook/internal/running"
	"rungbook/internal/session"
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

// A trainee who was taught ten days before, and not since on days when the yard was
// open, is in a later part: what was seen in the first one no longer opens the gate.
func TestASessionOfALaterPartAsksForIdentityAndStatementAnew(t *testing.T) {
	r := open(t)
	s := r.ready()
	t0 := s.Trainees[0]
	var was []arrival.Arrival
	r.read(func(v *store.View) (err error) { was, err = v.Arrivals(t0); return err })
	old := was[0]
	old.At = old.At.Add(-10 * 24 * 60)
	old.Identity = &arrival.Signed{By: old.Identity.By, At: old.At}
	old.Fitness, old.FitnessAt = &arrival.Signed{By: old.Fitness.By, At: old.At}, old.At
	r.put("noted", old)
	gate := func() running.Gate {
		gates := r.show(s.ID).Gates
		return gates[slices.IndexFunc(gates, func(g running.Gate) bool { return g.Name == "arrivals" })]
	}
	if !gate().Holds {
		t.Fatal("shut in the first part of the course")
	}
	before := s
	before.ID, before.State, before.Trainees = "ten-days-before", session.SignedOff, []id.Trainee{t0}
	before.Start, before.End = s.Start.Add(-10*24*60), s.End.Add(-10*24*60)
	r.put("signed-off", before)
	g := gate()
	said := g.Found.In(verdict.PlainStyle(demo.Zone()))
	if g.Holds || !strings.Contains(said, string(arrival.LacksAnew)) || !strings.Contains(said, string(arrival.LacksSignedNew)) {
		t.Errorf("in a later part: holds %v, %q", g.Holds, said)
	}
}
