package httpd

import (
	"fmt"
	"strings"

	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/rig"
	"rungbook/internal/session"
	"rungbook/internal/yardday"
	"rungbook/web/chart"
)

// Widths of the elevation in pixels: on the yard's page in one row and in two,
// on a phone without labels, and as a map beside other things.
const (
	elevationWide   = 1200
	elevationNarrow = 704
	elevationSmall  = 340
	elevationMap    = 460
)

// elevation fills the drawing of the yard from the rigs' own records.
func (v *visit) elevation(t yardday.Today) chart.Yard {
	out := chart.Yard{Name: v.shell.Yard}
	marks := marksOf(t)
	for _, r := range t.Rigs {
		out.Rigs = append(out.Rigs, v.drawnRig(t, r, marks))
	}
	return out
}

func (v *visit) drawnRig(t yardday.Today, r yardday.Rig, marks map[id.Station]string) chart.Rig {
	d := r.Rig.Drawing
	out := chart.Rig{
		ID: string(r.Rig.ID), Name: v.ref.Text(r.Rig.Name), Href: "/rigs/" + string(r.Rig.ID), Kind: chart.Kind(r.Rig.Kind),
		Width: d.Width, Height: d.Height - d.Base, HangsOn: string(d.OnRig), Side: chart.Side(d.Side), Off: d.Off, Lift: d.Base,
		BaseWidth: d.BaseWidth, BaseHeight: d.Base,
	}
	if r.Rig.State != rig.InService {
		out.State = rigState(r.Rig.State)
	}
	for _, deck := range d.Decks {
		out.Decks = append(out.Decks, chart.Deck{Height: deck.Height, Out: deck.Out})
	}
	for _, z := range d.Ground {
		rec, _ := v.ref.Zones.On(z.Zone, v.today)
		_, used := t.Zones[z.Zone]
		out.Zones = append(out.Zones, chart.Zone{Name: v.ref.Text(rec.Name), From: z.From, To: z.To, TopFrom: z.TopFrom, TopTo: z.TopTo, Height: z.Height, InUse: used})
	}
	for _, st := range r.Stations {
		out.Stations = append(out.Stations, v.drawnStation(t, st, marks[st.Station.ID]))
	}
	return out
}

func (v *visit) drawnStation(t yardday.Today, st yardday.Station, mark string) chart.Station {
	p := st.Station.Place
	out := chart.Station{
		ID: string(st.Station.ID), Mark: mark, Name: v.ref.Text(st.Station.Name), Href: "/stations/" + string(st.Station.ID),
		X: p.X, Y: p.Y, Width: p.Width, Height: p.Height, Side: chart.Side(p.Label),
	}
	switch {
	case st.Shut != nil:
		out.State, out.Lines = chart.Stops, []string{v.stopWords(st.Cause)}
		if st.Cause.Kind == rig.IsShut {
			out.State = chart.Shut
		}
		if st.Cause.End != 0 {
			out.Lines = append(out.Lines, "to "+v.words.Moment(st.Cause.End))
		}
	case st.Now != nil && st.Now.Session.State == session.Pencilled:
		out.State, out.Lines = chart.Waits, []string{st.Now.Name, "pencilled: not to start"}
	case st.Now != nil:
		v.drawRunning(&out, st)
	case st.Next != nil:
		out.State, out.Lines = chart.Free, []string{"free to " + v.words.Clock(st.Next.Session.Start)}
	default:
		out.State, out.Lines = chart.Free, []string{"free"}
	}
	out.Say = out.Name + ", " + strings.Join(out.Lines, ", ")
	return out
}

// drawRunning writes what runs on a station: how full, until when, on what live
// energy.
func (v *visit) drawRunning(out *chart.Station, st yardday.Station) {
	s := st.Now.Session
	out.State = chart.InUse
	out.Lines = []string{st.Now.Name, fmt.Sprintf("%d/%d to %s", len(s.Trainees), st.Station.Places, v.words.Clock(s.End))}
	for _, n := range st.Now.Exercise.Energy {
		if n.State == "live" {
			c, _ := v.ref.Circuits.On(n.Circuit, v.today)
			out.Live, out.Lines = true, append(out.Lines, v.ref.Text(c.Name)+" live")
		}
	}
}

// stopWords says why a station stops where its name is in sight: "shut: anchor
// test", "stops: inspection overdue since Mon 3 May (ladder)".
func (v *visit) stopWords(c planning.Cause) string {
	return stopWord(c) + ": " + v.say(c.Short())
}

// stopWord is "shut" where somebody shut it, "stops" where a rule does.
func stopWord(c planning.Cause) string {
	if c.Kind == rig.IsShut {
		return "shut"
	}
	return "stops"
}

// locator is the yard drawn small with one station pointed out.
func (v *visit) locator(st id.Station) (chart.Drawing, string, error) {
	t, err := v.Yard.Today(v.r.Context(), v.actor)
	if err != nil {
		return chart.Drawing{}, "", err
	}
	return chart.Elevation(v.elevation(t), chart.Options{Width: elevationMap, Here: string(st)}), "The yard from the side, " + v.stationAt(st, v.today).Text + " marked.", nil
}
