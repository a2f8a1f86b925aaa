package founding

import (
	"context"
	"fmt"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/rig"
)

// Item is a single piece of equipment as a form gives it: its record without id and
// texts. Of a new one several serials may be given: items that are alike otherwise.
type Item struct {
	Record  rig.Item
	Serials []string
	EachOne bool // each serial is a piece of its own, counted on from the record's
	Says    string
}

// mostItems is how many items one form takes.
const mostItems = 100

// Item records items of a kit, or changes one.
func (f *Founder) Item(ctx context.Context, actor access.Actor, of Of, i Item, key string) (string, error) {
	return f.write(ctx, actor, access.ChangeYard, key, "item", of, i, func(d *desk) error {
		was, ok := d.ref.Items.On(id.Item(d.id), d.Today())
		if !ok && !d.fresh() {
			return gone("item")
		}
		if err := d.checkItem(i, was); err != nil {
			return err
		}
		for n, serial := range i.Serials {
			r := i.Record
			if n > 0 {
				d.id = d.ID()
			}
			if i.EachOne && r.Piece > 0 {
				r.Piece += n
			}
			r.Out, r.Why, r.Inspections = was.Out, was.Why, asBefore(r.Inspections, was.Inspections)
			r.ID, r.Serial, r.Says = id.Item(d.id), d.text("serial", serial, was.Serial), d.text("says", i.Says, was.Says)
			if err := r.Check(); err != nil {
				return err
			}
			if err := d.put(r); err != nil {
				return err
			}
		}
		return nil
	})
}

// checkItem looks at what an item's form speaks of: its kit and piece, what it
// stands in for, and serials that are on record already.
func (d *desk) checkItem(i Item, was rig.Item) error {
	bad := fault.Fields{}
	kit, ok := d.ref.Kits.On(i.Record.Kit, d.Today())
	last := i.Record.Piece
	if i.EachOne && last > 0 {
		last += len(i.Serials) - 1
	}
	switch {
	case !ok:
		bad.Add("kit", "Choose the kit it belongs to.")
	case last > kit.Count:
		bad.Add("piece", "The kit counts %d; there is no piece %d. Give a lower number, or change how many there are first.", kit.Count, last)
	}
	switch {
	case len(i.Serials) == 0:
		bad.Add("serial", "The item has no serial. Give what is marked on it.")
	case len(i.Serials) > 1 && !d.fresh(), len(i.Serials) > mostItems:
		bad.Add("serial", "Give one serial; up to %d only where new items are recorded.", mostItems)
	}
	if r := i.Record.Replaces; r != "" {
		out, found := d.ref.Items.On(r, d.Today())
		switch {
		case !found || out.Kit != i.Record.Kit || out.Piece != i.Record.Piece:
			bad.Add("replaces", "What it stands in for belongs to another kit or piece.")
		case out.Out == 0:
			bad.Add("replaces", "%s is not out of use. Take it out of use first.", d.ref.Text(out.Serial))
		case out.Sort != i.Record.Sort:
			bad.Add("replaces", "A %s does not stand in for a %s.", i.Record.Sort, out.Sort)
		}
	}
	seen := map[string]bool{}
	for _, x := range d.ref.Items.All(civil.LastDay) {
		if x.ID != was.ID {
			seen[rig.SerialKey(d.ref.Text(x.Serial))] = true
		}
	}
	for _, s := range i.Serials {
		if k := rig.SerialKey(s); k != "" && seen[k] {
			bad.Add("serial", "%s", fmt.Sprintf("%q is on record already. A serial names one item.", strings.TrimSpace(s)))
		} else {
			seen[k] = true
		}
	}
	return bad.Err()
}
