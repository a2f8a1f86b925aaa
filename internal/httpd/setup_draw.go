package httpd

import (
	"slices"

	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/yardday"
	"rungbook/web/chart"
)

// drawnYard is the yard as it would be drawn with what is typed. change puts the
// typed rig or station in; here is the station to point out.
func (v *visit) drawnYard(change func(*yardday.Today), here string) (chart.Drawing, string) {
	var t yardday.Today
	if _, ok := v.ref.YardOn(v.today); ok {
		var err error
		if t, err = v.Yard.Today(v.r.Context(), v.actor); err != nil {
			v.failed("the yard is not drawn", err)
			return chart.Drawing{}, "The yard can't be drawn just now; what is typed is kept."
		}
	}
	t.Rigs = slices.Clone(t.Rigs)
	change(&t)
	drawn := v.elevation(t)
	return chart.Elevation(drawn, chart.Options{Width: elevationMap, Here: here}), "The yard from the side, with what is typed. Stations by their numbers."
}

// typedID stands for the id of a record that has none yet.
const typedID = "typed"

// drawRig draws the yard with the rig that is typed, as far as it can be drawn.
func drawRig(v *visit, a answers, of string) (chart.Drawing, string) {
	r, standing := v.ref.Rigs.On(id.Rig(of), v.today)
	if a.Values != nil {
		r = v.rigOf(a, of)
		r.ID = id.Rig(of)
	}
	if r.ID == "" {
		r.ID = typedID
	}
	return v.drawnYard(func(t *yardday.Today) {
		if (standing || a.Values != nil) && drawable(r) {
			r.Drawing = r.Drawing.Compact()
			putRig(t, r)
		}
	}, "")
}

// drawable reports whether the measures make a drawing.
func drawable(r rig.Rig) bool {
	r.Name, r.PeopleMax = "named", 1
	return r.Check() == nil
}

func putRig(t *yardday.Today, r rig.Rig) {
	i := slices.IndexFunc(t.Rigs, func(x yardday.Rig) bool { return x.Rig.ID == r.ID })
	if i < 0 {
		t.Rigs = append(t.Rigs, yardday.Rig{Rig: r})
		return
	}
	r.State = t.Rigs[i].Rig.State
	t.Rigs[i].Rig = r
}

// drawStation draws the yard with the station that is typed.
func drawStation(v *visit, a answers, of string) (chart.Drawing, string) {
	s, standing := v.ref.Stations.On(id.Station(of), v.today)
	if a.Values != nil && a.text("rig") != "" {
		s = v.stationOf(a, of)
		s.ID, standing = id.Station(of), true
	}
	if s.ID == "" {
		s.ID = typedID
	}
	return v.drawnYard(func(t *yardday.Today) {
		for i := range t.Rigs {
			t.Rigs[i].Stations = slices.DeleteFunc(slices.Clone(t.Rigs[i].Stations), func(x yardday.Station) bool { return x.Station.ID == s.ID })
			if standing && t.Rigs[i].Rig.ID == s.Rig && s.Place.Width > 0 && s.Place.Height > 0 {
				t.Rigs[i].Stations = append(t.Rigs[i].Stations, yardday.Station{Station: s})
			}
		}
	}, string(s.ID))
}
