package check

import (
	"cmp"
	"slices"

	"rungbook/internal/verdict"
)

// finding is a finding on its way into a report.
type finding struct {
	verdict.Finding
	rule *Rule
	// one is not zero where several findings tell of one thing (two sessions
	// that clash, all sessions of one overcrowded hour): a report shows one.
	one oneThing
	at  int // tells the findings of one thing apart, later ones are shown
}

type oneThing struct {
	rule     *Rule
	of, a, b int64
}

func (v *view) stop(f verdict.Finding) {
	*v.out = append(*v.out, finding{Finding: f, rule: v.rule})
}

func (v *view) stopOne(f verdict.Finding, a, b int64, at int) {
	*v.out = append(*v.out, finding{Finding: f, rule: v.rule, one: oneThing{v.rule, int64(v.at), a, b}, at: at})
}

// report keeps one finding of each thing and sorts them. Of several it keeps
// one about a preferred session, else the one that lies furthest beyond its
// limit, else the latest.
func report(list []finding, preferred func(finding) bool) verdict.Report {
	best := make(map[oneThing]int)
	keep := make([]bool, len(list))
	for i, f := range list {
		keep[i] = true
		if f.one == (oneThing{}) {
			continue
		}
		old, ok := best[f.one]
		if ok && !better(f, list[old], preferred) {
			keep[i] = false
			continue
		}
		if ok {
			keep[old] = false
		}
		best[f.one] = i
	}
	var r verdict.Report
	for i, f := range list {
		if keep[i] {
			r.Findings = append(r.Findings, f.Finding)
		}
	}
	r.Sort()
	return r
}

func better(a, b finding, preferred func(finding) bool) bool {
	if pa, pb := preferred(a), preferred(b); pa != pb {
		return pa
	}
	return cmp.Or(cmp.Compare(a.Excess, b.Excess), cmp.Compare(a.at, b.at), cmp.Compare(a.Who.ID, b.Who.ID)) > 0
}

// mentions reports whether f is about a session that fits.
func (f finding) mentions(fits func(id string) bool) bool {
	if f.Who.Kind == verdict.Session && fits(f.Who.ID) {
		return true
	}
	return slices.ContainsFunc(f.Also, func(r verdict.Ref) bool { return r.Kind == verdict.Session && fits(r.ID) })
}
