package arrival_test

import (
	"testing"

	"rungbook/internal/arrival"
	"rungbook/internal/fault"
	"rungbook/internal/id"
)

func TestWhatIsHandedOutIsOutUntilItIsTakenBack(t *testing.T) {
	back := func(how arrival.Return) *arrival.Back { return &arrival.Back{How: how, By: "p", At: 9} }
	for name, c := range map[string]struct {
		slip arrival.Slip
		out  bool
	}{
		"nobody answered for it": {arrival.Slip{Serial: "s"}, true},
		"not given back":         {arrival.Slip{Serial: "s", Back: back(arrival.NotGivenBack)}, true},
		"taken back, fit":        {arrival.Slip{Serial: "s", Back: back(arrival.BackFit)}, false},
		"taken back, not fit":    {arrival.Slip{Serial: "s", Back: back(arrival.BackNotFit)}, false},
		"never handed out":       {arrival.Slip{Serial: "s", Back: back(arrival.NeverGiven)}, false},
	} {
		a := arrival.Arrival{Trainee: "t", State: arrival.DidNotCome, Kit: []arrival.Slip{c.slip}}
		if c.slip.Out() != c.out || a.HoldsKit() != c.out {
			t.Errorf("%s: out %v, want %v", name, c.slip.Out(), c.out)
		}
		if refused := a.Check() != nil; refused != c.out {
			t.Errorf("%s: that they did not come is refused: %v, want %v", name, refused, c.out)
		}
	}
}

func TestSerialsOfEntriesOfBeforeAreOutTooAndKeepTheirPlaces(t *testing.T) {
	a := arrival.Arrival{Issued: []id.Commitment{"b", "c"}, Items: []id.Item{"i"}, Kit: []arrival.Slip{{Serial: "a"}}}
	all := a.Slips()
	if len(all) != 3 || all[0].Serial != "a" || all[1].Serial != "b" || all[2].Serial != "c" || !all[1].Out() {
		t.Fatalf("%+v", all)
	}
	now := a.With(all)
	if again := now.Slips(); len(now.Issued) > 0 || len(now.Items) > 0 || len(again) != 3 || again[2].Serial != "c" {
		t.Errorf("%+v", now)
	}
}

func TestOfEachPieceOneAnswerIsTakenAndOnlyOneThatFits(t *testing.T) {
	out, item := arrival.Slip{Serial: "s"}, arrival.Slip{Serial: "s", Item: "i"}
	fit := arrival.Back{How: arrival.BackFit, By: "p", At: 9}
	done, err := out.Return(fit)
	if err != nil || done.Out() {
		t.Fatal(err)
	}
	const taken = fault.Internal // no refusal
	late := out
	late.Back = &arrival.Back{How: arrival.NotGivenBack, By: "p", At: 8}
	for name, c := range map[string]struct {
		slip arrival.Slip
		back arrival.Back
		want fault.Kind
	}{
		"fit":                                      {out, fit, taken},
		"fit, after it was missed":                 {late, fit, taken},
		"missed again":                             {late, arrival.Back{How: arrival.NotGivenBack, By: "p", At: 9}, taken},
		"never handed out":                         {out, arrival.Back{How: arrival.NeverGiven, By: "p", At: 9}, taken},
		"not fit, not on record":                   {out, arrival.Back{How: arrival.BackNotFit, By: "p", At: 9, Found: "f"}, taken},
		"not fit, in quarantine":                   {item, arrival.Back{How: arrival.BackNotFit, By: "p", At: 9, Found: "f", Quarantine: "q"}, taken},
		"not fit, in none":                         {item, arrival.Back{How: arrival.BackNotFit, By: "p", At: 9, Found: "f"}, fault.Invalid},
		"not fit and nothing found":                {out, arrival.Back{How: arrival.BackNotFit, By: "p", At: 9}, fault.Invalid},
		"fit though something was found":           {out, arrival.Back{How: arrival.BackFit, By: "p", At: 9, Found: "f"}, fault.Invalid},
		"no answer":                                {out, arrival.Back{By: "p", At: 9}, fault.Invalid},
		"an answer that the list lacks":            {out, arrival.Back{How: "lost", By: "p", At: 9}, fault.Invalid},
		"taken back by two":                        {done, fit, fault.Conflict},
		"taken back, then told that it never came": {done, arrival.Back{How: arrival.NotGivenBack, By: "p", At: 9}, fault.Conflict},
	} {
		got, err := c.slip.Return(c.back)
		if err == nil && c.want != taken || err != nil && fault.Of(err) != c.want {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
		if err != nil && (got.Back == nil) != (c.slip.Back == nil) {
			t.Errorf("%s: refused and written all the same", name)
		}
	}
}
