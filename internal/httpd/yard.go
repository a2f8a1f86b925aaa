package httpd

import (
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/verdict"
	"rungbook/internal/yardday"
	"rungbook/web"
	"rungbook/web/chart"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// Widths of the elevation in pixels: on the yard's page, and small beside other
// things.
const (
	elevationWide  = 1120
	elevationSmall = 340
)

func yardPage(v *visit) error {
	if _, ok := v.ref.YardOn(v.today); !ok {
		return v.show(http.StatusOK, page.NoYardPage(page.NoYard{Shell: v.page("Yard", "yard")}))
	}
	t, err := v.Yard.Today(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	drawn := v.elevation(t)
	p := page.Yard{
		Shell: v.page("Yard", "yard"), Name: v.shell.Yard, Moment: v.words.Moment(v.now),
		Drawing: chart.Elevation(drawn, chart.Options{Width: elevationWide, Labels: true}),
		Map:     chart.Elevation(drawn, chart.Options{Width: elevationSmall}),
	}
	p.Finding = yardFinding(t)
	p.MapSay = p.Finding
	marks := marksOf(t)
	for _, r := range t.Rigs {
		row := page.YardRig{Name: v.rigLink(r.Rig), State: rigState(r.Rig.State)}
		for _, st := range r.Stations {
			row.Stations = append(row.Stations, v.yardStation(t, r, st, marks[st.Station.ID]))
			if st.Now != nil {
				p.Now = append(p.Now, v.yardSession(t, *st.Now, st.Station))
			}
			if st.Next != nil {
				p.Next = append(p.Next, v.yardSession(t, *st.Next, st.Station))
			}
		}
		p.Rigs = append(p.Rigs, row)
	}
	if p.Waiting, err = v.waiting(); err != nil {
		return err
	}
	return v.show(http.StatusOK, page.YardPage(p))
}

func yardFinding(t yardday.Today) string {
	running, out := 0, 0
	for _, r := range t.Rigs {
		for _, st := range r.Stations {
			if st.Now != nil {
				running++
			}
			if st.Shut != nil {
				out++
			}
		}
	}
	text := web.Count(running, "session runs", "sessions run") + " now"
	if out > 0 {
		text += "; " + web.Count(out, "station can't be used", "stations can't be used")
	}
	return text + "."
}

// marksOf numbers the stations in the order of the list, the same numbers as in
// the drawing.
func marksOf(t yardday.Today) map[id.Station]string {
	out := map[id.Station]string{}
	for _, r := range t.Rigs {
		for _, st := range r.Stations {
			out[st.Station.ID] = strconv.Itoa(len(out) + 1)
		}
	}
	return out
}

func (v *visit) yardStation(t yardday.Today, r yardday.Rig, st yardday.Station, mark string) page.YardStation {
	out := page.YardStation{Mark: mark, Name: v.stationLink(st.Station), State: "free", Places: web.Count(st.Station.Places, "place", "places")}
	if st.Shut != nil {
		out.Level, out.State, out.Cause = verdict.Stops, "stops", capital(v.say(st.Shut))
	}
	if st.Now != nil {
		if st.Shut == nil {
			out.State = "in use"
		}
		out.Now = v.runningLink(*st.Now)
		out.Places = fmt.Sprintf("%d of %d", len(st.Now.Session.Trainees), st.Station.Places)
	}
	if st.Next != nil {
		out.Next = v.runningLink(*st.Next)
	}
	return out
}

func (v *visit) runningLink(r yardday.Running) ui.Link {
	return ui.Link{Text: v.words.Clock(r.Session.Start) + " " + r.Name, Href: "/sessions/" + string(r.Session.ID)}
}

func (v *visit) yardSession(t yardday.Today, r yardday.Running, st rig.Station) page.YardSession {
	return page.YardSession{
		Times:    v.words.Times(civil.Period{Start: r.Session.Start, End: r.Session.End}),
		Exercise: ui.Link{Text: r.Name, Href: "/sessions/" + string(r.Session.ID)},
		Station:  v.ref.Text(st.Name), People: peopleWords(r.Session, t.Names), State: v.stateNow(r.Session),
	}
}

// waiting lists what waits for the reader: sessions that need attention, cautions
// of their fields, fields of the rule book to confirm.
func (v *visit) waiting() ([]page.YardWaiting, error) {
	var out []page.YardWaiting
	if access.May(v.actor, access.SeeAttention) {
		a, err := v.Desk.Attention(v.r.Context(), v.actor)
		if err != nil {
			return nil, err
		}
		if n := len(a.Broken); n > 0 {
			out = append(out, page.YardWaiting{Text: ui.Link{Text: web.Count(n, "stop", "stops") + " on booked sessions", Href: "/attention"}, Note: "A later fact broke them."})
		}
		mine := 0
		for _, w := range a.Waiting {
			for _, f := range w.Waits {
				if access.MayAccept(v.actor, f.Field) {
					mine++
					break
				}
			}
		}
		if mine > 0 {
			out = append(out, page.YardWaiting{Text: ui.Link{Text: web.Count(mine, "session waits", "sessions wait") + " for you to accept a caution", Href: "/attention"}})
		}
		unsigned := 0
		for _, s := range a.Unsigned {
			for _, p := range s.Instructors {
				if p == v.actor.Person {
					unsigned++
				}
			}
		}
		if unsigned > 0 {
			out = append(out, page.YardWaiting{Text: ui.Link{Text: web.Count(unsigned, "session of yours is", "sessions of yours are") + " over and not signed", Href: "/attention"}})
		}
	}
	for _, b := range v.ref.RuleBooks.All(civil.LastDay) {
		for _, f := range b.Confirmed(nil, v.today) {
			if access.MayConfirm(v.actor, f) {
				out = append(out, page.YardWaiting{Text: ui.Link{Text: "Rule book of " + v.words.Day(b.From) + ": " + string(f) + " to confirm", Href: "/rule-book"}})
			}
		}
	}
	return out, nil
}

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
		State: chart.Free, Line: "free", X: p.X, Y: p.Y, Width: p.Width, Height: p.Height, Side: chart.Side(p.Label),
	}
	if st.Next != nil {
		out.Line = "free to " + v.words.Clock(st.Next.Session.Start)
	}
	if st.Now != nil {
		out.State = chart.InUse
		out.Line = fmt.Sprintf("%s · %d/%d", st.Now.Name, len(st.Now.Session.Trainees), st.Station.Places)
		for _, n := range st.Now.Exercise.Energy {
			out.Live = out.Live || n.State == "live"
		}
	}
	if st.Shut != nil {
		out.State, out.Line = chart.Stops, "stops: "+v.say(st.Shut)
		if strings.Contains(out.Line, " is shut") {
			out.State = chart.Shut
		}
	}
	out.Say = out.Name + ": " + out.Line
	return out
}

// locator is the yard drawn small with one station pointed out.
func (v *visit) locator(st id.Station) (chart.Drawing, string, error) {
	t, err := v.Yard.Today(v.r.Context(), v.actor)
	if err != nil {
		return chart.Drawing{}, "", err
	}
	return chart.Elevation(v.elevation(t), chart.Options{Width: elevationSmall, Here: string(st)}), "The yard from the side, " + v.stationAt(st, v.today).Text + " marked.", nil
}
