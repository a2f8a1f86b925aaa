package page

import (
	"rungbook/internal/verdict"
	"rungbook/web/ui"
)

func sampleAttention() Attention {
	return Attention{
		Shell: sampleShell("attention", "Needs attention"), Finding: "1 finding stops 2 sessions, 2 wait for a word, 1 is not signed.",
		Notices: []ui.Notice{{Level: verdict.Stops, Word: "Overdue", Text: "Appeal of Mon 1 Mar: decision was due by Fri 26 Feb.", Link: link("Open the appeal", "/complaints/c1")}},
		Broken: []AttentionBroken{{Finding: sampleFinding(), Sessions: []AttentionSession{
			{When: "Wed 3 Mar 08:00–11:30", Exercise: link("Harness basics", "/sessions/s8"), Where: "Deck 9 south", People: "6 trainees with Okafor", State: "booked", Step: link("Move", "/sessions/s8/move")},
			{When: "Thu 4 Mar 08:00–11:30", Exercise: link("Casualty lowering", "/sessions/s12"), Where: "Deck 9 south", People: "4 trainees with Lindqvist", State: "booked", Step: link("Move", "/sessions/s12/move")},
		}}},
		Waiting: []AttentionField{
			{Name: "Height and rescue", Who: "Ngozi Okafor or Henrik Lindqvist accepts.", Yours: true, Sessions: []AttentionSession{
				{When: "Fri 5 Mar 13:00–16:30", Exercise: link("Ladder rescue", "/sessions/s21"), Where: "Ladder bay", People: "4 trainees with Adeyemi", State: "pencilled", Why: []string{"Rescue plan of Ladder bay is due for review by Mon 15 Mar"}, Step: link("Accept or leave", "/sessions/s21")},
			}},
			{Name: "Planning", Who: "An administrator accepts.", Sessions: []AttentionSession{
				{When: "Sat 6 Mar 08:00–10:00", Exercise: link("Pitch pump", "/sessions/s22"), Where: "Hydraulics", People: "4 trainees with Ferreira", State: "pencilled", Why: []string{"Ferreira has times on 12 days in a row from Mon 22 Feb"}},
			}},
		},
		Dossiers: []AttentionDossier{{Rig: link("Short tower", "/rigs/r6/dossier"), Says: "In conversion: 1 of 9 points lacks accepted evidence. Every booking on its stations stops.", Points: []DossierItem{
			{Name: link("Anchor load test", "/rigs/r6/dossier/anchor-test"), Level: verdict.Stops, State: "nothing accepted", Waits: "1 paper waits for acceptance."},
			{Name: link("Fire", "/rigs/r6/dossier/fire"), Level: verdict.Cautions, State: "stands until Fri 2 Apr, in 31 days"},
		}}},
		Unsigned: []AttentionSession{
			{When: "Mon 1 Mar 13:00–15:00", Exercise: link("Lockout practice", "/sessions/s3"), Where: "Electrical control", People: "5 trainees with Okafor", State: "booked", Step: link("Open to sign", "/sessions/s3")},
		},
	}
}
