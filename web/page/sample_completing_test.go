package page

import (
	"github.com/a-h/templ"

	"rungbook/internal/verdict"
	"rungbook/web/ui"
)

// completingPages are certificates that are proposed.
func completingPages() map[string]templ.Component {
	shell := sampleShell("certificates", "Certificates to give")
	missing := []AwardHold{{Text: "Ladder climb, Mon 1 Mar 08:00–10:30: they did not countersign what was found.", Mend: link("Have it countersigned", "/sessions/s1/trainees/t2/countersign")}, {Text: "17 h are credited; the programme asks for 17 h 40."}}
	row := AwardRow{Person: link("Eluned Vaughan-Prys", "/proposals/t1"), Programme: "Work at height", Intake: link("Windward 3", "/intakes/i1"), Completed: "Mon 1 Mar", Minutes: "17 h 40 of 17 h 40"}
	held := AwardRow{Person: link("Abimbola Salako", "/proposals/t2"), Programme: "Work at height", Completed: "Mon 1 Mar", Holds: missing}
	one := Award{Shell: shell, Title: "Eluned Vaughan-Prys", Over: link("Certificates to give", "/proposals"), Line: "Work at height, complete since Mon 1 Mar", Total: "17 h 40 of 17 h 40",
		Facts:    []ui.Fact{{Label: "Last valid day", Value: link("Thu 1 Mar 2029", "")}},
		Outcomes: []AwardOutcome{{Unit: "Rescue", Outcome: "Lowers a casualty", Found: "competent, watched", Session: link("Deck rescue", "/sessions/s1"), When: "Mon 1 Mar"}},
		Sessions: []AwardSession{{When: "Mon 1 Mar 08:00–10:30", Session: link("Deck rescue", "/sessions/s1"), State: "signed off", Hours: "2 h 30", Signed: "signed and countersigned"}}}
	one.Failed, one.Cost = one.Outcomes, "By the rule book each costs the whole programme (rule book, what a failure costs: height)."
	give, wait := one, one
	give.Form = &ui.Form{Action: "/proposals/t1/give", Key: "k1", Button: "Give the certificate"}
	give.Fields = []ui.Field{{Name: "until", Label: "Last valid day, where another is printed", Kind: ui.Date, Short: true}}
	wait.Holds, wait.Who = missing, "It can be given once nothing is missing."
	return map[string]templ.Component{
		"awards":      AwardsPage(Awards{Shell: shell, Finding: "1 certificate may be given; 1 is held.", Ready: []AwardRow{row}, Held: []AwardRow{held}}),
		"awards-none": AwardsPage(Awards{Shell: shell}),
		"award":       AwardPage(give),
		"award-held":  AwardPage(wait),
		"reports": ReportsPage(Reports{Shell: shell, Finding: "1 completion is to be reported; of 1 the last day has passed.", Rows: []ReportRow{{Name: link("Eluned Vaughan-Prys, Work at height", "/certificates/c1"), Due: "was due by Mon 15 Mar", Level: verdict.Stops,
			Facts: []ui.Fact{{Label: "Number at the scheme", Value: link("12345", "")}}, Lacks: "Not on record: that this number was seen when they came.",
			Action: &Action{Title: "Note that it was reported", Form: ui.Form{Action: "/reports/c1", Key: "k2", Button: "Note the report"}}}}}),
		"reports-none": ReportsPage(Reports{Shell: shell}),
	}
}
