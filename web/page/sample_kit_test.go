package page

import (
	"github.com/a-h/templ"

	"rungbook/internal/verdict"
	"rungbook/web/ui"
)

// kitPages are kits, items and quarantines.
func kitPages() map[string]templ.Component {
	shell := sampleShell("yard", "Harness set of six")
	kit := KitSheet{Shell: shell, Name: "Harness set of six", Over: link("Yard", "/"), Line: "Kit, of which there are 4", Level: verdict.Cautions, Answer: "3 of 4 may be used",
		Causes: []StopCause{{Say: "Harness CM-H124 is past its last day since Mon 22 Feb", Back: link("never: it is taken out of use, and another item takes its place", "/items/i24")}},
		Facts:  []ui.Fact{{Label: "How many", Value: link("4", "")}},
		Items: []ItemRow{{Piece: "1", Name: link("Harness CM-H101", "/items/i1"), Says: "full body harness, size S", Last: "Fri 4 May 2035", State: "may be used"},
			{Piece: "4", Name: link("Harness CM-H124", "/items/i24"), Says: "full body harness, size XL", Last: "Sun 21 Feb", Level: verdict.Stops, State: "Harness CM-H124 is past its last day since Mon 22 Feb"}},
		Inspections: sampleInspections(),
		Done:        []InspectionDone{{When: "Mon 4 Jan", What: "Harness in arduous use", Result: "passed", By: "Ngozi Okafor", Note: "a seam to be watched"}},
		Quarantine: QuarantineBox{Note: "Nobody uses it from this moment on.", Field: ui.Field{Name: "why", Label: "What is wrong", Hint: "May be left empty."},
			Form: &ui.Form{Action: "/quarantines", Key: "k1", Button: "Put Harness set of six in quarantine", Grave: true}},
		Quarantines: []QuarantineRow{{Since: link("Mon 1 Feb 10:20", "/quarantines/q1"), By: link("Ngozi Okafor", ""), Why: "a cut seam", Ended: "lifted Tue 2 Feb 14:10 by Ngozi Okafor: sewn anew by its maker"}},
		Actions:     []Action{{Title: "Record an inspection", Form: ui.Form{Action: "/inspections", Key: "k2", Button: "Record the inspection"}, Fields: []ui.Field{{Name: "note", Label: "Note", Kind: ui.Area}}}},
		Do:          []ui.Link{link("Change this kit", "/set-up/kits/k1")}}
	plain := KitSheet{Shell: shell, Name: "Stretcher", Over: link("Yard", "/"), Line: "Kit, of which there are 2", Answer: "2 of 2 may be used", NoItems: "No item of it is on record, so its plain count stands.", Inspections: sampleInspections()}
	kept := plain
	kept.Level, kept.Answer, kept.NoItems = verdict.Stops, "may not be used", ""
	kept.Quarantine = QuarantineBox{In: ui.Notice{Level: verdict.Stops, Text: "Stretcher is in quarantine since Mon 1 Mar 10:20.", Link: link("Open the quarantine", "/quarantines/q2")}}
	stands := QuarantineSheet{Shell: shell, Title: "Quarantine", Of: link("Stretcher", "/kits/k2"), State: ui.Notice{Level: verdict.Stops, Text: "Stretcher is in quarantine. Nobody uses it."},
		Facts: []ui.Fact{{Label: "Since", Value: link("Mon 1 Mar 10:20", "")}}, Sessions: sampleYardPage().Next, Mend: link("Mend these days", "/mend"),
		LiftSay: "An inspection that passes is recorded first.", Inspect: link("Record an inspection", "/kits/k2?do=inspection#change")}
	passedOne := stands
	passedOne.LiftSay, passedOne.Inspect, passedOne.Sessions, passedOne.Mend = "", ui.Link{}, nil, ui.Link{}
	passedOne.Lift = &Action{Title: "Lift the quarantine", Open: true, Form: ui.Form{Action: "/quarantines/q2/lift", Key: "k3", Button: "Lift the quarantine"}, Fields: []ui.Field{{Name: "why", Label: "Why it may be used again", Required: true}}}
	stock := Stock{Shell: sampleShell("yard", "Kits and items"), Finding: "4 of 31 kits and items. 1 may not be used.", Filter: ui.Form{Action: "/kits", Get: true, Button: "Show"},
		Fields: []ui.Field{{Name: "q", Label: "Serial or name, or a part", Kind: ui.Search}, {Name: "state", Label: "State", Kind: ui.Select, Options: []ui.Option{{Label: "All"}, {Value: "overdue", Label: "Overdue (1)"}}}},
		Rows: []StockRow{{Name: link("Harness set of six", "/kits/k1"), Of: "kit", Level: verdict.Cautions, State: "in service", Why: []string{"3 of 4 may be used"}, Due: "Valid through Thu 3 Jun"},
			{Name: link("Harness CM-H101", "/items/i1"), Of: "Harness set of six", Says: "full body harness, size S", State: "in service", With: link("Eluned Vaughan-Prys", "/yard/here/p1/kit"), Since: "Tue 2 Mar 07:21, handed out by Okafor"},
			{Name: link("Harness CM-H124", "/items/i24"), Of: "Harness set of six", Level: verdict.Stops, State: "overdue", Why: []string{"Harness CM-H124 is past its last day since Mon 22 Feb"}},
			{Name: link("CM-L2605", ""), Of: "not on record", Says: "lanyard", Level: verdict.Cautions, State: "not known", Why: []string{"Serial CM-L2605 isn’t on record: its inspection and retirement are not known."}, With: link("Abimbola Salako", "/yard/here/p2/kit"), Since: "Tue 2 Mar 07:22"}}}
	return map[string]templ.Component{"stock": StockPage(stock), "stock-none": StockPage(Stock{Shell: stock.Shell, Finding: "0 of 0 kits and items.", Filter: stock.Filter, None: "Nothing has that serial, name and state."}), "kit": KitSheetPage(kit), "kit-plain": KitSheetPage(plain), "kit-quarantined": KitSheetPage(kept),
		"quarantine": QuarantinePage(stands), "quarantine-lift": QuarantinePage(passedOne)}
}
