package arriving

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/arrival"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/rig"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// handOut returns the arrival with what a form hands out by serial. A serial names an
// item on record that may be used now and that nobody holds. One that is not on record
// is handed out only where the yard has no item of its kind on record, and is marked
// as not known.
func (d *Desk) handOut(tx *store.Tx, n Noted, a arrival.Arrival, actor access.Actor) (arrival.Arrival, error) {
	if len(n.HandOut) == 0 {
		return a, nil
	}
	v := tx.View()
	ref, err := v.Reference()
	if err != nil {
		return a, err
	}
	answered, err := answeredFor(v, ref)
	if err != nil {
		return a, err
	}
	items, slips := itemsBySerial(ref, tx.Today()), a.Slips()
	var slice *planning.Slice
	for i, serial := range n.HandOut {
		key := rig.SerialKey(serial)
		if slices.ContainsFunc(n.HandOut[:i], func(s string) bool { return rig.SerialKey(s) == key }) {
			continue
		}
		item, known := items[key]
		if err := notOut(answered, serial, item.ID, n.Trainee); err != nil {
			return a, err
		}
		slip := arrival.Slip{Item: item.ID, Given: &arrival.Signed{By: actor.Person, At: tx.Now()}}
		if known {
			if slice == nil {
				if slice, err = d.builder.Yard(v, tx.Today(), tx.Today()); err != nil {
					return a, err
				}
			}
			if err = mayIssue(v, slice, item, serial); err == nil {
				err = inspectedSince(v, ref, answered, item, serial)
			}
		} else {
			slip.Sort = string(n.Sort)
			err = mayIssueUnknown(ref.Items.All(tx.Today()), answered, serial, n.Sort)
		}
		if err != nil {
			return a, err
		}
		slip.Serial = tx.Seal("arrival/"+string(n.Trainee), fmt.Sprintf("issued/%d", len(slips)+1), serial)
		slips = append(slips, slip)
	}
	return a.With(slips), nil
}

// notOut refuses what somebody holds.
func notOut(answered []Held, serial string, item id.Item, to id.Trainee) error {
	for _, h := range answered {
		switch {
		case !h.Out(), rig.SerialKey(h.Text) != rig.SerialKey(serial) && (item == "" || h.On != item):
		case h.Trainee == to:
			return fault.Field("issued", "%s is handed out to them already.", serial)
		default:
			return fault.Field("issued", "%s is handed out to %s. Take it back from them first.", serial, cmp.Or(h.Name, "somebody whose name was erased"))
		}
	}
	return nil
}

// mayIssue refuses an item that may not be used now.
func mayIssue(v *store.View, s *planning.Slice, i rig.Item, serial string) error {
	style := verdict.PlainStyle(v.Zone())
	style.Ref = s.Name
	var why []string
	for _, c := range s.Register().ItemWithKit(i, v.Now()) {
		why = append(why, c.Say().In(style))
	}
	if text := s.KitIncident(i.Kit); text != nil {
		why = append(why, text.In(style))
	}
	if len(why) == 0 {
		return nil
	}
	return fault.Field("issued", "%s may not be handed out: %s. Hand out an item that may be used.", serial, strings.Join(why, "; "))
}

// inspectedSince refuses an item that came back not fit when it was not on record yet,
// and so is in no quarantine, until an inspection that would lift one passed.
func inspectedSince(v *store.View, ref *store.Reference, answered []Held, i rig.Item, serial string) error {
	for _, h := range answered {
		if h.Out() || h.Back.How != arrival.BackNotFit || h.Item != "" || h.On != i.ID {
			continue
		}
		as := rig.Quarantine{Subject: string(i.ID), Start: h.Back.At}
		if !slices.ContainsFunc(ref.Inspections.All(civil.LastDay), func(x rig.Inspection) bool { return as.LiftedBy(x, v.Zone()) }) {
			return fault.Field("issued", "%s came back not fit before it was on record: %s. Record an inspection of it that passes first.", serial, h.Found)
		}
	}
	return nil
}

// mayIssueUnknown judges a serial that no item on record has: its inspection and
// retirement are not known. A centre that keeps no items of a kind yet hands them out
// all the same, once somebody said what it is; where it keeps such items, what is
// missing among them is not handed out. Nor is what came back not fit.
func mayIssueUnknown(items []rig.Item, answered []Held, serial string, sort rig.Sort) error {
	for _, h := range answered {
		if h.Back != nil && h.Back.How == arrival.BackNotFit && rig.SerialKey(h.Text) == rig.SerialKey(serial) {
			return fault.Field("issued", "%s came back not fit: %s. It is recorded as an item and inspected before it is handed out again.", serial, h.Found)
		}
	}
	switch {
	case sort == "":
		return fault.Field("sort", "No item with the serial %s is on record: its inspection and retirement are not known. Look at its marking. If the yard keeps no items of its kind on record, say here what it is.", serial)
	case !slices.Contains(rig.Sorts(), sort):
		return fault.Field("sort", "Choose what it is from the list.")
	case slices.ContainsFunc(items, func(i rig.Item) bool { return i.Sort == sort }):
		return fault.Field("issued", "No item with the serial %s is on record, where others of its kind (%s) are. Look at its marking, or have it recorded before it is handed out.", serial, sort)
	}
	return nil
}
