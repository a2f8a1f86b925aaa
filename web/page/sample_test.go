package page

import (
	"rungbook/internal/verdict"
	"rungbook/web/chart"
	"rungbook/web/ui"
)

// The sample yard of the page tests and the gallery; all names are invented.

func sampleShell(section, title string) ui.Shell {
	return ui.Shell{
		Title: title, Section: section, Yard: "Carrowmoyle", Path: "/" + section,
		Actor: ui.Actor{Name: "Ngozi Okafor", Roles: "instructor, responsible for height and rescue"},
		Nav:   ui.Nav(func(s string) bool { return s != "path" }, "2"),
		AsOf:  ui.AsOf{Moment: "Tue 2 Mar 10:14", Entry: "20 413", Root: "2f5c1d0b7a6e48e3c9d1f08b7a6e5d4c3b2a19080706f5e4d3c2b1a09f8e7d6c"},
	}
}

func sampleYard() chart.Yard {
	return chart.Yard{Name: "Carrowmoyle", Rigs: []chart.Rig{
		{ID: "tower", Name: "Tower platform", Href: "/rigs/tower", Kind: chart.Tower, Width: 42, Height: 180,
			Decks: []chart.Deck{{Height: 40, Out: 26}, {Height: 90, Out: 26}, {Height: 140, Out: 26}},
			Zones: []chart.Zone{{Name: "Drop zone", From: -45, To: -1, TopFrom: -26, TopTo: -2, Height: 38, InUse: true}},
			Stations: []chart.Station{
				{ID: "d14n", Mark: "1", Name: "Deck 14 north", Lines: []string{"Harness basics", "6/6"}, Say: "in use, Harness basics, 6 of 6 places", Href: "/stations/d14n", State: chart.InUse, X: -25, Y: 140, Width: 22, Height: 22, Side: chart.Left},
				{ID: "d9n", Mark: "2", Name: "Deck 9 north", Lines: []string{"free to 13:00"}, Say: "free to 13:00", Href: "/stations/d9n", State: chart.Free, X: -25, Y: 90, Width: 22, Height: 22, Side: chart.Left},
				{ID: "d9s", Mark: "3", Name: "Deck 9 south", Lines: []string{"shut: anchor test"}, Say: "shut, anchor test to Thu 4 Mar", Href: "/stations/d9s", State: chart.Shut, X: 45, Y: 90, Width: 22, Height: 22, Side: chart.Right},
				{ID: "d4n", Mark: "4", Name: "Ladder bay", Lines: []string{"Ladder rescue", "4/4"}, Say: "in use, Ladder rescue, 4 of 4 places", Href: "/stations/d4n", State: chart.InUse, X: -25, Y: 40, Width: 22, Height: 22, Side: chart.Left},
			}},
		{ID: "blade", Name: "Blade face", Href: "/rigs/blade", Kind: chart.Blade, HangsOn: "tower", Side: chart.Right, Off: 34, Lift: 14, Width: 30, Height: 150,
			Stations: []chart.Station{
				{ID: "b1", Mark: "5", Name: "Upper face", Lines: []string{"free all day"}, Say: "free all day", Href: "/stations/b1", State: chart.Free, X: 6, Y: 105, Width: 20, Height: 22},
				{ID: "b2", Mark: "6", Name: "Lower face", Lines: []string{"stops: no rescue plan in force"}, Say: "stops, no rescue plan in force", Href: "/stations/b2", State: chart.Stops, X: 4, Y: 50, Width: 20, Height: 22},
			}},
		{ID: "nacelle", Name: "Nacelle house", Href: "/rigs/nacelle", Kind: chart.Nacelle, Side: chart.Left, Width: 128, Height: 46, BaseWidth: 44, BaseHeight: 52,
			Stations: []chart.Station{
				{ID: "n1", Mark: "7", Name: "Hydraulics", Lines: []string{"Pitch pump", "4/6", "live"}, Say: "in use, Pitch pump, 4 of 6 places, hydraulic power live", Href: "/stations/n1", State: chart.InUse, Live: true, X: 8, Y: 57, Width: 24, Height: 24},
				{ID: "n2", Mark: "8", Name: "Cooling", Lines: []string{"free to 13:30"}, Say: "free to 13:30", Href: "/stations/n2", State: chart.Free, X: 36, Y: 57, Width: 24, Height: 24},
				{ID: "n3", Mark: "9", Name: "Generator", Lines: []string{"free to 13:30"}, Say: "free to 13:30", Href: "/stations/n3", State: chart.Free, X: 64, Y: 57, Width: 24, Height: 24},
				{ID: "n4", Mark: "10", Name: "Electrical control", Lines: []string{"Lockout practice", "5/6"}, Say: "in use, Lockout practice, 5 of 6 places", Href: "/stations/n4", State: chart.InUse, X: 92, Y: 57, Width: 24, Height: 24},
			}},
		{ID: "workshop", Name: "Workshop", Href: "/rigs/workshop", Kind: chart.Workshop, Width: 120, Height: 55,
			Stations: []chart.Station{
				{ID: "w1", Mark: "11", Name: "Bolting bench", Lines: []string{"free all day"}, Say: "free all day", Href: "/stations/w1", State: chart.Free, X: 12, Y: 0, Width: 40, Height: 24},
				{ID: "w2", Mark: "12", Name: "Lamination bay", Lines: []string{"free all day"}, Say: "free all day", Href: "/stations/w2", State: chart.Free, X: 66, Y: 0, Width: 40, Height: 24},
			}},
		{ID: "class", Name: "Classroom", Href: "/rigs/class", Kind: chart.Classroom, Width: 90, Height: 32,
			Stations: []chart.Station{
				{ID: "c1", Mark: "13", Name: "Room", Lines: []string{"First aid theory", "12/12"}, Say: "in use, First aid theory, 12 of 12 places", Href: "/stations/c1", State: chart.InUse, X: 10, Y: 0, Width: 70, Height: 22},
			}},
	}}
}

// otherYard is a second yard made of other scrap: two towers, a blade on the
// left, a nacelle whose nose points right, nothing in common with the first.
func otherYard() chart.Yard {
	return chart.Yard{Name: "Sandvik Öst", Rigs: []chart.Rig{
		{ID: "hub", Name: "Nacelle on plinth", Kind: chart.Nacelle, Side: chart.Right, Width: 86, Height: 34, BaseWidth: 30, BaseHeight: 24, State: "in conversion",
			Stations: []chart.Station{{ID: "s1", Mark: "1", Name: "Gear room", Lines: []string{"stops: in conversion"}, Say: "stops, in conversion", Href: "/stations/s1", State: chart.Stops, X: 20, Y: 28, Width: 30, Height: 22}}},
		{ID: "low", Name: "Low tower", Kind: chart.Tower, Width: 36, Height: 70, Decks: []chart.Deck{{Height: 55, Out: 18}},
			Stations: []chart.Station{{ID: "s2", Mark: "2", Name: "Deck", Lines: []string{"free all day"}, Say: "free all day", Href: "/stations/s2", State: chart.Free, X: -17, Y: 55, Width: 15, Height: 14}}},
		{ID: "tall", Name: "Tall tower", Kind: chart.Tower, Width: 46, Height: 260, Decks: []chart.Deck{{Height: 120, Out: 0}, {Height: 240, Out: 20}},
			Stations: []chart.Station{{ID: "s3", Mark: "3", Name: "Top deck", Lines: []string{"free all day"}, Say: "free all day", Href: "/stations/s3", State: chart.Free, X: 48, Y: 240, Width: 16, Height: 14, Side: chart.Right}}},
		{ID: "wing", Name: "Blade", Kind: chart.Blade, HangsOn: "tall", Side: chart.Left, Off: 10, Lift: 20, Width: 40, Height: 210,
			Stations: []chart.Station{{ID: "s4", Mark: "4", Name: "Face", Lines: []string{"Inspection", "4/4"}, Say: "in use", Href: "/stations/s4", State: chart.InUse, X: 10, Y: 150, Width: 22, Height: 22}}},
	}}
}

func sampleYardPage() Yard {
	rigs := []YardRig{}
	for _, r := range sampleYard().Rigs {
		row := YardRig{Name: ui.Link{Text: r.Name, Href: r.Href}, State: "in service"}
		for _, s := range r.Stations {
			st := YardStation{Mark: s.Mark, Name: ui.Link{Text: s.Name, Href: s.Href}, State: "free", Next: ui.Link{Text: "13:00 Harness basics", Href: "/sessions/s9"}}
			switch s.State {
			case chart.InUse:
				st.State, st.Now, st.Places = "in use", ui.Link{Text: "Harness basics to 11:30", Href: "/sessions/s1"}, "6 of 6"
			case chart.Shut:
				st.State, st.Cause, st.Level = "shut", "Anchor test, to Thu 4 Mar 12:00", verdict.Stops
			case chart.Stops:
				st.Level, st.State, st.Cause = verdict.Stops, "stops", "No rescue plan in force since Mon 1 Mar"
			}
			row.Stations = append(row.Stations, st)
		}
		rigs = append(rigs, row)
	}
	return Yard{
		Shell: sampleShell("yard", "Yard"), Name: "Carrowmoyle", Moment: "Tue 2 Mar 2027, 10:14",
		Weather: link("Wind 6.2 m/s, gust 9.1 m/s at 10.0 m, read 09:40", "/yard/weather"),
		Finding: "5 of 13 stations in use. Hatched ground is closed: drop zone of the tower. Hatched stations have their energy circuit live. Heights in metres.",
		Drawing: chart.Rows(sampleYard(), chart.Options{Width: 1216, Labels: true}),
		Rows:    chart.TwoRows(sampleYard(), chart.Options{Width: 704, Labels: true}),
		Map:     chart.Elevation(sampleYard(), chart.Options{Width: 328}), MapSay: "Carrowmoyle from the side; the list below has each station under its number",
		Now: []YardSession{
			{Times: "08:00–11:30", Exercise: ui.Link{Text: "Harness basics", Href: "/sessions/s1"}, Station: "Deck 14 north", People: "6 trainees with Okafor", State: "under way"},
			{Times: "08:30–11:00", Exercise: ui.Link{Text: "Isolation practice", Href: "/sessions/s7"}, Station: "Electrical control", People: "4 trainees with Devanny", State: "pencilled", Note: "Not to start before its caution is accepted"},
			{Times: "09:00–12:00", Exercise: ui.Link{Text: "Pitch pump", Href: "/sessions/s2"}, Station: "Hydraulics", People: "4 trainees with Ferreira", State: "under way"},
		},
		Next: []YardSession{
			{Times: "13:00–16:30", Exercise: ui.Link{Text: "Casualty lowering", Href: "/sessions/s3"}, Station: "Deck 9 north", People: "6 trainees with Lindqvist", State: "booked"},
		},
		Waiting: []YardWaiting{
			{Text: ui.Link{Text: "2 sessions need attention", Href: "/attention"}, Note: "since deck 9 south was shut"},
			{Text: ui.Link{Text: "1 rescue plan to review", Href: "/stations/b1"}, Note: "upper face, due in 12 days"},
		},
		Rigs: rigs,
	}
}

func sampleDoor() ui.Shell { return ui.Shell{Yard: "Carrowmoyle"} }
