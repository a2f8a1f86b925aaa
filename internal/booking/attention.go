package booking

import (
	"context"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// Attention is what booked sessions have come to since they were booked: those
// that a later fact broke, those that wait for a caution to be accepted, and
// those that are over and not signed.
type Attention struct {
	Broken   []Broken
	Waiting  []Waits
	Unsigned []session.Session
	Shifted  []session.Session // their offset is no longer the zone's: check the local time
	Slice    *planning.Slice
	Ref      *store.Reference
	Zone     civil.Zone
}

// Broken is a finding about standing sessions.
type Broken struct {
	Finding  verdict.Finding
	Sessions []session.Session // to come, that it names; empty for a finding about a person's day
}

// Waits is a pencilled session with the cautions that keep it so.
type Waits struct {
	Session session.Session
	Waits   []verdict.Finding
}

// horizonDays bounds how far ahead sessions are judged for attention.
const horizonDays = 120

// Attention judges every session to come against today's records.
func (d *Desk) Attention(ctx context.Context, actor access.Actor) (Attention, error) {
	if _, err := access.Require(actor, access.SeeAttention); err != nil {
		return Attention{}, err
	}
	var out Attention
	err := d.store.Read(ctx, func(v *store.View) (err error) {
		out, err = d.attention(v)
		return err
	})
	return out, err
}

func (d *Desk) attention(v *store.View) (Attention, error) {
	today := v.Today()
	ahead, err := v.BookedAfter(v.Now())
	if err != nil {
		return Attention{}, err
	}
	last := today
	for _, r := range ahead {
		last = max(last, v.Zone().DayOf(r.Start))
	}
	last = min(last, today+horizonDays)
	s, err := d.builder.Build(v, planning.Scope{From: today, Until: last, Everyone: true})
	if err != nil {
		return Attention{}, err
	}
	out := Attention{Slice: s, Ref: s.Reference(), Zone: v.Zone()}
	toCome := map[string]session.Session{}
	for _, r := range ahead {
		toCome[string(r.ID)] = r
	}
	for _, f := range s.All().At(verdict.Stops) {
		if b, ok := brokenBy(f, toCome, s); ok {
			out.Broken = append(out.Broken, b)
		}
	}
	for _, r := range ahead {
		if r.State != session.Pencilled {
			continue
		}
		j, _, err := d.current(v, r.ID)
		if err != nil {
			return Attention{}, err
		}
		out.Waiting = append(out.Waiting, Waits{r, j.Waits})
	}
	out.Unsigned, err = v.NotSignedBefore(v.Now())
	return out, err
}

// brokenBy keeps a finding if it concerns a session to come.
func brokenBy(f verdict.Finding, toCome map[string]session.Session, s *planning.Slice) (Broken, bool) {
	b := Broken{Finding: f}
	about := false
	for _, ref := range append([]verdict.Ref{f.Who}, f.Also...) {
		if ref.Kind != verdict.Session {
			continue
		}
		about = true
		if r, ok := toCome[ref.ID]; ok {
			b.Sessions = append(b.Sessions, r)
		}
	}
	// A finding about a person's day names no session: keep it, for it can only
	// come from sessions that stand.
	return b, !about || len(b.Sessions) > 0
}

// CountWaiting returns how many things wait for this person: broken and unsigned
// sessions, and cautions of their fields.
func (d *Desk) CountWaiting(a Attention, actor access.Actor, me id.Person) int {
	n := len(a.Broken)
	for _, w := range a.Waiting {
		for _, f := range w.Waits {
			if access.MayAccept(actor, f.Field) {
				n++
				break
			}
		}
	}
	for _, r := range a.Unsigned {
		for _, p := range r.Instructors {
			if p == me {
				n++
				break
			}
		}
	}
	return n
}
