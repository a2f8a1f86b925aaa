package booking

import (
	"cmp"
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/plan"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// nearest returns the offer that changes least of what was refused: the same
// station at the nearest time first, then another station; or, where leaving out
// the trainees that the findings name is enough, that.
func (o *Options) nearest(s plan.Session, r verdict.Report) *verdict.Nearest {
	if n := o.fewer(s, r); n != nil {
		return n
	}
	var best *Offer
	for i := range o.Offers {
		x := &o.Offers[i]
		if best == nil || cmp.Or(boolFirst(x.Session.Station == s.Station, best.Session.Station == s.Station),
			cmp.Compare(distance(x.Session.Start, s.Start), distance(best.Session.Start, s.Start))) < 0 {
			best = x
		}
	}
	if best == nil {
		return nil
	}
	say := verdict.Say("book it ", best.Session.Start)
	if best.Session.Station != s.Station {
		say = append(say, " on ", verdict.Ref{Kind: verdict.Station, ID: best.Session.Station})
	}
	return &verdict.Nearest{Say: say, Start: int64(best.Session.Start), Station: best.Session.Station}
}

func boolFirst(a, b bool) int {
	switch {
	case a && !b:
		return -1
	case b && !a:
		return 1
	}
	return 0
}

// fewer leaves out the trainees whom the stops name, if what remains is clear.
func (o *Options) fewer(s plan.Session, r verdict.Report) *verdict.Nearest {
	var leave []string
	for _, f := range r.At(verdict.Stops) {
		named := f.Who.ID
		if f.Who.Kind == verdict.Body {
			named = o.traineeOf(s, f.Who.ID)
		}
		if !slices.Contains(s.Trainees, named) {
			return nil
		}
		if !slices.Contains(leave, named) {
			leave = append(leave, named)
		}
	}
	if len(leave) == 0 || len(leave) == len(s.Trainees) {
		return nil
	}
	rest := s
	rest.Trainees = slices.DeleteFunc(slices.Clone(s.Trainees), func(t string) bool { return slices.Contains(leave, t) })
	if o.Slice.Change(o.removed(), []plan.Session{rest}).Level() == verdict.Stops {
		return nil
	}
	slices.Sort(leave)
	say := verdict.Say("leave out ")
	for i, t := range leave {
		if i > 0 {
			say = append(say, ", ")
		}
		say = append(say, verdict.Ref{Kind: verdict.Trainee, ID: t})
	}
	return &verdict.Nearest{Say: say, Start: int64(s.Start), Station: s.Station, Leave: leave}
}

// traineeOf returns the session's trainee who is that body, "" if none is.
func (o *Options) traineeOf(s plan.Session, body string) string {
	for _, t := range s.Trainees {
		if rec, ok := o.Slice.Trainee(id.Trainee(t)); ok && string(rec.Person) == body {
			return t
		}
	}
	return ""
}

// Near returns the free times nearest to a proposal that a rule stops, at most
// three: the same station first, then the nearest in time.
func (d *Desk) Near(ctx context.Context, actor access.Actor, p Proposal) ([]Offer, error) {
	if _, err := access.Require(actor, access.SeeOptions); err != nil {
		return nil, err
	}
	var out []Offer
	err := d.store.Read(ctx, func(v *store.View) error {
		day := v.Zone().DayOf(p.Start)
		if len(p.Trainees) == 0 && p.Trial == "" || day+nearDays < v.Today() {
			return nil
		}
		o, err := d.options(v, Ask{Exercise: p.Exercise, Trainees: p.Trainees, Trial: p.Trial, From: day - nearDays, Until: day + nearDays, Move: p.Session})
		if err != nil {
			return err
		}
		out = o.Offers
		slices.SortStableFunc(out, func(a, b Offer) int {
			return cmp.Or(boolFirst(a.Session.Station == string(p.Station), b.Session.Station == string(p.Station)),
				cmp.Compare(distance(a.Session.Start, p.Start), distance(b.Session.Start, p.Start)))
		})
		out = out[:min(3, len(out))]
		return nil
	})
	return out, err
}

// nearDays is how far from a stopped proposal Near looks, each way.
const nearDays = 4

func distance(a, b civil.Instant) civil.Minutes {
	m := a.Sub(b)
	return max(m, -m)
}
