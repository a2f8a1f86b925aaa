package page

import (
	"github.com/a-h/templ"

	"rungbook/internal/verdict"
	"rungbook/web/ui"
)

// dossierPages are a converted rig's way to service.
func dossierPages() map[string]templ.Component {
	shell := sampleShell("yard", "Conversion dossier of Short tower")
	anchors := link("Anchor load test", "/rigs/r6/dossier/anchor-test")
	way := Dossier{Shell: shell, Over: link("Short tower", "/rigs/r6"),
		State: ui.Notice{Level: verdict.Stops, Word: "In conversion", Text: "2 of 3 points lack accepted evidence. Every booking on its stations stops."},
		Points: []DossierItem{
			{Name: link("Structural sign-off", "/rigs/r6/dossier/structure"), State: "stands until Thu 4 May 2028"},
			{Name: anchors, Level: verdict.Stops, State: "nothing accepted", Waits: "1 paper waits for acceptance.", Do: "somebody who did not put it in looks at the paper and accepts it."},
			{Name: link("Electrical test", "/rigs/r6/dossier/electrical-test"), Level: verdict.Stops, State: "lapsed on Mon 1 Mar 2027"},
		},
		Unlocks: []DossierUnlock{{Station: link("Short tower deck", "/stations/s9"), Exercise: "Ladder climb", Says: "3 outcomes, 1 of them nowhere else; at most 60 places a week"}},
		Gives:   "3 outcomes, 1 of them nowhere else today.",
	}
	paper := EvidencePaper{Title: "Done Mon 22 Feb", Level: verdict.Cautions, State: "waits for acceptance",
		Facts: []ui.Fact{{Label: "Done by", Value: link("Wioletta Brzozowicz", "")}, {Label: "Test load", Value: link("15 kN for 3 minutes each", "")}},
		File:  link("Download the file", "/evidence/e1/file"), Size: "pdf, 212.4 KiB",
		Decide: []Action{{Title: "Accept it", Form: ui.Form{Action: "/evidence/e1/accept", Key: "k1", Button: "Accept it"}}}}
	own := paper
	own.Note, own.Decide = "You put it in: somebody else who answers for a field accepts it.", nil
	form := &EvidenceForm{Open: true, Largest: "10 MB", FileError: "The file is empty. Choose another.",
		Form:   ui.Form{Action: "/rigs/r6/dossier/anchor-test", Key: "k2", Button: "Put it in", Errors: []ui.FieldError{{Field: "file", Text: "The file is empty. Choose another."}}},
		Fields: []ui.Field{{Name: "done", Label: "Done on", Kind: ui.Date, Required: true, Short: true}, {Name: "fact1", Label: "Test load", Required: true}}}
	return map[string]templ.Component{
		"dossier":      DossierPage(way),
		"dossier-none": DossierPage(Dossier{Shell: shell, Over: link("Teaching hall", "/rigs/r4"), State: ui.Notice{Plain: true, Text: "No dossier is asked. It is in service."}}),
		"evidence": EvidencePage(Evidence{Shell: shell, Title: "Anchor load test", Over: link("Conversion dossier of Short tower", "/rigs/r6/dossier"), Holds: "Each anchor with its load.",
			State: ui.Notice{Level: verdict.Stops, Text: "Nothing accepted."}, Papers: []EvidencePaper{paper, own}, Add: form}),
		"evidence-none": EvidencePage(Evidence{Shell: shell, Title: "Fire", Over: link("Conversion dossier of Short tower", "/rigs/r6/dossier"), State: ui.Notice{Level: verdict.Stops, Text: "Nothing accepted."}}),
	}
}
