package solve

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/civil"
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

// fitsAsCheck puts a few drawn sessions to a drawn board and compares the rules
// that Fits names with those that check finds.
func fitsAsCheck(t rapid.TB, z civil.Zone, d dice, seen map[string]int) {
	p := d.problem(z)
	if err := p.Usable(); err != nil {
		t.Fatalf("the drawn problem is unusable: %v", err)
	}
	j := check.New(p)
	standing := d.standing(p, j, d.upTo(12), d.chance(60))
	judged, board := j.Board(standing), Compile(p).Board(standing)
	for range 4 {
		s := d.session(p, pick(d, "new", "new", "x0", "x1"))
		want := brokenIn(judged, nil, s)
		if got := board.Fits(s); !slices.Equal(got, want) {
			t.Fatalf("Fits(%v) = %v, check finds %v\n%v", s, got, want, judged.Change(nil, []plan.Session{s}))
		}
		if want == nil {
			seen["clear"]++
		}
		for _, r := range want {
			seen[r]++
		}
	}
}

func TestFitsAgreesWithCheck(t *testing.T) {
	z, seen := dublin(t), make(map[string]int)
	checkWith(t, 2000, func(rt rapid.TB, d dice) { fitsAsCheck(rt, z, d, seen) })
	for _, r := range append([]string{"clear"}, ruleNames[:fixed]...) { // nothing is fixed here
		if seen[r] < 20 {
			t.Errorf("%s was met %d times; the dice must meet each rule, and none", r, seen[r])
		}
	}
}

func FuzzFitsAgreesWithCheck(f *testing.F) {
	z := dublin(f)
	for seed := range uint64(8) {
		r, data := rand.New(rand.NewPCG(2, seed)), make([]byte, 1500)
		for i := range data {
			data[i] = byte(r.Uint32())
		}
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		roll := func(n int) int {
			if len(data) < 2 {
				return 0
			}
			v := int(data[0])<<8 | int(data[1])
			data = data[2:]
			return v % (n + 1)
		}
		fitsAsCheck(t, z, dice{roll}, make(map[string]int))
	})
}
