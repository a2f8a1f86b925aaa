package httpd

import (
	"fmt"
	"net/http"
	"slices"
	"strconv"

	"rungbook/internal/booking"
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/session"
	"rungbook/internal/verdict"
	"rungbook/internal/yardday"
	"rungbook/web"
	"rungbook/web/chart"
	"rungbook/web/page"
	"rungbook/web/ui"
)

func yardPage(v *visit) error {
	if _, ok := v.ref.YardOn(v.today); !ok {
		return v.show(http.StatusOK, page.NoYardPage(page.NoYard{Shell: v.page("Yard", "yard"), SetUp: v.mayOpen("set-up")}))
	}
	if err := v.warnOfBackups(); err != nil {
		return err
	}
	if err := v.warnOfIncidents(); err != nil {
		return err
	}
	t, err := v.Yard.Today(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	sky, storms, err := v.sky()
	if err != nil {
		return err
	}
	a, err := v.attention()
	if err != nil {
		return err
	}
	found, err := v.waitingFound()
	if err != nil {
		return err
	}
	drawn := v.elevation(t)
	p := page.Yard{
		Shell: v.page("Yard", "yard"), Name: v.shell.Yard, Moment: v.words.Moment(v.now), Weather: v.lastRead(sky),
		Drawing: chart.Rows(drawn, chart.Options{Width: elevationWide, Labels: true}),
		Rows:    chart.TwoRows(drawn, chart.Options{Width: elevationNarrow, Labels: true}),
		Map:     chart.Elevation(drawn, chart.Options{Width: elevationSmall}),
		Waiting: slices.Concat(v.waitingSetUp(), v.waitingStorms(storms), v.waiting(t, a), found),
	}
	if begun := v.waitingSetUp(); len(begun) > 0 {
		p.NewRig = begun[0].Text
	}
	if _, works := v.ref.Staff.On(v.actor.Person, v.today); works {
		p.Mine = ui.Link{Text: "My day", Href: "/yard"}
	}
	p.Energy, p.Rescue = v.circuitsLink(), ui.Link{Text: "Rescue plans", Href: "/rescue"}
	p.Finding = yardFinding(t)
	p.MapSay = p.Finding
	marks := marksOf(t)
	for _, r := range t.Rigs {
		row := page.YardRig{Name: v.rigLink(r.Rig), State: rigState(r.Rig.State)}
		for _, st := range r.Stations {
			row.Stations = append(row.Stations, v.yardStation(a, st, marks[st.Station.ID]))
			if st.Now != nil {
				p.Now = append(p.Now, v.yardSession(t, a, *st.Now, st.Station))
			}
			if st.Next != nil {
				p.Next = append(p.Next, v.yardSession(t, a, *st.Next, st.Station))
			}
		}
		p.Rigs = append(p.Rigs, row)
	}
	p.Shell.TakeOut, p.Shell.AlsoOut = v.takeOut("stations"), []ui.TakeOut{v.alsoOut("due")}
	return v.show(http.StatusOK, page.YardPage(p))
}

// yardFinding says in a sentence what the drawing shows.
func yardFinding(t yardday.Today) string {
	running, idle, waits, out := 0, 0, 0, 0
	for _, r := range t.Rigs {
		for _, st := range r.Stations {
			switch {
			case st.Shut != nil:
				out++
			case st.Now != nil && st.Now.Session.State == session.Pencilled:
				waits++
			case st.Now != nil && st.Now.Session.State == session.Booked:
				idle++
			case st.Now != nil:
				running++
			}
		}
	}
	text := web.Count(running, "session runs", "sessions run") + " now"
	if idle > 0 {
		text += "; " + web.Count(idle, "is booked for now and not started", "are booked for now and not started")
	}
	if waits > 0 {
		text += "; " + web.Count(waits, "is pencilled and is not to start", "are pencilled and are not to start")
	}
	if out > 0 {
		text += "; " + web.Count(out, "station can't be used", "stations can't be used")
	}
	return capital(text) + "."
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

func (v *visit) yardStation(a booking.Attention, st yardday.Station, mark string) page.YardStation {
	out := page.YardStation{Mark: mark, Name: v.stationLink(st.Station), State: "free", Places: web.Count(st.Station.Places, "place", "places")}
	if st.Now != nil {
		out.State, out.Now = "in use", v.runningLink(*st.Now)
		out.Places = fmt.Sprintf("%d of %d", len(st.Now.Session.Trainees), st.Station.Places)
		if st.Now.Session.State == session.Pencilled {
			out.Level, out.State, out.Cause = verdict.Cautions, "pencilled", notToStart(a, st.Now.Session)
		}
	}
	if st.Shut != nil {
		out.Level, out.State, out.Cause = verdict.Stops, stopWord(st.Cause), capital(v.say(st.Cause.Short()))
		if st.Cause.End != 0 {
			out.Cause += ", to " + v.words.Moment(st.Cause.End)
		}
	}
	if st.Next != nil {
		out.Next = v.runningLink(*st.Next)
	}
	return out
}

// notToStart says why a pencilled session whose time has come may not start.
func notToStart(a booking.Attention, s session.Session) string {
	for _, w := range a.Waiting {
		if w.Session.ID == s.ID && len(w.Waits) > 0 {
			return "Not to start: its " + plural(len(w.Waits), "caution is", "cautions are") + " not accepted"
		}
	}
	return "Not to start: it is not booked"
}

func plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

func (v *visit) runningLink(r yardday.Running) ui.Link {
	return ui.Link{Text: v.words.Clock(r.Session.Start) + " " + r.Name, Href: "/sessions/" + string(r.Session.ID)}
}

func (v *visit) yardSession(t yardday.Today, a booking.Attention, r yardday.Running, st rig.Station) page.YardSession {
	out := page.YardSession{
		Times:    v.words.Times(civil.Period{Start: r.Session.Start, End: r.Session.End}),
		Exercise: ui.Link{Text: r.Name, Href: "/sessions/" + string(r.Session.ID)},
		Station:  v.ref.Text(st.Name), People: peopleWords(r.Session, t.Names), State: v.stateNow(r.Session),
	}
	if r.Session.State == session.Pencilled {
		out.Note = notToStart(a, r.Session)
	}
	return out
}
