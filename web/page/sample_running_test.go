package page

import (
	"github.com/a-h/templ"

	"rungbook/web/ui"
)

// runningPages are a session at the rig.
func runningPages() map[string]templ.Component {
	shell := sampleShell("yard", "Harness basics at the rig")
	waits := Running{
		Shell: shell, Title: "Harness basics", Over: link("My day", "/yard"), Line: "08:00–11:30 · Deck 14 north, Tower platform", State: "booked",
		Refused: "Not started: what stands below is missing.",
		Shut:    []RunGate{{Text: "The roll is not called", Required: "who is here, by name", Mend: link("Call the roll", "#roll")}, {Text: "No wind was read"}},
		Stands:  []RunGate{{Text: "It is booked"}},
		Do:      []ui.Form{{Action: "/yard/sessions/s1/start", Key: "k1", Button: "Start the session"}},
		Roll: &RunRoll{Form: ui.Form{Action: "/yard/sessions/s1/roll", Key: "k2", Button: "Keep the roll"}, At: ui.Field{Name: "at", Label: "At", Kind: ui.Time, Value: "08:02", Short: true},
			Groups: []RunGroup{{"Instructors", []RunPerson{{Name: "Ngozi Okafor", Value: "instructor:p1", ID: "here-1", Here: true, Note: "came 08:02"}}},
				{"Trainees", []RunPerson{{Name: "Abimbola Salako", Value: "trainee:t1", ID: "here-2"}}}},
			Add: &RunFold{Title: "Somebody else…", Form: ui.Form{Action: "/yard/sessions/s1/swap", Key: "k3", Button: "Add them"}, Fields: []ui.Field{{Name: "person", Label: "Who", Kind: ui.Select, Options: []ui.Option{{Value: "p2", Label: "Ivo Lindqvist"}}}}}},
		Counted: "As run now",
		Figures: []SessionFigure{{What: "Instructors, 1 to 6", Found: "1", Asked: "1"}},
		Also:    []ui.Link{link("The session’s page", "/sessions/s1")},
	}
	waits.Queue = "s1"
	waits.NoSignal = &RunFold{Title: "No signal: start after the yard said yes by voice…", Form: ui.Form{Action: "/yard/sessions/s1/start", Key: "k5", Button: "Started"}, Fields: []ui.Field{{Name: "voice", Label: "Whom you reached", Kind: ui.Text}}}
	waits.Shell.Phone = &ui.Phone{Account: "a1", Who: "Ngozi Okafor", Zone: "Europe/Dublin", Now: "30000000", Clock: "08:02"}
	runs := waits
	runs.Unseen = "Started without sight of the yard since 08:02; Gate house was reached by voice at 08:05. What did not stand then: roll."
	runs.State, runs.Since, runs.Refused, runs.Shut = "under way", "since 08:04", "", waits.Shut[1:]
	runs.Stop = []string{"Rescue cover: 1 rescuer is here"}
	runs.Pause = &RunFold{Title: "Pause…", Form: ui.Form{Action: "/yard/sessions/s1/pause", Key: "k4", Button: "Pause now"}, Fields: []ui.Field{{Name: "reason", Label: "Why", Kind: ui.Select, Options: []ui.Option{{Value: "weather", Label: "weather"}}}}}
	note := RunTrainee{Shell: sampleShell("yard", "Abimbola Salako in Harness basics"), Title: "Abimbola Salako", Over: link("Harness basics", "/yard/sessions/s1"),
		Form: ui.Form{Action: "/yard/sessions/s1/trainees/t1", Key: "k1", Button: "Keep the results"},
		Outcomes: []RunOutcome{{"Checks a harness", ui.Field{Name: "result-o1", Label: "Found", Kind: ui.Select, Error: "Say what was found.", Options: []ui.Option{{Value: "competent", Label: "competent"}}},
			ui.Field{Name: "how-o1", Label: "By", Kind: ui.Select, Options: []ui.Option{{Value: "watched", Label: "watched"}}}, ui.Field{Name: "score-o1", Label: "Score of a written test", Kind: ui.Number, Unit: "%"}}},
		Remark: ui.Field{Name: "remark", Label: "Remark", Kind: ui.Area},
		Sign:   &RunCountersign{Found: []string{"Checks a harness: competent, watched"}, Form: ui.Form{Action: "/yard/sessions/s1/trainees/t1/countersign", Key: "k2", Button: "Countersign"}, Code: ui.Field{Name: "code", Label: "Own code", Kind: ui.Password}, Forgot: link("The trainee forgot their code", "/sessions/s1/trainees/t1/own-code"), Proves: "It proves that the code was known."},
		Draw:   &RunDraw{Form: ui.Form{Action: "/yard/sessions/s1/trainees/t1/countersign-drawn", Key: "k3", Button: "Countersign with this signature", Label: "Countersign by hand"}, Label: "Signature of Dag Orvell", Box: "0 0 600 200"},
		Next:   link("All trainees, and the signature", "/yard/sessions/s1/sign")}
	done := note
	done.Note, done.Sign = "It is signed off.", &RunCountersign{Done: "Countersigned Tue 2 Mar 11:32, signature drawn", Drawn: &RunDrawn{Box: "0 0 600 200", Lines: []string{"10,10 80,90 200,40"}}, Proves: "It proves that the code was known."}
	sign := RunSign{Shell: sampleShell("yard", "Sign Harness basics"), Title: "Results and signature", Over: link("Harness basics", "/yard/sessions/s1"), Refused: "Not signed: something is missing.",
		Missing: waits.Shut[1:], Trainees: []RunSigned{{link("Abimbola Salako", "/yard/sessions/s1/trainees/t1"), "competent 1 of 1 outcome", "3 h 15 credited"}},
		Form: &ui.Form{Action: "/yard/sessions/s1/sign", Key: "k1", Button: "Sign and close"}, Fields: []ui.Field{{Name: "as", Label: "How it went", Kind: ui.Radio, Options: []ui.Option{{Value: "signed-off", Label: "Signed off"}}}}}
	sheet := RunSheet{Shell: sampleShell("yard", "Type up Harness basics"), Title: "Type up the day sheet", Over: link("Harness basics", "/sessions/s1"), Line: "Tue 2 Mar 08:00–11:30",
		Form: ui.Form{Action: "/yard/sessions/s1/type-up", Key: "k1", Button: "Keep the sheet"}, Times: []ui.Field{{Name: "began", Label: "Began", Kind: ui.Time}},
		People: []RunSheetPerson{{"Abimbola Salako", "trainee", ui.Field{Name: "came-trainee-t1", Label: "Came", Kind: ui.Time}, ui.Field{Name: "left-trainee-t1", Label: "Left", Kind: ui.Time}}},
		Stated: ui.Field{Name: "stated", Label: "The sheet", Kind: ui.Checkboxes, Options: []ui.Option{{Value: "yes", Label: "says that everything stood"}}}}
	return map[string]templ.Component{"running-sheet": RunSheetPage(sheet), "running-note": RunTraineePage(note), "running-noted": RunTraineePage(done), "running-sign": RunSignPage(sign), "running-waits": RunningPage(waits), "running-runs": RunningPage(runs)}
}
