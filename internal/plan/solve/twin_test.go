package solve

import (
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/plan"
	"rungbook/internal/plan/check"
)

// brokenIn names the rules of a change's stops, in the order of the spec.
func brokenIn(b *check.Board, remove []string, put ...plan.Session) []string {
	found := make(map[string]bool)
	for _, f := range b.Change(remove, put).Findings {
		found[f.Rule] = true
	}
	var out []string
	for _, r := range check.Rules() {
		if found[r.Name] {
			out = append(out, r.Name)
		}
	}
	return out
}

// standing draws sessions for a board: only such as break nothing if clean.
func (d dice) standing(p *plan.Problem, j *check.Judge, n int, clean bool) []plan.Session {
	var out []plan.Session
	for i := range n {
		s := d.session(p, fmt.Sprint("x", i))
		if !clean || len(j.Board(out).Change(nil, []plan.Session{s}).Findings) == 0 {
			out = append(out, s)
		}
	}
	return out
}

func TestFitsAgreesWithCheck(t *testing.T) {
	z := dublin(t)
	fits, broken := 0, make(map[string]int)
	checkWith(t, 2000, func(rt rapid.TB, d dice) {
		p := d.problem(z)
		if err := p.Usable(); err != nil {
			rt.Fatalf("the drawn problem is unusable: %v", err)
		}
		j := check.New(p)
		standing := d.standing(p, j, d.upTo(12), d.chance(60))
		judged, board := j.Board(standing), Compile(p).Board(standing)
		for range 4 {
			s := d.session(p, pick(d, "new", "new", "x0", "x1"))
			want := brokenIn(judged, nil, s)
			if got := board.Fits(s); !slices.Equal(got, want) {
				rt.Fatalf("Fits(%v) = %v, check finds %v\n%v", s, got, want, judged.Change(nil, []plan.Session{s}))
			}
			if want == nil {
				fits++
			}
			for _, r := range want {
				broken[r]++
			}
		}
	})
	t.Log(fits, broken)
}
