package httpd

import (
	"strings"

	"rungbook/internal/booking"
	"rungbook/internal/planning"
	"rungbook/internal/rig"
	"rungbook/internal/session"
	"rungbook/internal/verdict"
	"rungbook/web/ui"
)

// sky reads the weather as last read, and puts a line above the page where thunder
// stops the yard or a storm left rigs to be inspected: those it returns too.
func (v *visit) sky() (planning.Sky, []rig.Cause, error) {
	sky, waits, err := v.Readings.Sky(v.r.Context(), v.actor)
	if err != nil {
		return sky, nil, err
	}
	v.stormNotice(waits)
	for _, st := range v.ref.Stations.All(v.today) {
		r, _ := v.ref.Rigs.On(st.Rig, v.today)
		if standing, counts := sky.At(r, st); counts && standing.Resume != 0 {
			v.shell.Notices = append(v.shell.Notices, ui.Notice{Level: verdict.Stops, Text: "Thunder, or lightning too near: nobody works at height or outdoors before " + v.words.Clock(standing.Resume) + ". Each thunder starts the wait anew.",
				Link: ui.Link{Text: "Open the weather", Href: weatherPath}})
			break
		}
	}
	return sky, waits, nil
}

// lastRead is the weather as last read, in a line.
func (v *visit) lastRead(sky planning.Sky) ui.Link {
	out := ui.Link{Text: "No weather was read today", Href: weatherPath}
	r := sky.Last()
	if r == nil || r.Mean == nil || v.words.Zone.DayOf(r.At) != v.today {
		return out
	}
	out.Text = "Wind " + r.Mean.String()
	if r.Gust != nil {
		out.Text += ", gust " + r.Gust.String()
	}
	if r.Height != nil {
		out.Text += " at " + r.Height.String()
	}
	out.Text += ", read " + v.words.Clock(r.At)
	if len(r.Corrections) > 0 {
		out.Text += " and corrected"
	}
	if v.now.Sub(r.At) > sky.Limits.Age() {
		out.Text += ": too old to start by"
	}
	return out
}

// weatherFacts say what the readings mean for a session of today, and what the
// forecast of its day cautions of; none where weather does not count or the session
// is over.
func (v *visit) weatherFacts(sky planning.Sky, sheet booking.Sheet) (out []ui.Fact) {
	s, day := sheet.Value, v.words.Zone.DayOf(sheet.Value.Start)
	standing, counts := sky.At(sheet.Rig, sheet.Station)
	if !counts || s.End <= v.now || !(s.State.ToRun() || s.State == session.UnderWay) {
		return nil
	}
	link := ui.Link{Href: weatherPath + "?station=" + string(sheet.Station.ID) + "#places", Text: "clear as last read"}
	if standing.Level() != verdict.Clear {
		link.Text = standing.Level().String() + ": " + v.foundAll(standing.Findings)
	}
	if day == v.today {
		out = append(out, ui.Fact{Label: "Weather", Value: link})
	}
	if told := sky.Expected(sheet.Rig, sheet.Station, day); len(told) > 0 {
		out = append(out, ui.Fact{Label: "Forecast", Value: ui.Link{Href: link.Href, Text: "cautions: " + v.foundAll(told)}})
	}
	return out
}

func (v *visit) foundAll(list []verdict.Finding) string {
	var out []string
	for _, f := range list {
		out = append(out, v.say(f.Found))
	}
	return strings.Join(out, "; ")
}
