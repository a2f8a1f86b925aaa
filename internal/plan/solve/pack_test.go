package solve

import (
	"testing"

	"pgregory.net/rapid"
)

func TestPackingADayLeavesAValidPlanOrNoTrace(t *testing.T) {
	z := dublin(t)
	packed := 0
	checkWith(t, 300, func(t rapid.TB, d dice) {
		p := d.priced(d.problem(z))
		if err := p.Usable(); err != nil {
			t.Fatalf("the drawn problem is unusable: %v", err)
		}
		r := newRun(p, &Options{Seed: int64(d.upTo(100))})
		w := r.walks[0]
		for len(w.building) > 0 {
			w.walkStep(&r.tuning)
		}
		// Some lose their seats, for packing to find new ones.
		w.s.log = w.s.log[:0]
		for i := range w.s.where {
			if x := w.s.where[i]; x != nil && w.mayUnseat(x) && d.chance(20) {
				w.dissolve(x, func(n int) { w.awaited = append(w.awaited, n) })
			}
		}
		if !w.settle() || w.s.restless() {
			return
		}
		w.current = w.s.guide()
		for range 5 {
			before := len(w.s.open)
			w.step++
			w.packStep()
			packed += count(len(w.s.open) < before)
			w.agrees(t, r)
		}
	})
	if packed < 20 {
		t.Errorf("only %d steps found room, so this shows little", packed)
	}
}
