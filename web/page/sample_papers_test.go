package page

import (
	"github.com/a-h/templ"

	"rungbook/web/ui"
)

// paperPages are the papers for the rig.
func paperPages() map[string]templ.Component {
	shell := sampleShell("week", "Day sheet")
	sheet := DaySheet{
		Exercise: "Harness basics", Times: "Tue 2 Mar 08:00–11:30", Where: "Deck 14 north, Tower platform", State: "booked",
		Facts:    []ui.Fact{{Label: "Ratio", Value: link("required 1 to 6; planned 1 to 6", "")}},
		People:   []PaperPerson{{"Ngozi Okafor", "instructor", "rescuer to Mon 23 Aug"}},
		Trainees: []string{"Abimbola Salako", "Eluned Vaughan-Prys"}, Outcomes: []string{"Checks a harness", "Picks an anchor"},
		Cautions: []PaperCaution{{"Rescue drill due", "Drilled on Thursday.", "Lindqvist"}}, Pauses: 2, Foot: "As of Tue 2 Mar 07:10.",
	}
	stopped := sheet
	stopped.Stops, stopped.People, stopped.Cautions = []string{"No rescue plan is in force."}, nil, nil
	card := RescueCard{Shell: shell, Title: "Rescue card", Over: link("Harness basics", "/sessions/s1"), Times: "Tue 2 Mar 08:00–11:30", Where: "Deck 14 north",
		Facts: sheet.Facts, People: sheet.People, Steps: []string{"Raise the alarm.", "Lower the casualty."}, Also: []ui.Link{link("Day sheet", "/sessions/s1/sheet")}}
	none := card
	none.Stops, none.Steps, none.People = "No rescue plan is in force. The session stops.", nil, nil
	return map[string]templ.Component{
		"day-sheets":       DaySheetsPage(DaySheets{Shell: shell, Title: "Day sheets", Over: link("Tue 2 Mar", "/day/2027-03-02"), Sheets: []DaySheet{sheet, stopped}}),
		"day-sheets-none":  DaySheetsPage(DaySheets{Shell: shell, Title: "Day sheets", Over: link("Tue 2 Mar", "/day/2027-03-02")}),
		"rescue-card":      RescueCardPage(card),
		"rescue-card-none": RescueCardPage(none),
	}
}
