package running

import (
	"context"
	"errors"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// Comer is somebody who comes to the rig and was not in the session: one of the staff,
// or, as one of the others, a visitor by name.
type Comer struct {
	Person  id.Person
	Visitor string
	Part    session.Part
	As      session.OtherPart // of one of the others
}

// Swap puts somebody into the session as they come to the rig, in a part. Where a rule
// stops that person, or whoever is here could not look after one more, nothing is
// written and what was found is returned.
func (d *Desk) Swap(ctx context.Context, actor access.Actor, sid id.Session, send Send, at At, who Comer) (shut []Gate, err error) {
	who.Visitor = strings.TrimSpace(who.Visitor)
	switch {
	case (who.Person == "") == (who.Visitor == ""):
		return nil, fault.Field("person", "Choose one of the staff, or give the name of somebody else.")
	case who.Visitor != "" && who.Part != session.AsOther:
		return nil, fault.Field("part", "Who is known by name alone can't teach or stand by: choose observer, candidate, auditor or visitor.")
	}
	what := []any{string(session.ToSwap), at, who}
	swap := func(tx *store.Tx, s *Scene) error {
		if err := s.mayCall(); err != nil {
			return err
		}
		if who.Visitor != "" {
			if who.Person, err = tx.Newcomer(who.Visitor); err != nil {
				return err
			}
			s.Slice.Admit(who.Person)
		}
		rec, err := s.with(who)
		if err != nil {
			return err
		}
		if at, err = s.moment(at); err != nil {
			return err
		}
		before := s.Report
		s.Session = rec
		if shut = s.stopsOf(who, before); len(shut) > 0 {
			return errShut
		}
		if _, err := tx.Put(string(session.ToSwap), s.Day, rec); err != nil {
			return err
		}
		shut = nil
		_, err = d.call(tx, s, at, []session.Seen{{Who: string(who.Person), Part: who.Part, Here: true}})
		return err
	}
	var more []id.Person
	if who.Person != "" {
		more = append(more, who.Person)
	}
	_, err = d.change(ctx, actor, sid, send, what, swap, more...)
	if errors.Is(err, errShut) {
		return shut, nil
	}
	return nil, err
}

// with returns the session with one more person.
func (s *Scene) with(who Comer) (session.Session, error) {
	out := s.Session
	if slices.Contains(slices.Concat(out.Instructors, out.Rescuers, out.Others), who.Person) {
		return out, fault.Field("person", "They are in the session already; tick them on the roll.")
	}
	if _, works := s.Slice.Reference().Staff.On(who.Person, s.Day); !works && who.Visitor == "" {
		return out, fault.Field("person", "Choose one of the staff from the list.")
	}
	switch who.Part {
	case session.AsInstructor:
		out.Instructors = append(slices.Clone(out.Instructors), who.Person)
	case session.AsRescuer:
		out.Rescuers = append(slices.Clone(out.Rescuers), who.Person)
	case session.AsOther:
		list, err := session.Joined(out.TheOthers(), session.OtherAs{Person: who.Person, As: who.As})
		if err != nil {
			return out, fault.Field("part", "Choose which part they take.")
		}
		out = out.WithOthers(list)
	default:
		return out, fault.Field("part", "Choose which part they take.")
	}
	return out.Sorted(), nil
}

// stopsOf asks what stops one person from taking a part now, whoever else is here
// staying as they are. before is what stops the session without them: one more of the
// others may be one too many to look after.
func (s *Scene) stopsOf(who Comer, before verdict.Report) []Gate {
	put := planning.AsPlan(s.WithPresent())
	list := map[session.Part]*[]string{session.AsInstructor: &put.Instructors, session.AsRescuer: &put.Rescuers, session.AsOther: &put.Others}[who.Part]
	if !slices.Contains(*list, string(who.Person)) { // the roll is called, without them
		*list = append(*list, string(who.Person))
	}
	var out []Gate
	for _, f := range s.Slice.Standalone(put).At(verdict.Stops) {
		known := slices.ContainsFunc(before.At(verdict.Stops), func(x verdict.Finding) bool { return x.Subject() == f.Subject() })
		if f.Who.ID == string(who.Person) || who.Part == session.AsOther && !known {
			out = append(out, Gate{Name: "rules", Found: verdict.Say(verdict.RuleName(f.Rule), ": ", f.Found), Required: f.Required, Mend: s.page()})
		}
	}
	return out
}
