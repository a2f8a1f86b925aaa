package check

import (
	"cmp"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
	"rungbook/internal/verdict"
)

// piece is an uncut part of one of a body's times.
type piece struct {
	civil.Period
	session *sess // nil = of a duty
}

// breaks: a person's times, cut where a session pauses for ≥ break_minutes;
// pieces less than break_minutes apart form a chain; no chain spans more than
// stretch_minutes. Each session in such a chain has a finding.
func breaks(v *view) {
	v.eachPolicy(func(r *plan.RestPolicy) bool { return r.Stretch > 0 }, func(r *plan.RestPolicy, who verdict.Ref) {
		pieces := v.pieces(r.Break)
		for i := 0; i < len(pieces); {
			chain, n := pieces[i].Period, i+1
			for n < len(pieces) && pieces[n].Start.Sub(chain.End) < r.Break {
				chain.End = max(chain.End, pieces[n].End)
				n++
			}
			if chain.Length() > r.Stretch {
				v.tellChain(pieces[i:n], chain, r, who)
			}
			i = n
		}
	})
}

func (v *view) tellChain(pieces []piece, chain civil.Period, r *plan.RestPolicy, who verdict.Ref) {
	told := make(map[*sess]bool)
	for i, p := range pieces {
		if p.session == nil || told[p.session] {
			continue
		}
		told[p.session] = true
		v.stopOne(verdict.Break(who, p.session.ID, r.Name, chain, r.Stretch, r.Break, limitAt(r, "stretch_minutes")),
			int64(v.j.policies[r.Name]), int64(chain.Start), i)
	}
}

// pieces cuts the body's times at pauses of at least pause minutes, in order of start.
func (v *view) pieces(least civil.Minutes) []piece {
	out, sorted := v.parts[:0], true
	add := func(p piece) {
		if p.Length() > 0 {
			sorted = sorted && (len(out) == 0 || out[len(out)-1].Start <= p.Start)
			out = append(out, p)
		}
	}
	for _, t := range v.times {
		rest := piece{t.Period, t.session}
		if t.session != nil {
			for _, p := range t.session.exercise.pauses {
				if p.to-p.from < least {
					continue
				}
				from := t.session.period.Start.Add(p.from)
				to := min(t.session.period.Start.Add(p.to), t.session.period.End)
				if to.Sub(from) < least || from >= rest.End {
					continue
				}
				add(piece{civil.Period{Start: rest.Start, End: max(rest.Start, from)}, t.session})
				rest.Start = max(rest.Start, to)
			}
		}
		add(rest)
	}
	v.parts = out
	if !sorted {
		slices.SortStableFunc(out, func(a, b piece) int { return cmp.Compare(a.Start, b.Start) })
	}
	return out
}
