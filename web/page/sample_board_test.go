package page

import (
	"fmt"
	"maps"
	"strings"

	"github.com/a-h/templ"

	"rungbook/web/ui"
)

// The sample week of the page tests and the gallery: a running week, Tuesday is
// today; all names are invented.

// bookingPages are the pages from the week to the list of what needs attention.
func bookingPages() map[string]templ.Component {
	filtered, closed := sampleWeek(), sampleDay()
	filtered.Rigs = filtered.Rigs[2:3]
	filtered.Filter.Say, filtered.Filter.Clear = "Only Nacelle house", link("Show all", "/week/2027-W09")
	closed.Closed, closed.Hours, closed.Sessions, closed.Down = "Saint Patrick’s Day", nil, nil, nil
	pages := map[string]templ.Component{
		"week":          WeekPage(sampleWeek()),
		"week-filtered": WeekPage(filtered),
		"week-empty":    WeekPage(Week{Shell: sampleShell("week", "Week 9"), Title: "Week 9", Dates: "Mon 1 – Sat 6 Mar 2027", Steps: sampleWeek().Steps}),
		"day":           DayPage(sampleDay()),
		"day-closed":    DayPage(closed),
	}
	maps.Copy(pages, sampleBooking())
	return pages
}

var weekDays = []WeekDay{
	{Name: "Mon 1 Mar", Href: "/day/2027-03-01", Hours: "08:00–17:00", Past: true},
	{Name: "Tue 2 Mar", Href: "/day/2027-03-02", Hours: "08:00–17:00", Today: true},
	{Name: "Wed 3 Mar", Href: "/day/2027-03-03", Hours: "08:00–17:00"},
	{Name: "Thu 4 Mar", Href: "/day/2027-03-04", Hours: "08:00–17:00"},
	{Name: "Fri 5 Mar", Href: "/day/2027-03-05", Hours: "08:00–15:00"},
	{Name: "Sat 6 Mar", Href: "/day/2027-03-06", Closed: "weekend"},
}

func sampleWeek() Week {
	w := Week{
		Shell: sampleShell("week", "Week 9"), Title: "Week 9", Dates: "Mon 1 – Sat 6 Mar 2027",
		Finding: "34 sessions for 5 intakes; 1 needs attention.",
		Steps:   Steps{Label: "Weeks", Prev: link("Week 8", "/week/2027-W08"), Next: link("Week 10", "/week/2027-W10")},
		Filter: NewWeekFilter("/week/2027-W09",
			[]ui.Option{{Label: "All rigs"}, {Value: "tower", Label: "Tower platform"}},
			[]ui.Option{{Label: "All intakes"}, {Value: "i3", Label: "27-03 Norrvind Drift"}},
			[]ui.Option{{Label: "All instructors"}, {Value: "p1", Label: "Ngozi Okafor"}}, "", ""),
		Days: weekDays, Book: link("Book a session", "/book"),
	}
	rows := sampleRows()
	for _, r := range sampleYard().Rigs {
		rig := WeekRig{Name: link(r.Name, r.Href), State: "in service"}
		for _, s := range r.Stations {
			row := WeekStation{Name: link(s.Name, s.Href), Mark: s.Mark, Note: "8 places"}
			for i, d := range weekDays {
				row.Cells = append(row.Cells, sampleCell(s.ID, s.Name, i, d, rows[s.ID]))
			}
			rig.Stations = append(rig.Stations, row)
		}
		w.Rigs = append(w.Rigs, rig)
	}
	return w
}

// sampleRows writes a station's week as "day state times exercise n/m lead".
func sampleRows() map[string][]string {
	return map[string][]string{
		"d14n": {"0|signed off|08:00–11:30|Harness basics|6/8|Okafor", "0|signed off|13:00–16:30|Ladder climb|6/8|Okafor", "1|under way|08:00–11:30|Harness basics|6/8|Okafor", "1|booked|13:00–16:30|Casualty lowering|6/8|Lindqvist", "2|booked|08:00–11:30|Harness basics|8/8|Okafor", "3|booked|08:00–11:30|Casualty lowering|4/8|Lindqvist", "4|pencilled|08:00–11:30|Evacuation by winch|6/8|Adeyemi"},
		"d9n":  {"0|cut short|08:00–11:30|Ladder climb|6/6|Adeyemi", "1|stood down|08:00–11:30|Evacuation by winch|4/6|Adeyemi", "1|booked|13:00–16:30|Work positioning|6/6|Adeyemi", "2|booked|13:00–16:30|Ladder rescue|4/6|Lindqvist", "3|booked|13:00–15:00|Work positioning|6/6|Okafor"},
		"d9s":  {"2|booked!|08:00–11:30|Harness basics|6/6|Okafor"},
		"d4n":  {"1|under way|09:00–12:00|Ladder rescue|4/4|Lindqvist", "3|booked|08:00–11:00|Ladder rescue|4/4|Adeyemi", "4|pencilled|13:00–15:00|Ladder rescue|4/4|Adeyemi"},
		"b1":   {"2|booked|08:00–11:30|Blade inspection|4/4|Casademont", "3|booked|13:00–16:30|Blade repair, leading edge|4/4|Casademont"},
		"n1":   {"0|signed off|09:00–12:00|Pitch pump|4/6|Ferreira", "1|under way|09:00–12:00|Pitch pump|4/6|Ferreira", "2|booked|09:00–12:00|Accumulator, pressure release|6/6|Ferreira", "4|booked|08:00–10:00|Pitch pump|4/6|Ferreira"},
		"n2":   {"1|booked|13:30–15:30|Coolant change|4/4|Ferreira"},
		"n3":   {"1|booked|13:30–16:30|Generator alignment|4/4|Krūmiņa"},
		"n4":   {"0|booked|13:00–15:00|Lockout practice|5/6|Krūmiņa", "1|under way|08:00–12:00|Lockout practice|5/6|Krūmiņa", "2|booked|13:00–17:00|Lockout practice|6/6|Krūmiņa", "3|booked|08:00–12:00|Fault finding, cabinet|6/6|Krūmiņa"},
		"w1":   {"3|booked|13:00–17:00|Bolt tensioning|8/8|Ferreira"},
		"c1":   {"0|signed off|08:00–12:00|First aid theory|12/12|Brennan", "1|under way|08:00–12:00|First aid theory|12/12|Brennan", "1|booked|13:00–16:00|Rescue theory|12/12|Brennan", "2|booked|08:00–12:00|Electrical safety|10/12|Krūmiņa", "4|booked|08:00–12:00|First aid refresher for returning technicians|7/12|Theodoropoulou-Vandenbergh"},
	}
}

func sampleSession(station, day, row string) BoardSession {
	f := strings.Split(row, "|")
	state, broken := strings.CutSuffix(f[1], "!")
	return BoardSession{Href: "/sessions/s1", Day: day, Times: f[2], Station: station, Exercise: f[3], Taken: f[4],
		TakenSay: strings.Replace(f[4], "/", " of ", 1) + " trainees", Lead: f[5], State: state, Broken: broken}
}

func sampleCell(id, station string, i int, d WeekDay, rows []string) WeekCell {
	var c WeekCell
	for _, r := range rows {
		if r[0] == byte('0'+i) {
			c.Sessions = append(c.Sessions, sampleSession(station, d.Name, r))
		}
	}
	switch {
	case id == "d9s" && i > 0 && i < 4:
		c.Shut = []string{"shut: anchor test"}
	case id == "b2" && i > 0 && d.Closed == "":
		c.Shut = []string{"stops: no rescue plan in force"}
	case len(c.Sessions) == 0 && !d.Past && d.Closed == "":
		c.Free = BoardFree{Text: "free", Say: fmt.Sprintf("free: book %s, %s", station, d.Name), Href: "/book?station=" + id + "&from=2027-03-02"}
	}
	return c
}

func sampleDay() Day {
	d := Day{
		Shell: sampleShell("week", "Tue 2 Mar 2027"), Title: "Tue 2 Mar 2027", Week: link("Week 9", "/week/2027-W09"),
		Finding: "12 sessions; at most 29 trainees on the yard at once.",
		Steps:   Steps{Label: "Days", Prev: link("Mon 1 Mar", "/day/2027-03-01"), Next: link("Wed 3 Mar", "/day/2027-03-03")},
		Book:    link("Book a session", "/book?from=2027-03-02"),
	}
	for h := 8; h < 17; h++ {
		d.Hours = append(d.Hours, DayHour{Text: fmt.Sprintf("%02d:00", h), Slots: 2})
	}
	rows := sampleRows()
	for _, r := range sampleYard().Rigs {
		rig := DayRig{Name: link(r.Name, r.Href), State: "in service"}
		for _, s := range r.Stations {
			row := DayStation{Name: link(s.Name, s.Href), Note: "8 places"}
			at := 0
			for _, text := range rows[s.ID] {
				x := sampleSession(s.Name, "Tue 2 Mar", text)
				switch {
				case text[0] != '1':
					continue
				case x.State == "stood down":
					d.Down = append(d.Down, x)
					continue
				}
				d.Sessions = append(d.Sessions, x)
				from, until := slot(x.Times[:5]), slot(x.Times[len(x.Times)-5:])
				row.free(s.Name, at, from)
				row.Blocks = append(row.Blocks, DayBlock{Slots: until - from, Session: &x})
				at = until
			}
			if s.ID == "d9s" {
				row.Blocks, at = []DayBlock{{Slots: 18, Shut: "shut: anchor test, to Thu 4 Mar"}}, 18
			}
			row.free(s.Name, at, 18)
			rig.Stations = append(rig.Stations, row)
		}
		d.Rigs = append(d.Rigs, rig)
	}
	return d
}

// slot counts half hours from 08:00.
func slot(clock string) int {
	var h, m int
	if _, err := fmt.Sscanf(clock, "%d:%d", &h, &m); err != nil {
		panic("sample: " + err.Error())
	}
	return (h-8)*2 + m/30
}

func (s *DayStation) free(station string, from, until int) {
	if until > from {
		at := fmt.Sprintf("%02d:%02d", 8+from/2, from%2*30)
		s.Blocks = append(s.Blocks, DayBlock{Slots: until - from, Free: BoardFree{Text: "free", Say: "free: book " + station + ", Tue 2 Mar " + at, Href: "/book?at=" + at}})
	}
}
