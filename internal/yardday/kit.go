package yardday

import (
	"cmp"
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// ItemLine is one item as it stands now.
type ItemLine struct {
	Item     rig.Item
	Last     civil.Day // last day on which it may be used; civil.LastDay = none, 0 = not stated
	Causes   []rig.Cause
	Replaced bool // another item stands in its place
}

// Sheet is a kit or an item in full: whether it may be used, and from what cause not.
type Sheet struct {
	Of          verdict.Ref
	Kit         rig.Kit
	Item        *rig.Item // nil of a kit
	Pieces      rig.Pieces
	Items       []ItemLine // of a kit; of an item itself alone
	Causes      []rig.Cause
	Incident    verdict.Text // why an open incident keeps the kit from use
	Checks      []planning.Check
	Inspections []rig.Inspection // newest first
	Quarantines []rig.Quarantine // newest first
	Ref         *store.Reference
	Names       map[id.Person]string
	Now         civil.Instant
}

// Kit returns a kit's sheet. Error: fault.NotFound.
func (y *Yard) Kit(ctx context.Context, actor access.Actor, of id.Kit) (Sheet, error) {
	return y.sheet(ctx, actor, func(v *store.View, s *planning.Slice) (out Sheet, err error) {
		k, ok := s.Reference().Kits.On(of, v.Today())
		if !ok {
			return out, fault.New(fault.NotFound, "There is no such kit.")
		}
		g := s.Register()
		out = Sheet{Of: verdict.Ref{Kind: verdict.Kit, ID: string(of)}, Kit: k, Pieces: g.PiecesAt(of, v.Now()), Checks: s.KitChecks(k), Incident: s.KitIncident(of)}
		out.Causes = append(g.Kit(of, v.Today()), g.Quarantined(out.Of, v.Now())...)
		items := itemsOf(s, of, v.Today())
		for _, i := range items {
			out.Items = append(out.Items, lineOf(s, v, i, items))
		}
		return out, nil
	})
}

// Item returns an item's sheet. Error: fault.NotFound.
func (y *Yard) Item(ctx context.Context, actor access.Actor, of id.Item) (Sheet, error) {
	return y.sheet(ctx, actor, func(v *store.View, s *planning.Slice) (out Sheet, err error) {
		i, ok := s.Reference().Items.On(of, v.Today())
		if !ok {
			return out, fault.New(fault.NotFound, "There is no such item.")
		}
		out = Sheet{Of: verdict.Ref{Kind: verdict.Item, ID: string(of)}, Item: &i, Checks: s.ItemChecks(i)}
		out.Kit, _ = s.Reference().Kits.On(i.Kit, v.Today())
		line := lineOf(s, v, i, s.Register().ItemsOf(i.Kit, v.Today()))
		out.Items, out.Causes, out.Incident = []ItemLine{line}, s.Register().ItemWithKit(i, v.Now()), s.KitIncident(i.Kit)
		return out, nil
	})
}

func lineOf(s *planning.Slice, v *store.View, i rig.Item, all []rig.Item) ItemLine {
	line := ItemLine{Item: i, Causes: s.Register().ItemAt(i.ID, v.Now())}
	if book, ok := rulebook.InForce(s.Reference().RuleBooks.All(civil.LastDay), v.Today()); ok {
		line.Last, _, _ = i.LastDay(book)
	}
	line.Replaced = i.Out != 0 && slices.ContainsFunc(all, func(x rig.Item) bool { return x.Replaces == i.ID && x.Piece == i.Piece })
	return line
}

func (y *Yard) sheet(ctx context.Context, actor access.Actor, read func(*store.View, *planning.Slice) (Sheet, error)) (out Sheet, err error) {
	if _, err := access.Require(actor, access.SeeStation); err != nil {
		return out, err
	}
	err = y.store.Read(ctx, func(v *store.View) error {
		s, err := y.builder.Yard(v, v.Today(), v.Today())
		if err != nil {
			return err
		}
		if out, err = read(v, s); err != nil {
			return err
		}
		out.Ref, out.Now = s.Reference(), v.Now()
		out.Inspections, out.Quarantines = inspectionsOf(out.Ref, out.Of.ID), quarantinesOf(out.Ref, out.Of.ID)
		out.Names, err = v.PersonNames(append(inspectors(out.Inspections), keepers(out.Quarantines)...)...)
		return err
	})
	return out, err
}

// inspectionsOf are all inspections of a thing, the newest first.
func inspectionsOf(ref *store.Reference, of string) []rig.Inspection {
	var out []rig.Inspection
	for _, i := range ref.Inspections.All(civil.LastDay) {
		if i.Subject == of {
			out = append(out, i)
		}
	}
	slices.SortStableFunc(out, func(a, b rig.Inspection) int { return cmp.Or(cmp.Compare(b.Done, a.Done), cmp.Compare(b.At, a.At)) })
	return out
}

func quarantinesOf(ref *store.Reference, of string) []rig.Quarantine {
	var out []rig.Quarantine
	for _, q := range ref.Quarantines.All(civil.LastDay) {
		if q.Subject == of {
			out = append(out, q)
		}
	}
	slices.SortStableFunc(out, func(a, b rig.Quarantine) int { return cmp.Compare(b.Start, a.Start) })
	return out
}

func inspectors(list []rig.Inspection) (out []id.Person) {
	for _, i := range list {
		out = append(out, i.By)
	}
	return out
}

func keepers(list []rig.Quarantine) (out []id.Person) {
	for _, q := range list {
		out = append(out, q.By)
		if q.Lift != nil {
			out = append(out, q.Lift.By)
		}
	}
	return out
}

// Quarantine is one quarantine with what may lift it.
type Quarantine struct {
	Quarantine  rig.Quarantine
	Of          verdict.Ref
	Inspections []rig.Inspection // passed since it began, newest first
	Lines       []string         // inspections that its record asks for
	Ref         *store.Reference
	Names       map[id.Person]string
}

// Quarantine returns one quarantine. Error: fault.NotFound.
func (y *Yard) Quarantine(ctx context.Context, actor access.Actor, of id.Quarantine) (out Quarantine, err error) {
	if _, err := access.Require(actor, access.SeeStation); err != nil {
		return out, err
	}
	err = y.store.Read(ctx, func(v *store.View) (err error) {
		if out.Ref, err = v.Reference(); err != nil {
			return err
		}
		q, ok := out.Ref.Quarantines.On(of, civil.LastDay)
		if !ok {
			return fault.New(fault.NotFound, "There is no such quarantine.")
		}
		out.Quarantine = q
		if out.Of, ok = planning.Thing(out.Ref, q.Subject, v.Today()); !ok {
			return fault.New(fault.NotFound, "What was in quarantine is not on record any more.")
		}
		out.Lines = planning.Required(out.Ref, q.Subject, v.Today())
		for _, i := range inspectionsOf(out.Ref, q.Subject) {
			if q.LiftedBy(i, v.Zone()) {
				out.Inspections = append(out.Inspections, i)
			}
		}
		out.Names, err = v.PersonNames(append(keepers([]rig.Quarantine{q}), inspectors(out.Inspections)...)...)
		return err
	})
	return out, err
}
