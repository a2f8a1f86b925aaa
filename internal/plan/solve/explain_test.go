package solve

import (
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/plan"
	"rungbook/internal/plan/check"
)

// clearIn reports whether a session breaks nothing among others, by check.
func clearIn(p *plan.Problem, sessions []plan.Session, s plan.Session) bool {
	if s.ID == "" {
		s.ID = unusedID(sessions)
	}
	return len(check.New(p).Board(sessions).Change(nil, []plan.Session{s}).Findings) == 0
}

// explains judges an explanation by its own definition.
func explains(t rapid.TB, p *plan.Problem, sessions []plan.Session, e Explanation) {
	t.Helper()
	if e.Fits != nil {
		if !clearIn(p, sessions, *e.Fits) {
			t.Fatalf("%+v is said to fit", *e.Fits)
		}
		return
	}
	if e.Causes == nil {
		return
	}
	x := &explainer{p: p, sessions: sessions, e: &Explanation{Trainee: e.Trainee, Exercise: e.Exercise}}
	lifted := x.relax(e.Causes)
	if err := lifted.p.Usable(); err != nil {
		t.Fatalf("the problem with %+v lifted is unusable: %v", e.Causes, err)
	}
	if !slices.Contains(e.Place.Trainees, e.Trainee) || e.Place.Exercise != e.Exercise || !clearIn(&lifted.p, lifted.sessions, *e.Place) {
		t.Fatalf("with %+v lifted %+v breaks a rule", e.Causes, *e.Place)
	}
	for i := range e.Causes {
		back := slices.Delete(slices.Clone(e.Causes), i, i+1)
		if found := x.search(back, false); found.found != nil {
			t.Fatalf("of %+v number %d is put back, and %+v is found", e.Causes, i, *found.found)
		}
	}
}

// said is all that an explanation says, in one text.
func said(e Explanation) string {
	out := fmt.Sprint(e.Starts, e.Joins, e.Nearest, e.Place, e.Fits)
	for _, c := range e.Causes {
		out += fmt.Sprintln(c.Rules, c.Words)
	}
	return out
}

func TestTheCausesOfAnExplanationAreIrreducible(t *testing.T) {
	z := dublin(t)
	seen := make(map[string]int)
	checkWith(t, 250, func(rt rapid.TB, d dice) {
		p := d.priced(d.problem(z))
		for i := range p.Exercises {
			p.Exercises[i].GroupMin = pick(d, 1, 1, 1, 1, 2)
		}
		made := Plan(p, Options{Seed: 3, Effort: 1, Tuning: quick()})
		for i, u := range made.Unplaced {
			if i == 3 {
				break
			}
			e, ok := Explain(p, made.Sessions, u.Trainee, u.Exercise)
			if !ok {
				rt.Fatalf("%v is not known", u)
			}
			explains(rt, p, made.Sessions, e)
			if again, _ := Explain(p, made.Sessions, u.Trainee, u.Exercise); said(again) != said(e) {
				rt.Fatalf("explained as %s, and then as %s", said(e), said(again))
			}
			switch {
			case e.Fits != nil:
				seen["fits"]++
			case e.Causes == nil:
				seen["nothing found"]++
			default:
				seen["explained"]++
				if len(e.Causes) > 1 {
					seen["several"]++
				}
			}
			for _, c := range e.Causes {
				for _, r := range c.Rules {
					seen[r]++
				}
			}
		}
	})
	t.Logf("explanations, and causes by rule: %v", seen)
	if seen["explained"] < 100 || seen["several"] < 30 || seen["nothing found"]*4 > seen["explained"] {
		t.Errorf("too few needs are explained: %v", seen)
	}
}
