package planning

import (
	"fmt"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/plan"
	"rungbook/internal/store"
)

// Yard builds a slice without people or sessions: hours, light and which
// stations are shut and why. Boards and drawings need no more.
func (b *Builder) Yard(v *store.View, from, until civil.Day) (*Slice, error) {
	ref, err := v.Reference()
	if err != nil {
		return nil, err
	}
	yard, ok := ref.YardOn(from)
	if !ok {
		return nil, noYard(from)
	}
	zone, err := civil.LoadZone(yard.Zone)
	if err != nil {
		return nil, err
	}
	scope := Scope{From: from, Until: until, Day: from}
	g := b.grounds.get(ref, yard, zone, scope)
	s := &Slice{Problem: g.problemCopy(), Scope: scope, ref: ref, day: from, ground: g, own: map[string]Cause{}}
	return s, s.addIncidents(v)
}

// noYard says that there is nothing to build from.
func noYard(d civil.Day) error {
	return fault.New(fault.NotFound, "No yard is recorded on %s yet, so there is nothing to show or book.", d)
}

// Shut is a span in which a station can't be used, with its cause.
type Shut struct {
	civil.Period
	Cause Cause
}

// Shut returns the spans in which a station can't be used, in the order of the problem.
func (s *Slice) Shut(station id.Station) []Shut {
	i := slices.IndexFunc(s.Problem.Stations, func(x plan.Station) bool { return x.ID == string(station) })
	if i < 0 {
		return nil
	}
	out := make([]Shut, len(s.Problem.Stations[i].Shut))
	for k, span := range s.Problem.Stations[i].Shut {
		at := fmt.Sprintf("/stations/%d/shut/%d", i, k)
		cause, ok := s.own[at]
		if !ok {
			cause = s.ground.causes[at]
		}
		out[k] = Shut{span, cause}
	}
	return out
}

// Covered reports whether periods leave nothing of spans, which are sorted and
// separate: several that follow on each other cover as one does.
func Covered(spans, by []civil.Period) bool { return len(without(spans, by)) == 0 }

// Hours returns the opening windows of a day as instants, or why it is closed.
func (s *Slice) Hours(d civil.Day) (open []civil.Period, closed string) {
	if i := slices.Index(s.Problem.ClosedDays, d); i >= 0 {
		if why := s.ref.Text(s.closedReason(d)); why != "" {
			return nil, why
		}
		return nil, "closed"
	}
	for _, w := range s.Problem.Open {
		if slices.Contains(w.Weekdays, d.Weekday()) {
			open = append(open, civil.Period{Start: s.Problem.Zone.At(d, w.From), End: s.Problem.Zone.At(d, w.To)})
		}
	}
	if len(open) == 0 {
		return nil, "closed"
	}
	return open, ""
}

func (s *Slice) closedReason(d civil.Day) id.Commitment {
	yard, _ := s.ref.YardOn(s.day)
	for _, c := range yard.ClosedDays {
		if c.Day == d {
			return c.Reason
		}
	}
	return ""
}
