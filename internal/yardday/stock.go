package yardday

import (
	"cmp"
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/rig"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// Piece is a kit or an item as it stands now.
type Piece struct {
	Of       verdict.Ref
	Kit      rig.Kit
	Item     *rig.Item // nil of a kit
	State    rig.KitState
	Causes   []rig.Cause
	Incident verdict.Text // why an open incident keeps it from use; nil for none
	Due      *rig.Due     // the clock that runs out first; nil for none
	Pieces   rig.Pieces   // of a kit
}

// Stock is every kit of the yard with its items, kits by name.
type Stock struct {
	Pieces []Piece
	Ref    *store.Reference
	Now    civil.Instant
	Head   int64
}

// Stock returns every kit, each followed by its items. What keeps a kit from use keeps
// its items too.
func (y *Yard) Stock(ctx context.Context, actor access.Actor) (out Stock, err error) {
	if _, err := access.Require(actor, access.SeeStation); err != nil {
		return out, err
	}
	err = y.store.Read(ctx, func(v *store.View) error {
		s, err := y.builder.Yard(v, v.Today(), v.Today())
		if err != nil {
			return err
		}
		out = Stock{Ref: s.Reference(), Now: v.Now(), Head: v.Head()}
		kits := out.Ref.Kits.All(v.Today())
		slices.SortFunc(kits, func(a, b rig.Kit) int {
			return cmp.Or(cmp.Compare(store.Fold(out.Ref.Text(a.Name)), store.Fold(out.Ref.Text(b.Name))), cmp.Compare(a.ID, b.ID))
		})
		for _, k := range kits {
			out.Pieces = append(out.Pieces, kitPieces(s, v, k)...)
		}
		return nil
	})
	return out, err
}

// kitPieces are a kit and its items.
func kitPieces(s *planning.Slice, v *store.View, k rig.Kit) []Piece {
	g, day := s.Register(), v.Today()
	of := verdict.Ref{Kind: verdict.Kit, ID: string(k.ID)}
	incident, due := s.KitIncident(k.ID), g.DueOfKit(k.ID, day)
	piece := func(of verdict.Ref, item *rig.Item, causes []rig.Cause, due []rig.Due) Piece {
		judged := causes
		if incident != nil {
			judged = append(slices.Clone(causes), rig.Cause{Kind: rig.ByIncident, Subject: of})
		}
		p := Piece{Of: of, Kit: k, Item: item, State: rig.KitStateOf(judged, due, day), Causes: causes, Incident: incident}
		if len(due) > 0 {
			first := slices.MinFunc(due, func(a, b rig.Due) int { return cmp.Compare(a.Last, b.Last) })
			p.Due = &first
		}
		return p
	}
	whole := piece(of, nil, append(g.Kit(k.ID, day), g.Quarantined(of, v.Now())...), due)
	whole.Pieces = g.PiecesAt(k.ID, v.Now())
	out := []Piece{whole}
	for _, i := range itemsOf(s, k.ID, day) {
		out = append(out, piece(verdict.Ref{Kind: verdict.Item, ID: string(i.ID)}, &i, g.ItemWithKit(i, v.Now()), slices.Concat(g.DueOfItem(i.ID, day), due)))
	}
	return out
}

// itemsOf are the items of a kit as people look for them: by piece, then by serial.
func itemsOf(s *planning.Slice, k id.Kit, day civil.Day) []rig.Item {
	items, serial := s.Register().ItemsOf(k, day), func(i rig.Item) string { return rig.SerialKey(s.Reference().Text(i.Serial)) }
	slices.SortStableFunc(items, func(a, b rig.Item) int {
		return cmp.Or(cmp.Compare(a.Piece, b.Piece), cmp.Compare(serial(a), serial(b)))
	})
	return items
}
