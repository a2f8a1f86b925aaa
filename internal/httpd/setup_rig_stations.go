package httpd

import (
	"net/url"
	"slices"
	"strings"

	"rungbook/internal/fault"
	"rungbook/internal/founding"
	"rungbook/internal/rig"
	"rungbook/web"
	"rungbook/web/page"
)

// stationRows is how many stations one form takes with their rig.
const stationRows = 4

// seldomInRow are questions of a station that its own form asks: a row of a rig's
// form leaves them as they usually are.
var seldomInRow = []string{"rig", "inspections", "place_x", "place_width", "place_height"}

// stationRowGroups ask for the stations of a new rig, each folded away.
func (v *visit) stationRowGroups() []page.FieldGroup {
	out := []page.FieldGroup{{Title: "Stations on it", Note: "Each is a place where one group works at a time. A row without a name is left out; more can be added later, and inspections of their own."}}
	for i := range stationRows {
		which := "station " + web.Number(int64(i+1))
		row := page.FieldGroup{Title: capital(which), Folded: true}
		for _, g := range stationGroups(v, "") {
			for _, f := range g.Fields {
				if slices.Contains(seldomInRow, f.Name) {
					continue
				}
				f.Name, f.Label, f.Required = rowName(f.Name, i), f.Label+" of "+which, false
				row.Fields = append(row.Fields, f)
			}
		}
		out = append(out, row)
	}
	return out
}

// stationRowsOf reads the stations of a new rig. What one row says wrong is told
// beside its own fields.
func (v *visit) stationRowsOf(a answers, r rig.Rig) []founding.Station {
	var out []founding.Station
	free := v.freePlace(r, "")
	for i := range stationRows {
		row := answers{url.Values{}, fault.Fields{}}
		suffix := rowName("", i)
		for name, values := range a.Values {
			if own, ok := strings.CutSuffix(name, suffix); ok && !strings.HasPrefix(name, "ground_") {
				row.Values[own] = values
			}
		}
		one := founding.Station{Name: row.text("name")}
		if one.Name == "" {
			for _, f := range []string{"of_it", "zones", "rescuers", "rescue_kit", "place_y"} {
				if row.text(f) != "" {
					a.bad.Add(rowName("name", i), "Something stands in this row and no name. Name the station, or empty the row.")
				}
			}
			out = append(out, one)
			continue
		}
		one.Record = v.stationOf(row, "")
		one.Record.Place = placeOf(row, r, free)
		free = max(free, one.Record.Place.X+one.Record.Place.Width+4)
		for field, message := range row.bad {
			a.bad.Add(rowName(field, i), "%s", message)
		}
		out = append(out, one)
	}
	return out
}
