package running

import (
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// massGate: everybody who is here, trainees and staff, was seen to be within the
// lowest rating of the session's kits, the rescue kit too, with all that they wear.
// Seen counts for the day; what was seen in this session goes before another's.
func massGate(s *Scene) ([]Gate, error) {
	g := Gate{Name: "mass", Running: true, Mend: s.mend("rating"), Do: "See who is within the rating"}
	kit, rated := s.Rated()
	if rated == 0 {
		g.Holds, g.Found = true, verdict.Say("no kit of the session states a rated mass")
		return []Gate{g}, nil
	}
	left, err := s.ToWeigh()
	if err != nil {
		return nil, err
	}
	if len(left) == 0 {
		g.Holds, g.Found = true, verdict.Say("everybody here is within ", rated, " kg with kit, the rating of ", s.thing(string(kit)))
		return []Gate{g}, nil
	}
	g.Found = verdict.Say("not seen to be within the rating of ", s.thing(string(kit)), ": ", len(left), " of ", len(s.Roped()))
	g.Required = verdict.Say("mass with kit at most ", rated, " kg, of everybody here; a heavier person stays down")
	return []Gate{g}, nil
}

// Rated is the kit of the session that is rated for the lowest mass of a user with
// kit, in kilograms; 0 where none states one.
func (s *Scene) Rated() (lowest id.Kit, kg int) {
	for _, of := range s.kits() {
		k, _ := s.Slice.Reference().Kits.On(of, s.Day)
		if k.Rated > 0 && (kg == 0 || k.Rated < kg) {
			lowest, kg = of, k.Rated
		}
	}
	return lowest, kg
}

// Roped are all who are here and may hang from the kit: trainees, staff and whoever
// else is there. While the roll is not called it is those who are booked.
func (s *Scene) Roped() (out []string) {
	here := s.WithPresent()
	for _, t := range here.Trainees {
		out = append(out, string(t))
	}
	return append(append(out, plain(s.Crew())...), plain(here.Others)...)
}

// ToWeigh are those of them who were not seen to be within the rating.
func (s *Scene) ToWeigh() (out []string, err error) {
	_, rated := s.Rated()
	if rated == 0 {
		return nil, nil
	}
	own := s.Prepared.Mass
	if own != nil && s.View.Zone().DayOf(own.Done.At) != s.Day {
		own = nil
	}
	asked := func(who string) bool { return own != nil && slices.Contains(own.Asked, who) }
	roped := s.Roped()
	var today []session.MassSeen
	if slices.ContainsFunc(roped, func(who string) bool { return !asked(who) }) { // else no other session has a say
		if today, err = s.massSeen(); err != nil {
			return nil, err
		}
	}
	for _, who := range roped {
		elsewhere := func(m session.MassSeen) bool { return m.Covers(who, rated) }
		if !own.Covers(who, rated) && (asked(who) || !slices.ContainsFunc(today, elsewhere)) {
			out = append(out, who)
		}
	}
	return out, nil
}

// massSeen is what was seen on the day in any session of it.
func (s *Scene) massSeen() (out []session.MassSeen, err error) {
	zone := s.View.Zone()
	near, err := s.View.SessionsBetween(zone.StartOfDay(s.Day), zone.StartOfDay(s.Day+1))
	if err != nil {
		return nil, err
	}
	var of []id.Session
	for _, x := range near {
		of = append(of, x.ID)
	}
	today, err := s.View.Preparations(of...)
	for _, p := range today {
		if p.Mass != nil && zone.DayOf(p.Mass.Done.At) == s.Day {
			out = append(out, *p.Mass)
		}
	}
	return out, err
}

// Mass keeps who was seen to be within the rating that the page showed.
func (d *Desk) Mass(ctx context.Context, actor access.Actor, sid id.Session, send Send, kg int, within []string) error {
	return d.prepare(ctx, actor, sid, send, "mass-seen", []any{kg, within}, func(_ *store.Tx, s *Scene, p *session.Preparation, done session.Done) error {
		_, rated := s.Rated()
		if rated == 0 || rated != kg {
			return fault.New(fault.Conflict, "The rating of the kit is another than the one shown. Open the page again.")
		}
		roped := s.Roped()
		for _, who := range within {
			if !slices.Contains(roped, who) {
				return fault.New(fault.Invalid, "Somebody ticked is not here. Open the page again.")
			}
		}
		p.Mass = &session.MassSeen{Done: done, Kg: kg, Asked: slices.Sorted(slices.Values(roped)), Within: slices.Compact(slices.Sorted(slices.Values(within)))}
		return nil
	})
}
