package drafting

import (
	"cmp"
	"slices"

	"rungbook/internal/id"
	"rungbook/internal/plan"
	"rungbook/internal/plan/solve"
	"rungbook/internal/planning"
	"rungbook/internal/verdict"
)

// Unplaced is a need that the plan leaves out.
type Unplaced struct {
	Trainee  id.Trainee
	Name     string
	Exercise id.Exercise
	Title    string       // the exercise's name
	Reason   string       // the planner's sentence, with names for ids
	Say      verdict.Text // the same with its days and times as values
	// Never says that no plan at all can place it, and why; nil where that is not known.
	Never *Impossible
	// Why is what stops the best attempt to place it by itself beside the plan, in
	// words of the records; empty where none was tried.
	Why []verdict.Finding
	// Clear is a time at which it could be booked by itself after all, nil where
	// none was found.
	Clear *verdict.Nearest
}

// mostTried is how many needs without a place are tried one by one for a page.
const mostTried = 40

// attempts is how many refusals are looked at for the least bad.
const attempts = 6

// unplaced lists the needs without a place. with is the slice as the plan would
// have it.
func (p *proposal) unplaced(with *planning.Slice, never []Impossible) []Unplaced {
	var out []Unplaced
	for i, u := range p.plan.Unplaced {
		one := Unplaced{Trainee: id.Trainee(u.Trainee), Name: with.Name(verdict.Ref{Kind: verdict.Trainee, ID: u.Trainee}),
			Exercise: id.Exercise(u.Exercise), Title: with.Name(verdict.Ref{Kind: verdict.Exercise, ID: u.Exercise}), Reason: words(with, u.Reason), Say: say(with, u.Reason)}
		if j := slices.IndexFunc(never, func(n Impossible) bool { return n.Trainee == one.Trainee && n.Exercise == one.Exercise }); j >= 0 {
			one.Never = &never[j]
		} else if i < mostTried {
			p.try(with, u, &one)
		}
		out = append(out, one)
	}
	slices.SortStableFunc(out, func(a, b Unplaced) int { return cmp.Or(cmp.Compare(a.Title, b.Title), cmp.Compare(a.Name, b.Name)) })
	return out
}

// try looks for a place for one need with the code that booking offers times by,
// and keeps what stops the attempt with least against it.
func (p *proposal) try(with *planning.Slice, u plan.Unplaced, out *Unplaced) {
	ask := solve.Ask{Exercise: u.Exercise, Trainees: []string{u.Trainee}, NotBefore: p.built, Most: attempts}
	for d := p.row.From; d <= p.row.Until; d++ {
		ask.Days = append(ask.Days, d)
	}
	offers, refused := with.Search().Insertions(ask)
	for _, o := range offers {
		if with.Judge(nil, []plan.Session{o.Session}).Level() != verdict.Stops {
			out.Clear = &verdict.Nearest{Say: verdict.Say("book it ", o.Session.Start, " on ", verdict.Ref{Kind: verdict.Station, ID: o.Session.Station}),
				Start: int64(o.Session.Start), Station: o.Session.Station}
			return
		}
	}
	for _, r := range refused {
		if why := with.Judge(nil, []plan.Session{r.Session}).At(verdict.Stops); len(why) > 0 && (out.Why == nil || len(why) < len(out.Why)) {
			out.Why = why
		}
	}
}
