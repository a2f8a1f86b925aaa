package httpd

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/incident"
	"rungbook/internal/planning"
	"rungbook/internal/rig"
	"rungbook/internal/verdict"
	"rungbook/web/ui"
)

// loadOf reads what a form says took a load: a kit by its id, "piece:2:KIT", or
// "item:ITEM".
func loadOf(sent string) incident.Load {
	if of, ok := strings.CutPrefix(sent, "item:"); ok {
		return incident.Load{Item: id.Item(of)}
	}
	if of, ok := strings.CutPrefix(sent, "piece:"); ok {
		n, kit, _ := strings.Cut(of, ":")
		piece, err := strconv.Atoi(n)
		if err != nil || piece < 1 {
			return incident.Load{Kit: id.Kit(sent)} // which no kit has: refused as unknown
		}
		return incident.Load{Kit: id.Kit(kit), Piece: piece}
	}
	return incident.Load{Kit: id.Kit(sent)}
}

// loadParts are the pieces and items of kits that a form offers beside whole kits.
func (v *visit) loadParts(was incident.Load) (out []ui.Option) {
	for _, k := range v.ref.Kits.All(v.today) {
		var items []rig.Item
		for _, i := range v.ref.Items.All(v.today) {
			if i.Kit == k.ID && i.Out == 0 {
				items = append(items, i)
			}
		}
		slices.SortStableFunc(items, func(a, b rig.Item) int { return a.Piece - b.Piece })
		for n, i := range items {
			if piece := (incident.Load{Kit: k.ID, Piece: i.Piece}); n == 0 || items[n-1].Piece != i.Piece {
				out = append(out, ui.Option{Value: fmt.Sprintf("piece:%d:%s", i.Piece, k.ID), Label: v.loadName(piece), Chosen: was == piece})
			}
			one := incident.Load{Kit: k.ID, Piece: i.Piece, Item: i.ID}
			out = append(out, ui.Option{Value: "item:" + string(i.ID), Label: v.loadName(one), Chosen: was == one})
		}
	}
	return out
}

// loadName is what took a load: "Harness set of six, piece 2, serial CM-H107".
func (v *visit) loadName(l incident.Load) string {
	name := v.kitName(l.Kit)
	if l.Piece != 0 {
		name += ", piece " + strconv.Itoa(l.Piece)
	}
	if i, ok := v.ref.Items.On(l.Item, v.today); ok {
		name += ", serial " + v.ref.Text(i.Serial)
	}
	return name
}

// quarantinesOf are what an incident put in quarantine; stillOut those not lifted yet.
func (v *visit) quarantinesOf(i incident.Incident) (out []rig.Quarantine) {
	for _, of := range i.Quarantines {
		if q, ok := v.ref.Quarantines.On(of, civil.LastDay); ok {
			out = append(out, q)
		}
	}
	return out
}

func (v *visit) stillOut(i incident.Incident) []rig.Quarantine {
	return slices.DeleteFunc(v.quarantinesOf(i), func(q rig.Quarantine) bool { return q.Lift != nil })
}

func (v *visit) subjectOf(q rig.Quarantine) verdict.Ref {
	of, _ := planning.Thing(v.ref, q.Subject, v.today)
	return of
}

// loadFacts lead from an incident to what it put in quarantine.
func (v *visit) loadFacts(i incident.Incident) (out []ui.Fact) {
	for _, q := range v.quarantinesOf(i) {
		text := v.thingLink(v.subjectOf(q)).Text + ": stands"
		if q.Lift != nil {
			text = v.thingLink(v.subjectOf(q)).Text + ": lifted " + v.words.Moment(q.Lift.At)
		}
		f := fact("Quarantine", text)
		if access.May(v.actor, access.SeeStation) {
			f.Value.Href = "/quarantines/" + string(q.ID)
		}
		out = append(out, f)
	}
	return out
}

// quarantinedBy says who or what put a thing in quarantine, with the way to the
// incident for those who may see it.
func (v *visit) quarantinedBy(q rig.Quarantine, names map[id.Person]string) ui.Link {
	if q.Incident == "" {
		return ui.Link{Text: orID(names[q.By], q.By)}
	}
	out := ui.Link{Text: "an incident in which it took a load"}
	if access.May(v.actor, access.SeeIncidents) {
		out.Href = "/incidents/" + string(q.Incident)
	}
	return out
}
