package httpd

import (
	"slices"

	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// mostGround is how many zones one rig is drawn with.
const mostGround = 8

// groundGroups ask for the zones that are drawn with a rig: those on record, and
// one more. None where the yard has no zone.
func (v *visit) groundGroups(d rig.Drawing) []page.FieldGroup {
	zones := v.zonesInUse()
	if len(zones) == 0 && len(d.Ground) == 0 {
		return nil
	}
	var out []page.FieldGroup
	for i := range min(len(d.Ground)+1, mostGround) {
		var z rig.GroundZone
		if i < len(d.Ground) {
			z = d.Ground[i]
		}
		which := ui.Field{Name: rowName("ground_zone", i), Label: "Zone", Kind: ui.Select, Options: []ui.Option{{Label: "None"}}}
		known := false
		for _, x := range zones {
			known = known || x.ID == z.Zone
			which.Options = append(which.Options, ui.Option{Value: string(x.ID), Label: v.ref.Text(x.Name), Chosen: x.ID == z.Zone})
		}
		if !known && z.Zone != "" {
			x, _ := v.ref.Zones.On(z.Zone, v.today)
			which.Options = append(which.Options, ui.Option{Value: string(z.Zone), Label: v.ref.Text(x.Name) + " (retired)", Chosen: true})
		}
		group := page.FieldGroup{Title: "Ground " + web.Number(int64(i+1)) + " that is closed below it", Side: true, Folded: z.Zone == "", Fields: []ui.Field{which}}
		if i == 0 {
			group.Note = "Drawn from the edges on the ground up to the edges at the height from which something may fall; from the rig's left edge, left of it with a minus. What may be used at the same time, the stations' shared ground says."
		}
		for _, m := range []struct {
			name, label string
			value       int
		}{{"ground_from", "On the ground, from", z.From}, {"ground_to", "On the ground, to", z.To}, {"ground_height", "Up to a height of", z.Height}, {"ground_top_from", "At that height, from", z.TopFrom}, {"ground_top_to", "At that height, to", z.TopTo}} {
			f := metresField(rowName(m.name, i), m.label, m.value, false)
			if z.Zone != "" {
				f.Value = decimetres(m.value) // 0 is an edge too
			}
			group.Fields = append(group.Fields, f)
		}
		out = append(out, group)
	}
	return out
}

// groundOf reads the zones that are drawn with a rig. Rows without a zone stay in
// their places until the rig is judged, so that a message meets its row.
func groundOf(a answers) []rig.GroundZone {
	var out []rig.GroundZone
	for i := range mostGround {
		z := rig.GroundZone{Zone: id.Zone(a.text(rowName("ground_zone", i)))}
		if z.Zone != "" {
			z.From, z.To, z.Height = a.metres(rowName("ground_from", i), true), a.metres(rowName("ground_to", i), true), a.metres(rowName("ground_height", i), true)
			z.TopFrom, z.TopTo = edge(a, rowName("ground_top_from", i), z.From), edge(a, rowName("ground_top_to", i), z.To)
		}
		out = append(out, z)
	}
	last := slices.IndexFunc(out, func(z rig.GroundZone) bool { return z.Zone == "" })
	if last >= 0 && !slices.ContainsFunc(out[last:], func(z rig.GroundZone) bool { return z.Zone != "" }) {
		out = out[:last]
	}
	return out
}

// edge reads an edge of a zone at its height, which lies over the one on the
// ground where nothing else is said.
func edge(a answers, name string, below int) int {
	if a.text(name) == "" {
		return below
	}
	return a.metres(name, false)
}
