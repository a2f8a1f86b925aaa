package arriving

import (
	"context"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/rig"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// issue returns the items that a form hands out by serial. A serial that the trainee
// holds already stands as it is; a new one must name an item that may be used now and
// that nobody else holds. A yard that has no item on record takes any serial: there
// is nothing to compare it with.
func (d *Desk) issue(tx *store.Tx, n Noted, was Row) ([]id.Item, error) {
	v := tx.View()
	ref, err := v.Reference()
	if err != nil {
		return nil, err
	}
	items := map[string]rig.Item{}
	for _, i := range ref.Items.All(tx.Today()) {
		items[rig.SerialKey(ref.Text(i.Serial))] = i
	}
	if len(items) == 0 || len(n.Issued) == 0 {
		return nil, nil
	}
	var out []id.Item
	var slice *planning.Slice
	for _, serial := range n.Issued {
		item, known := items[rig.SerialKey(serial)]
		if known && slices.Contains(was.Arrival.Items, item.ID) || !known && slices.Contains(was.Issued, serial) {
			if known {
				out = append(out, item.ID)
			}
			continue
		}
		if !known {
			return nil, fault.Field("issued", "No item with the serial %s is on record. Look at its marking, or have it recorded before it is handed out.", serial)
		}
		if slice == nil {
			if slice, err = d.builder.Yard(v, tx.Today(), tx.Today()); err != nil {
				return nil, err
			}
		}
		if err := mayIssue(v, slice, item, serial, n.Trainee); err != nil {
			return nil, err
		}
		out = append(out, item.ID)
	}
	slices.Sort(out)
	return slices.Compact(out), nil
}

// mayIssue refuses an item that may not be used now, or that somebody else holds.
func mayIssue(v *store.View, s *planning.Slice, i rig.Item, serial string, to id.Trainee) error {
	style := verdict.PlainStyle(v.Zone())
	style.Ref = s.Name
	var why []string
	for _, c := range s.Register().ItemWithKit(i, v.Now()) {
		why = append(why, c.Say().In(style))
	}
	if text := s.KitIncident(i.Kit); text != nil {
		why = append(why, text.In(style))
	}
	if len(why) > 0 {
		return fault.Field("issued", "%s may not be handed out: %s. Hand out an item that may be used.", serial, strings.Join(why, "; "))
	}
	holders, err := v.ItemHolders(i.ID)
	if err != nil {
		return err
	}
	for _, h := range holders {
		if h.Trainee == to {
			continue
		}
		names, err := v.TraineeNames(h.Trainee)
		if err != nil {
			return err
		}
		return fault.Field("issued", "%s is handed out to %s. Take it back from them first.", serial, names[h.Trainee])
	}
	return nil
}

// Holder is who holds an item.
type Holder struct {
	Trainee id.Trainee
	Person  id.Person
	Name    string
	Intake  id.Intake
}

// Holders returns who holds an item now: nobody, or one trainee.
func (d *Desk) Holders(ctx context.Context, actor access.Actor, of id.Item) (out []Holder, err error) {
	if _, err := access.Require(actor, access.SeeArrivals); err != nil {
		return nil, err
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		list, err := v.ItemHolders(of)
		if err != nil {
			return err
		}
		for _, a := range list {
			trainees, err := v.Trainees(a.Trainee)
			if err != nil {
				return err
			}
			names, err := v.TraineeNames(a.Trainee)
			if err != nil {
				return err
			}
			for _, t := range trainees {
				out = append(out, Holder{t.ID, t.Person, names[t.ID], t.Intake})
			}
		}
		return nil
	})
	return out, err
}
