package page

import (
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"rungbook/web/ui"
)

const longName = "Maximiliana Theodoropoulou-Vandenbergh-X" // 40 characters

// oneCell is a week of one station and one day.
func oneCell(c WeekCell, d WeekDay) Week {
	return Week{
		Shell: sampleShell("week", "Week 9"), Title: "Week 9", Dates: "Mon 1 – Sat 6 Mar 2027", Days: []WeekDay{d},
		Rigs: []WeekRig{{Name: link("Tower platform", "/rigs/tower"), Stations: []WeekStation{{Name: link("Deck 14 north", "/stations/d14n"), Cells: []WeekCell{c}}}}},
	}
}

func board(t *testing.T, p Week) [][]string {
	t.Helper()
	return table(t, draw(t, WeekPage(p)), "Sessions by station and day, "+p.Dates)
}

func TestWeekReadsEachSessionInOneBreath(t *testing.T) {
	s := BoardSession{Href: "/sessions/s1", Day: "Tue 2 Mar", Times: "09:00–10:30", Station: "Deck 14 north", Exercise: "Harness basics", Taken: "6/8", TakenSay: "6 of 8 trainees", Lead: "Okafor", State: "booked"}
	broken, bare := s, s
	broken.Broken, bare.Lead, bare.TakenSay = true, "", ""
	cases := []struct {
		name string
		s    BoardSession
		want string
	}{
		{"booked", s, "Tue 2 Mar 09:00–10:30 , Deck 14 north, Harness basics , 6 of 8 trainees, Okafor, booked"},
		{"broken", broken, "Tue 2 Mar 09:00–10:30 , Deck 14 north, Harness basics , 6 of 8 trainees, Okafor, booked, needs attention"},
		{"without a lead", bare, "Tue 2 Mar 09:00–10:30 , Deck 14 north, Harness basics , booked"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			root := draw(t, WeekPage(oneCell(WeekCell{Sessions: []BoardSession{c.s}}, weekDays[1])))
			strips := all(root, func(e *html.Node) bool { href, _ := attr(e, "href"); return href == "/sessions/s1" })
			if len(strips) != 2 { // the board's and the list's
				t.Fatalf("%d links to the session, want 2", len(strips))
			}
			for _, a := range strips {
				if got := spoken(a); got != c.want {
					t.Errorf("spoken %q, want %q", got, c.want)
				}
			}
		})
	}
}

// spoken is the text below n without what is hidden from those who listen.
func spoken(n *html.Node) string {
	var b strings.Builder
	for d := range n.Descendants() {
		if d.Type == html.TextNode && !hidden(d, n) {
			b.WriteString(d.Data + " ")
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

func hidden(d, top *html.Node) bool {
	for p := d.Parent; p != top; p = p.Parent {
		if v, _ := attr(p, "aria-hidden"); v == "true" {
			return true
		}
	}
	return false
}

func TestWeekCellSaysFreeShutClosedOrNothing(t *testing.T) {
	open, closed, past := weekDays[2], weekDays[5], weekDays[0]
	free := BoardFree{Text: "free", Say: "free: book Deck 14 north, Wed 3 Mar", Href: "/book?station=d14n"}
	cases := []struct {
		name string
		cell WeekCell
		day  WeekDay
		want string
	}{
		{"free", WeekCell{Free: free}, open, "free"},
		{"shut all day", WeekCell{Shut: []string{"shut: anchor test"}}, open, "shut: anchor test"},
		{"shut in the afternoon, free before", WeekCell{Shut: []string{"shut from 13:00: anchor test"}, Free: free}, open, "shut from 13:00: anchor test free"},
		{"closed day", WeekCell{}, closed, "closed"},
		{"time gone by", WeekCell{}, past, ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) { holds(t, board(t, oneCell(c.cell, c.day)), "Deck 14 north", c.want) })
	}
}

func TestWeekFreeTimeLeadsToBookingThere(t *testing.T) {
	free := BoardFree{Text: "free", Say: "free: book Deck 14 north, Wed 3 Mar", Href: "/book?station=d14n"}
	root := draw(t, WeekPage(oneCell(WeekCell{Free: free}, weekDays[2])))
	leads(t, root, "free", "/book?station=d14n")
	if say, _ := attr(named(t, root, "free", "a"), "aria-label"); say != free.Say {
		t.Errorf("free time is spoken %q, want %q", say, free.Say)
	}
	free.Href = ""
	if n := all(draw(t, WeekPage(oneCell(WeekCell{Free: free}, weekDays[2]))), func(e *html.Node) bool { return e.Data == "a" && said(e) == "free" }); len(n) != 0 {
		t.Error("a reader who can't book is given a link to book")
	}
}

func TestWeekMarksTodayAndLeadsToDaysAndWeeks(t *testing.T) {
	root := draw(t, WeekPage(sampleWeek()))
	leads(t, root, "Wed 3 Mar", "/day/2027-03-03")
	leads(t, root, "‹ Week 8", "/week/2027-W08")
	leads(t, root, "Week 10 ›", "/week/2027-W10")
	heads := all(root, func(e *html.Node) bool { return e.Data == "th" && strings.Contains(said(e), "today") })
	if len(heads) != 1 || !strings.HasPrefix(said(heads[0]), "Tue 2 Mar") {
		t.Errorf("today stands in %d heads", len(heads))
	}
	for label, name := range map[string]string{"Rig": "rig", "Intake": "intake", "Instructor": "instructor"} {
		if got, _ := attr(control(t, root, label), "name"); got != name {
			t.Errorf("the filter %q is sent as %q, want %q", label, got, name)
		}
	}
}

func TestWeekListHoldsTheBoardByTimeTodayFirst(t *testing.T) {
	w := sampleWeek()
	days := w.list()
	order := make([]string, len(days))
	n := 0
	for i, d := range days {
		order[i] = d.Day.Name
		n += len(d.Sessions)
		if !slices.IsSortedFunc(d.Sessions, func(a, b BoardSession) int { return strings.Compare(a.Times, b.Times) }) {
			t.Errorf("%s is not in the order of time", d.Day.Name)
		}
	}
	if want := []string{"Tue 2 Mar", "Wed 3 Mar", "Thu 4 Mar", "Fri 5 Mar", "Sat 6 Mar", "Mon 1 Mar"}; !slices.Equal(order, want) {
		t.Errorf("days stand as %q, want %q", order, want)
	}
	onBoard := 0
	for _, r := range w.Rigs {
		for _, s := range r.Stations {
			for _, c := range s.Cells {
				onBoard += len(c.Sessions)
			}
		}
	}
	if n != onBoard || n == 0 {
		t.Errorf("the list has %d sessions, the board %d", n, onBoard)
	}
}

func TestWeekDrawsNoneOneSevenAndManyStations(t *testing.T) {
	for _, n := range []int{0, 1, 7, 700} {
		w := oneCell(WeekCell{}, weekDays[1])
		row := w.Rigs[0].Stations[0]
		row.Cells = []WeekCell{{Sessions: []BoardSession{{Href: "/sessions/s1", Times: "08:00–11:30", Exercise: longName, Lead: longName, State: "booked"}}}}
		w.Rigs[0].Stations = slices.Repeat([]WeekStation{row}, n)
		if n == 0 {
			w.Rigs = nil
			if text := said(draw(t, WeekPage(w))); !strings.Contains(text, "No station has been entered yet.") {
				t.Error("an empty yard doesn't say what would stand here")
			}
			continue
		}
		if got := len(board(t, w)) - 2; got != n { // head and rig
			t.Errorf("%d rows, want %d", got, n)
		}
	}
}

func TestWeekFilteredToNothingOffersToShowAll(t *testing.T) {
	w := oneCell(WeekCell{}, weekDays[1])
	w.Rigs, w.Filter = nil, NewWeekFilter("/week/2027-W09", nil, nil, nil, "Only Blade face, with Okafor", "/week/2027-W09")
	root := draw(t, WeekPage(w))
	leads(t, root, "Show all", "/week/2027-W09")
	named(t, root, "Only Blade face, with Okafor", "summary")
}

func TestDayBlocksFillEveryRow(t *testing.T) {
	p := sampleDay()
	root := draw(t, DayPage(p))
	for _, tr := range all(root, tag("tr")) {
		slots := 0
		for _, cell := range all(tr, tag("td", "th")) {
			span, ok := attr(cell, "colspan")
			if !ok {
				span = "1"
			}
			slots += spanOf(t, span)
		}
		if slots != p.columns() {
			t.Errorf("the row %.40q has %d slots, want %d", said(tr), slots, p.columns())
		}
	}
}

func spanOf(t *testing.T, s string) int {
	t.Helper()
	n := 0
	for _, c := range s {
		n = n*10 + int(c-'0')
	}
	return n
}

func TestDayListsStoodDownSessionsApart(t *testing.T) {
	root := draw(t, DayPage(sampleDay()))
	named(t, root, "Stood down", "h2")
	for _, td := range all(root, tag("td")) {
		if strings.Contains(said(td), "stood down") {
			t.Errorf("a stood-down session holds slots: %q", said(td))
		}
	}
}

func TestClosedDaySaysWhy(t *testing.T) {
	p := Day{Shell: sampleShell("week", "Wed 17 Mar 2027"), Title: "Wed 17 Mar 2027", Closed: "Saint Patrick’s Day", Steps: Steps{Label: "Days", Prev: link("Tue 16 Mar", "/day/2027-03-16"), Now: ui.Link{Text: "Today", Href: "/day/2027-03-02"}, Next: link("Thu 18 Mar", "/day/2027-03-18")}}
	root := draw(t, DayPage(p))
	named(t, root, "Closed: Saint Patrick’s Day.", "p")
	leads(t, root, "Today", "/day/2027-03-02")
}
