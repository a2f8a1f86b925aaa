package solve

import (
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/plan/check"
)

// The fast look at one more time and the slow reading of all times must agree on
// every body that breaks nothing yet.
func TestDayViewJudgesAsTheWholeBodyDoes(t *testing.T) {
	z := dublin(t)
	checkWith(t, 2000, func(rt rapid.TB, d dice) {
		p := d.problem(z)
		c := Compile(p)
		b := c.Board(d.standing(p, check.New(p), d.upTo(14), d.chance(50)))
		views := make(map[[2]int]*dayView) // kept, as an inquiry keeps them
		for range 6 {
			told := d.session(p, "new")
			s, _ := c.session(&told)
			c.roll(s, func(r *role, as part) {
				more := c.timeOf(s, as)
				at := [2]int{r.body, int(more.day)}
				if views[at] == nil {
					v := b.view(r.body, more.day)
					views[at] = &v
				}
				v := views[at]
				if v.broken != 0 || s.span.Length() <= 0 {
					return
				}
				got, want := v.judge(&more), b.wouldBreak(r.body, more, b.faultsOf(r.body))
				if got != want {
					rt.Fatalf("judge says %v, the whole body %v\n%+v\n%+v\n%+v\n%+v", got.names(), want.names(), more, b.bodies[r.body].list, c.bodies[r.body].policies, v)
				}
			})
		}
	})
}
