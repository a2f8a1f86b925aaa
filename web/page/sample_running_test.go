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
		Figures: []SessionFigure{{What: "Instructors, 1 to 6", Found: "1", Asked: "1"}},
		Also:    []ui.Link{link("The session’s page", "/sessions/s1")},
	}
	runs := waits
	runs.State, runs.Since, runs.Refused, runs.Shut = "under way", "since 08:04", "", waits.Shut[1:]
	runs.Stop = []string{"Rescue cover: 1 rescuer is here"}
	runs.Pause = &RunFold{Title: "Pause…", Form: ui.Form{Action: "/yard/sessions/s1/pause", Key: "k4", Button: "Pause now"}, Fields: []ui.Field{{Name: "reason", Label: "Why", Kind: ui.Select, Options: []ui.Option{{Value: "weather", Label: "weather"}}}}}
	return map[string]templ.Component{"running-waits": RunningPage(waits), "running-runs": RunningPage(runs)}
}
