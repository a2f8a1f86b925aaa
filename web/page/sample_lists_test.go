package page

import (
	"rungbook/internal/verdict"
	"rungbook/web/ui"
)

func sampleFiles(at string) []ui.Link {
	return []ui.Link{link("CSV", at+".csv"), link("XLSX", at+".xlsx"), link("JSON", at+".json")}
}

func sampleLists() Lists {
	return Lists{Shell: sampleShell("", "Lists to take out"), Rows: []ListRow{
		{Title: "People", Row: "A person with part, employer and intake", Files: sampleFiles("/lists/people")},
		{Title: "Sessions", Row: "A session with its people, of this week", Files: sampleFiles("/lists/sessions"), Page: link("Choose other days", "/sessions")},
	}}
}

func sampleChosenSessions(found bool) Sessions {
	p := Sessions{Shell: sampleShell("week", "Sessions"), Finding: "2 sessions, Mon 1 – Sun 7 Mar.", Filter: ui.Form{Action: "/sessions", Get: true, Button: "Show"},
		Fields: []ui.Field{{Name: "from", Label: "First day", Kind: ui.Date, Short: true, Value: "2027-03-01"}, {Name: "until", Label: "Last day", Kind: ui.Date, Short: true, Value: "2027-03-07"}}}
	p.Shell.TakeOut, p.Shell.Lists = sampleFiles("/lists/sessions"), []ui.Link{link("all lists", "/lists")}
	p.Shell.AlsoOut = []ui.TakeOut{{What: "Attendance", Files: sampleFiles("/lists/attendance")}}
	if found {
		p.Rows = []SessionRow{
			{Day: "Tue 2 Mar", Times: "08:00–11:30", Exercise: link("Harness basics", "/sessions/s1"), Where: "Tower platform, Deck 10 south", People: "6 trainees with Okafor", State: "booked"},
			{Day: "Tue 2 Mar", Times: "13:00–16:30", Exercise: link("Ladder rescue", "/sessions/s2"), Where: "Tower platform, Ladder bay", People: "4 trainees", State: "stood down", Note: "weather"},
			{Day: "Wed 3 Mar", Times: "08:00–11:30", Exercise: link("Deck rescue", "/sessions/s3"), Where: "Tower platform, Upper deck", People: "4 trainees", State: "booked", Level: verdict.Stops, Note: "station shut"},
		}
		p.Pages = ui.Pages{Shown: "Tue 2 Mar to Tue 2 Mar", Next: "/sessions?after=s2"}
	}
	return p
}
