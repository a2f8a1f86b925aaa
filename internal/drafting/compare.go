package drafting

import (
	"cmp"
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/id"
	"rungbook/internal/plan"
	"rungbook/internal/planning"
	"rungbook/internal/store"
)

// Comparison is two drafts side by side.
type Comparison struct {
	A, B        Draft
	SameProblem bool // they were searched for the same problem, to the byte
	OnlyA       []Need
	OnlyB       []Need
	Differences []Difference // by start
	SamePlan    int          // sessions that are the same in both, but for those fixed in either
}

// Need is one exercise of one trainee that one of two plans places.
type Need struct {
	Trainee  id.Trainee
	Name     string
	Exercise id.Exercise
	Title    string // the exercise's name
}

// Difference is a session that is not the same in two plans; one of them may lack
// it. Of those of one exercise that share most trainees each is set beside the
// other.
type Difference struct{ A, B *plan.Session }

// Compare sets two drafts that have plans side by side. Error: fault.NotFound;
// without a plan a draft proposes nothing.
func (d *Desk) Compare(ctx context.Context, actor access.Actor, a, b id.Draft) (out Comparison, err error) {
	if _, err := access.Require(actor, access.SeeDrafts); err != nil {
		return Comparison{}, err
	}
	if out.A, err = d.Draft(ctx, actor, a); err != nil {
		return Comparison{}, err
	}
	if out.B, err = d.Draft(ctx, actor, b); err != nil {
		return Comparison{}, err
	}
	out.SameProblem = out.A.ProblemSHA == out.B.ProblemSHA && out.A.FromSHA == out.B.FromSHA
	var plans [2]*proposal
	err = d.store.Read(ctx, func(v *store.View) error {
		for i, of := range []id.Draft{a, b} {
			row, err := v.Draft(of)
			if err == nil && row.HasPlan {
				plans[i], err = d.proposal(v, row)
			}
			if err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil || plans[0] == nil || plans[1] == nil {
		return out, err
	}
	inA, inB := plans[0].own(), plans[1].own()
	out.OnlyA, out.OnlyB = plans[0].needs(inA, inB), plans[1].needs(inB, inA)
	out.differences(inA, inB)
	return out, nil
}

// own are the sessions of the plan that it could have put elsewhere. Fixed ones are
// booked whatever is planned, and two problems of other days hold others.
func (p *proposal) own() []plan.Session {
	fixed := map[string]bool{}
	for _, s := range p.problem.Fixed {
		fixed[s.ID] = true
	}
	return slices.DeleteFunc(slices.Clone(p.plan.Sessions), func(s plan.Session) bool { return fixed[s.ID] })
}

type need struct{ trainee, exercise string }

func placed(list []plan.Session) map[need]bool {
	out := map[need]bool{}
	for _, s := range list {
		for _, t := range s.Trainees {
			out[need{t, string(planning.Stood(s.Exercise))}] = true
		}
	}
	return out
}

// needs returns what the first sessions place and the others do not, by exercise
// and name.
func (p *proposal) needs(in, notIn []plan.Session) []Need {
	other := placed(notIn)
	var out []Need
	for n := range placed(in) {
		if !other[n] {
			out = append(out, needOf(p.slice, n.trainee, n.exercise))
		}
	}
	slices.SortFunc(out, func(a, b Need) int {
		return cmp.Or(cmp.Compare(a.Title, b.Title), cmp.Compare(a.Name, b.Name), cmp.Compare(a.Trainee, b.Trainee))
	})
	return out
}

// differences pairs the sessions of two plans.
func (c *Comparison) differences(inA, inB []plan.Session) {
	left := slices.Clone(inB)
	var unlike []plan.Session
	for _, a := range inA {
		i := slices.IndexFunc(left, func(b plan.Session) bool { return !a.MovedFrom(&b) })
		if i < 0 {
			unlike = append(unlike, a)
			continue
		}
		left = slices.Delete(left, i, i+1)
		c.SamePlan++
	}
	for _, a := range unlike {
		best, most := -1, 0
		for i, b := range left {
			if n := shared(a.Trainees, b.Trainees); a.Exercise == b.Exercise && n > most {
				best, most = i, n
			}
		}
		d := Difference{A: &a}
		if best >= 0 {
			b := left[best]
			d.B = &b
			left = slices.Delete(left, best, best+1)
		}
		c.Differences = append(c.Differences, d)
	}
	for _, b := range left {
		c.Differences = append(c.Differences, Difference{B: &b})
	}
	slices.SortStableFunc(c.Differences, func(x, y Difference) int { return cmp.Compare(x.start(), y.start()) })
}

func (d Difference) start() int64 {
	if d.A != nil {
		return int64(d.A.Start)
	}
	return int64(d.B.Start)
}

func shared(a, b []string) int {
	n := 0
	for _, x := range a {
		if slices.Contains(b, x) {
			n++
		}
	}
	return n
}
