package page

import (
	"github.com/a-h/templ"

	"rungbook/internal/verdict"
	"rungbook/web/ui"
)

// rescuePages are the rescue plans.
func rescuePages() map[string]templ.Component {
	shell := sampleShell("yard", "Rescue plans")
	covers := []ui.Link{link("Deck 14 north", "/stations/s1"), link("Deck 14 south", "/stations/s2")}
	written := []WrittenRow{{Name: link("Tower rescue, version 5", "/rescue/written/w1"), By: "by Mattias Lindroos", Level: verdict.Cautions, State: "waits for approval"}}
	now := RescueVersion{Mark: "version-4", Title: "Version 4", Line: "from Mon 14 Sep, review by Sun 14 Mar", Facts: []ui.Fact{{Label: "Reach a casualty within", Value: link("6 min", "")}},
		Text: []string{"Three long blasts. The instructor on the deck leads."}, Steps: []string{"Raise the alarm.", "Clear the drop zone.", "Lower the casualty."},
		Roles: []RescueRole{{"Leader", "Commands, keeps in touch with the casualty", "the rescue-competent alone", "1"}}, Changed: []string{"Step 2 is new: Clear the drop zone."}}
	old := RescueVersion{Mark: "version-3", Title: "Version 3", Line: "from Mon 2 Mar 2026, review by Tue 2 Mar", None: "No steps recorded."}
	return map[string]templ.Component{
		"rescues": RescuesPage(Rescues{Shell: shell, Finding: "2 plans, 1 of them in force.", Do: []ui.Link{link("Write a new plan", "/rescue/new")}, Written: written, Rows: []RescueRow{
			{Name: link("Tower rescue", "/rescue/p1"), Covers: covers, Version: "version 4 since Mon 14 Sep", Review: "Sun 14 Mar, due in 12 days", Drill: "Fri 12 Feb, 9 min", Level: verdict.Cautions, State: "Review due in 12 days"},
			{Name: link("Hub rescue", "/rescue/p2"), Version: "none", Review: "none", Drill: "none on record", Level: verdict.Stops, State: "Not in force"}}}),
		"rescues-none": RescuesPage(Rescues{Shell: shell, Finding: "0 plans."}),
		"rescue": RescuePage(Rescue{Shell: shell, Name: "Tower rescue", State: ui.Notice{Plain: true, Word: "In force", Text: "Version 4 is in force since Mon 14 Sep."}, Warn: []ui.Notice{{Level: verdict.Cautions, Text: "Review due in 12 days."}},
			Do: []ui.Link{link("Write a new version", "/rescue/p1/write")}, Covers: covers, Now: now, Written: written, Versions: []RescueVersion{old},
			Drills: []RescueDrill{{Day: "Fri 12 Feb", Version: "4", Minutes: "9 min", People: "Mattias Lindroos and Linnéa Hallsjö", Found: "The bag hung too high.", State: "accepted"}}}),
		"rescue-undrilled": RescuePage(Rescue{Shell: shell, Name: "Hub rescue", State: ui.Notice{Level: verdict.Stops, Text: "No version of this plan is in force."}, Now: old}),
		"written-plan": WrittenPage(Written{Shell: shell, Title: "Tower rescue, version 5", Over: link("Tower rescue", "/rescue/p1"), State: ui.Notice{Level: verdict.Cautions, Word: "Not in force", Text: "Waits for approval."},
			Warn: []ui.Notice{{Level: verdict.Cautions, Text: "The last drill took 20 min."}}, Covers: covers, Plan: now, Do: []ui.Link{link("Change it", "/rescue/written/w1/change")},
			Press:   []ui.Form{{Action: "/rescue/written/w1/send", Key: "k1", Button: "Send it for approval"}},
			Actions: []Action{{Title: "Approve it", Open: true, Form: ui.Form{Action: "/rescue/written/w1/approve", Key: "k2", Button: "Approve and put in force"}}, {Title: "Return it", Form: ui.Form{Action: "/rescue/written/w1/return", Key: "k3", Button: "Return it with this reason"}}},
			Steps:   []CertificateStep{{When: "Mon 1 Mar 16:25", What: "sent", By: "by Mattias Lindroos"}}}),
	}
}
