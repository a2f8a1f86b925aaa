package booking

import (
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// Hit returns the sessions of today and later that stop because a rig, station, kit
// or item is not fit for use, by time: those under way among them.
func (d *Desk) Hit(ctx context.Context, actor access.Actor, of verdict.Ref) ([]session.Session, error) {
	a, err := d.Attention(ctx, actor)
	if err != nil {
		return nil, err
	}
	var out []session.Session
	add := func(s session.Session) {
		if !slices.ContainsFunc(out, func(x session.Session) bool { return x.ID == s.ID }) {
			out = append(out, s)
		}
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		running, err := v.SessionsBetween(v.Now(), v.Now()+1)
		for _, s := range running {
			if s.State == session.UnderWay && a.Slice != nil && a.Slice.StopsAt(of, s, v.Now()) {
				add(s)
			}
		}
		return err
	})
	for _, b := range a.Broken {
		if c, ok := b.Slice.Cause(b.Finding); ok && slices.Contains(c.Of, of) {
			for _, s := range b.Sessions {
				add(s)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b session.Session) int { return int(a.Start - b.Start) })
	return out, err
}
