package page

import (
	"github.com/a-h/templ"

	"rungbook/internal/verdict"
	"rungbook/web/ui"
)

// circuitPages are the isolation of circuits.
func circuitPages() map[string]templ.Component {
	shell := sampleShell("yard", "Circuits")
	locks := []CircuitLock{
		{Who: "Ilango Muthukaruppan, in charge", On: "Mon 1 Mar 16:10", Take: &ui.Form{Action: "/circuits/c1/unlock", Key: "k1", Button: "Take my lock off", Unseen: "of Ilango"}},
		{Who: "Mattias Lindroos", On: "Mon 1 Mar 16:15", Off: "Mon 1 Mar 17:00"},
	}
	one := Circuit{Shell: shell, Name: "Switchboard section 2", State: ui.Notice{Plain: true, Word: "Tested dead", Text: "Tested dead since Mon 1 Mar 16:25, 2 locks on."},
		Facts: []ui.Fact{{Label: "Permit", Value: link("SB2-0117", "")}}, Locks: locks,
		Needs: []YardSession{{Times: "08:00–11:30", Exercise: link("Control isolated", "/sessions/s1"), Station: "Control cabinet", People: "needs it dead", State: "booked"}},
		Who: []CircuitPerson{{Name: "Ilango Muthukaruppan", Days: "responsible for energy: every circuit"},
			{Name: "Mattias Lindroos", Days: "Fri 1 Jan to Mon 2 Aug", By: "by Ilango Muthukaruppan", Back: &ui.Form{Action: "/authorities/a1/take-back", Key: "k2", Button: "Take it back", Grave: true}}},
		Steps:   []CertificateStep{{When: "Mon 1 Mar 16:25", What: "tested dead", By: "by Ilango Muthukaruppan", Changed: "locks on: Ilango Muthukaruppan, Mattias Lindroos"}},
		Next:    []Action{{Title: "Put a lock on", Open: true, Form: ui.Form{Action: "/circuits/c1/lock", Key: "k3", Button: "Their lock is on"}, Fields: []ui.Field{{Name: "person", Label: "Whose lock", Kind: ui.Select, Options: []ui.Option{{Value: "p1", Label: "Linnéa Hallsjö"}}}}}},
		Actions: []Action{{Title: "Authorise somebody", Form: ui.Form{Action: "/circuits/c1/authorise", Key: "k4", Button: "Authorise them"}}},
		Sheet:   link("Permit sheet", "/circuits/c1/permit"),
	}
	unknown := Circuit{Shell: shell, Name: "Hydraulic power", State: ui.Notice{Level: verdict.Stops, Word: "Not known", Text: "Its state is not recorded. Take it for live."},
		Warn: []ui.Notice{{Level: verdict.Stops, Text: "Hydraulics live is under way and needs it live.", Link: link("Open the session", "/yard/sessions/s1")}}}
	return map[string]templ.Component{
		"circuits": CircuitsPage(Circuits{Shell: shell, Finding: "2 circuits, 1 of them with a lock on.", Rows: []CircuitRow{
			{Name: link("Switchboard section 2", "/circuits/c1"), State: "tested dead since Mon 1 Mar 16:25", InCharge: "Ilango Muthukaruppan", Locks: "2 locks on", Needs: "08:00 dead", Who: "Ilango Muthukaruppan"},
			{Name: link("Hydraulic power", "/circuits/c2"), Level: verdict.Stops, State: "not recorded", Locks: "no lock on", Needs: "not today", Who: "nobody"}}}),
		"circuits-none":   CircuitsPage(Circuits{Shell: shell, Finding: "0 circuits, 0 of them with a lock on."}),
		"circuit":         CircuitPage(one),
		"circuit-unknown": CircuitPage(unknown),
		"permit": PermitSheetPage(PermitSheet{Shell: shell, Title: "Permit sheet", Over: link("Switchboard section 2", "/circuits/c1"), Name: "Switchboard section 2", State: "Isolated, not tested",
			Stops: []string{"Isolated and not tested. Take it for live."}, Facts: one.Facts, Locks: []CircuitLock{{Who: "Ilango Muthukaruppan", On: "Mon 1 Mar 16:10"}}, Steps: []string{"Find every supply."}, Foot: "As of Tue 2 Mar 10:14, entry 7; circuit c1."}),
	}
}
