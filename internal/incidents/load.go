package incidents

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/incident"
	"rungbook/internal/rig"
	"rungbook/internal/store"
)

// found completes what is said to have taken a load: of an item its kit and piece.
// Error: fault.Fields where the yard has no such thing.
func found(ref *store.Reference, l incident.Load, today civil.Day) (incident.Load, error) {
	if l.Item != "" {
		i, ok := ref.Items.On(l.Item, today)
		if !ok {
			return l, fault.Field("kit", "There is no such item.")
		}
		return incident.Load{Kit: i.Kit, Piece: i.Piece, Item: i.ID}, nil
	}
	if _, ok := ref.Kits.On(l.Kit, today); !ok {
		return l, fault.Field("kit", "There is no such kit.")
	}
	if l.Piece != 0 && len(itemsOf(ref, l, today)) == 0 {
		return l, fault.Field("kit", "No item of that piece is on record. Name the whole kit.")
	}
	return l, nil
}

// itemsOf are the items of a piece.
func itemsOf(ref *store.Reference, l incident.Load, today civil.Day) (out []id.Item) {
	for _, i := range ref.Items.All(today) {
		if i.Kit == l.Kit && i.Piece == l.Piece {
			out = append(out, i.ID)
		}
	}
	return out
}

// quarantine puts what took the load in quarantine from the incident on: the item, all
// items of the piece, else the whole kit. What the incident put in before stays in; a
// kit that was given back by it does not go in again.
func quarantine(tx *store.Tx, ref *store.Reference, i incident.Incident) (incident.Incident, error) {
	if i.Kit == "" || !i.Kind.LoadsKit() || i.KitBack != nil {
		return i, nil
	}
	subjects := []string{string(i.Kit)}
	switch {
	case i.Item != "":
		subjects = []string{string(i.Item)}
	case i.Piece != 0:
		subjects = nil
		for _, x := range itemsOf(ref, i.Load(), tx.Today()) {
			subjects = append(subjects, string(x))
		}
	}
	for _, q := range i.Quarantines {
		was, _ := ref.Quarantines.On(q, civil.LastDay)
		subjects = slices.DeleteFunc(subjects, func(s string) bool { return s == was.Subject })
	}
	i.Quarantines = slices.Clone(i.Quarantines)
	for _, s := range subjects {
		q := rig.Quarantine{ID: id.Quarantine(tx.ID()), Subject: s, Start: i.At, Incident: i.ID}
		if _, err := tx.Put("put-in-quarantine", 0, q); err != nil {
			return i, err
		}
		i.Quarantines = append(i.Quarantines, q.ID)
	}
	return i, nil
}
