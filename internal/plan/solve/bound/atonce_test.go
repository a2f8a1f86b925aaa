package bound

import (
	"math/rand/v2"
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// inTurn is the most that exercises are worth that follow one another on one track
// within some minutes, with a changeover between those of shy and those of bold.
func inTurn(f *facts, c *crowd, left civil.Minutes, last int, price func(int) int64) (most int64) {
	for side, list := range [][]int{c.shy, c.bold} {
		for _, e := range list {
			rest := left - f.exercises[e].Minutes
			if last >= 0 && last != side {
				rest -= c.change
			}
			if rest >= 0 {
				most = max(most, price(e)+inTurn(f, c, rest, side, price))
			}
		}
	}
	return most
}

func TestNoDayOfACrowdIsWorthMoreThanItsBest(t *testing.T) {
	tight := 0
	for seed := range uint64(2000) {
		d := dice{rand.New(rand.NewPCG(seed, 17))}
		f := &facts{}
		c := &crowd{change: pick[civil.Minutes](d, 0, 30, 60)}
		prices := []int64{}
		for i := range 2 + d.IntN(3) {
			f.exercises = append(f.exercises, exercise{Exercise: &plan.Exercise{Minutes: pick[civil.Minutes](d, 60, 90, 120, 180)}})
			prices = append(prices, int64(d.IntN(10)))
			if i%2 == 0 {
				c.bold = append(c.bold, i)
			} else {
				c.shy = append(c.shy, i)
			}
		}
		v := &crowdDay{shy: 1, bold: 1, span: civil.Minutes(120 + 30*d.IntN(12)), open: []bool{true, true, true, true}}
		price := func(e int) int64 { return prices[e] }
		got, _, _, _ := c.best(f, v, price)
		want := inTurn(f, c, v.span, -1, price)
		if got < want {
			t.Fatalf("seed %d: the day is worth %d at most, but one layout is worth %d", seed, got, want)
		}
		if got == want {
			tight++
		}
	}
	if tight < 1500 {
		t.Errorf("the best of a layout in only %d of 2000", tight)
	}
}
