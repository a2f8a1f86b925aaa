package httpd

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/booking"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/rig"
	"rungbook/internal/session"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

func thisWeek(v *visit) error { return v.goTo("/week/"+v.today.WeekString(), "") }

func weekPage(v *visit) error {
	monday, err := civil.ParseWeek(v.param("week"))
	if err != nil {
		return fault.New(fault.NotFound, "%s", sentence(err))
	}
	q, filter := v.r.URL.Query(), v.weekFilterOf()
	b, err := v.Desk.Board(v.r.Context(), v.actor, monday, monday+6, filter)
	if err != nil {
		return err
	}
	trim(&b)
	here := "/week/" + monday.WeekString()
	p := page.Week{
		Shell: v.page("Week "+weekNumber(monday), "week"), Title: "Week " + weekNumber(monday), Dates: v.words.Days(b.From, b.Until),
		Steps: page.Steps{Label: "Weeks", Prev: weekLink(monday-7, q), Next: weekLink(monday+7, q)},
	}
	if v.today.Monday() != monday {
		p.Steps.Now = ui.Link{Text: "This week", Href: weekLink(v.today.Monday(), q).Href}
	}
	p.Filter = v.weekFilter(here, filter)
	for _, d := range b.Days {
		p.Days = append(p.Days, v.weekDay(d))
	}
	p.Rigs = v.weekRigs(b)
	p.Finding = boardFinding(b)
	if access.May(v.actor, access.BookSession) {
		p.Book = ui.Link{Text: "Book a session", Href: "/book?from=" + max(monday, v.today).String()}
	}
	p.Shell.TakeOut = append(v.takeOut("sessions", "from", monday.String(), "until", (monday+6).String()), ui.Link{Text: "calendar", Href: strings.Replace(weekLink(monday, q).Href, here, here+"/calendar.ics", 1)})
	p.Shell.Lists = v.otherDays(monday, monday+6)
	return v.show(http.StatusOK, page.WeekPage(p))
}

// trim drops a closed Saturday and Sunday on which nothing happens.
func trim(b *booking.Board) {
	for n := len(b.Days) - 1; n >= 5; n-- {
		busy := slices.ContainsFunc(b.Rows, func(r booking.BoardRow) bool { return len(r.Cells[n].Sessions) > 0 })
		if busy || len(b.Days[n].Open) > 0 {
			return
		}
		b.Days = b.Days[:n]
		b.Until--
		for i := range b.Rows {
			b.Rows[i].Cells = b.Rows[i].Cells[:n]
		}
	}
}

func weekNumber(d civil.Day) string {
	_, w := d.ISOWeek()
	return strconv.Itoa(w)
}

func weekLink(monday civil.Day, q url.Values) ui.Link {
	l := ui.Link{Text: "Week " + weekNumber(monday), Href: "/week/" + monday.WeekString()}
	if enc := q.Encode(); enc != "" {
		l.Href += "?" + enc
	}
	return l
}

// boardFinding says in a sentence what a board shows.
func boardFinding(b booking.Board) string {
	booked, pencilled, broken := 0, 0, 0
	for _, r := range b.Rows {
		for _, c := range r.Cells {
			for _, s := range c.Sessions {
				if s.State.Holds() {
					booked++
				}
				if s.State == session.Pencilled {
					pencilled++
				}
				if s.Broken {
					broken++
				}
			}
		}
	}
	text := web.Count(booked, "session", "sessions")
	if pencilled > 0 {
		text += fmt.Sprintf(", %d of them pencilled", pencilled)
	}
	if broken > 0 {
		text += ", " + web.Count(broken, "needs attention", "need attention")
	}
	return capital(text) + "."
}

func (v *visit) weekDay(d booking.BoardDay) page.WeekDay {
	out := page.WeekDay{Name: v.words.Day(d.Day), Href: "/day/" + d.Day.String(), Closed: d.Closed, Today: d.Day == v.today, Past: d.Day < v.today}
	for i, o := range d.Open {
		if i > 0 {
			out.Hours += ", "
		}
		out.Hours += v.words.Times(o)
	}
	return out
}

func (v *visit) weekRigs(b booking.Board) []page.WeekRig {
	var out []page.WeekRig
	for _, row := range b.Rows {
		if len(out) == 0 || out[len(out)-1].Name.Href != "/rigs/"+string(row.Rig.ID) {
			out = append(out, page.WeekRig{Name: v.rigLink(row.Rig), State: rigState(row.Rig.State)})
		}
		st := page.WeekStation{Name: v.stationLink(row.Station), Note: web.Count(row.Station.Places, "place", "places")}
		for i, c := range row.Cells {
			st.Cells = append(st.Cells, v.weekCell(b, row, b.Days[i], c))
		}
		last := &out[len(out)-1]
		last.Stations = append(last.Stations, st)
	}
	return out
}

func (v *visit) weekCell(b booking.Board, row booking.BoardRow, day booking.BoardDay, c booking.BoardCell) page.WeekCell {
	var out page.WeekCell
	for _, s := range c.Sessions {
		out.Sessions = append(out.Sessions, v.boardSession(b, row, s))
	}
	for _, x := range c.Shut {
		out.Shut = append(out.Shut, v.shutWords(x, day))
	}
	if c.Free && day.Day >= v.today {
		out.Free = v.freeCell(row, day.Day)
	}
	return out
}

// shutWords says why a station can't be used, and until when: "shut to Thu 11 Mar
// 12:00: anchor test". day parts it where it begins or ends within the hours.
func (v *visit) shutWords(x booking.Shut, day booking.BoardDay) string {
	word, when := stopWord(x.Cause), ""
	if x.Cause.End != 0 {
		when = " to " + v.words.Moment(x.Cause.End)
	}
	for _, o := range day.Open {
		if x.Start > o.Start && x.Start < o.End {
			when = " from " + v.words.Clock(x.Start)
		} else if x.End > o.Start && x.End < o.End {
			when = " to " + v.words.Clock(x.End)
		}
	}
	return word + when + ": " + v.say(x.Cause.Short())
}

func (v *visit) freeCell(row booking.BoardRow, day civil.Day) page.BoardFree {
	name := v.ref.Text(row.Station.Name)
	out := page.BoardFree{Text: "free", Say: "free: book " + name + ", " + v.words.Day(day)}
	if access.May(v.actor, access.BookSession) {
		out.Href = "/book?" + url.Values{"station": {string(row.Station.ID)}, "from": {day.String()}, "until": {day.String()}}.Encode()
	} else {
		out.Say = "free"
	}
	return out
}

func (v *visit) boardSession(b booking.Board, row booking.BoardRow, s booking.BoardSession) page.BoardSession {
	taken := strconv.Itoa(len(s.Trainees)+len(s.Others)) + "/" + strconv.Itoa(row.Station.Places)
	out := page.BoardSession{
		Href: "/sessions/" + string(s.ID), Day: v.words.Day(v.words.Zone.DayOf(s.Start)),
		Times: v.words.Times(civil.Period{Start: s.Start, End: s.End}), Station: v.ref.Text(row.Station.Name), Exercise: s.Exercise,
		Taken: taken, TakenSay: takenSay(s.Session, row.Station.Places) + " taken",
		State: stateWords(s.State), Broken: s.Broken,
	}
	if s.Trial {
		out.Change = trialWords(s.TrialOf)
	}
	switch begun, over := s.Start <= v.now, s.End <= v.now; {
	case s.State == session.Booked && over:
		out.Note = "over, not signed"
	case s.State == session.Booked && begun:
		out.Note = notStarted
	case s.State == session.Pencilled && begun && !over:
		out.Note = "not to start yet"
	}
	if len(s.Instructors) > 0 {
		out.Lead = shortName(b.Names[s.Instructors[0]])
	}
	return out
}

func stateWords(s session.State) string {
	return map[session.State]string{
		session.Pencilled: "pencilled", session.Booked: "booked", session.UnderWay: "under way",
		session.SignedOff: "signed off", session.CutShort: "cut short", session.StoodDown: "stood down",
	}[s]
}

func rigState(s rig.State) string {
	return map[rig.State]string{
		rig.InConversion: "in conversion", rig.InService: "in service", rig.Restricted: "restricted", rig.Withdrawn: "withdrawn",
	}[s]
}

func (v *visit) weekFilter(here string, f booking.Filter) page.WeekFilter {
	rigs := []ui.Option{{Label: "All rigs"}}
	said := ""
	for _, r := range v.ref.Rigs.All(v.today) {
		name := v.ref.Text(r.Name)
		rigs = append(rigs, ui.Option{Value: string(r.ID), Label: name, Chosen: r.ID == f.Rig})
		said = list(said, name, r.ID == f.Rig)
	}
	intakes := []ui.Option{{Label: "All intakes"}}
	for _, in := range v.ref.Intakes.All(v.today) {
		if in.Until < v.today-60 {
			continue
		}
		name := v.ref.Text(in.Name)
		intakes = append(intakes, ui.Option{Value: string(in.ID), Label: name, Chosen: in.ID == f.Intake})
		said = list(said, "intake "+name, in.ID == f.Intake)
	}
	staff := []ui.Option{{Label: "All staff"}}
	for _, st := range v.ref.Staff.All(v.today) {
		name := v.ref.StaffName(st.ID)
		staff = append(staff, ui.Option{Value: string(st.ID), Label: name, Chosen: st.ID == f.Instructor})
		said = list(said, name, st.ID == f.Instructor)
	}
	clear := ""
	if f != (booking.Filter{}) {
		clear = here
		said = "Only " + said
	}
	return page.NewWeekFilter(here, rigs, intakes, staff, said, clear)
}

func list(said, more string, add bool) string {
	switch {
	case !add:
		return said
	case said == "":
		return more
	}
	return said + ", " + more
}
