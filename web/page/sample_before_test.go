package page

import (
	"github.com/a-h/templ"

	"rungbook/web/ui"
)

// beforePages are what is done at the rig before a session.
func beforePages() map[string]templ.Component {
	over := link("Harness basics", "/yard/sessions/s1")
	item := func(name, label string) ui.Field {
		return ui.Field{Name: name, Label: label, Kind: ui.Radio, Options: []ui.Option{{Value: "passed", Label: "Passes"}, {Value: "failed", Label: "Fails"}}}
	}
	check := Before{Shell: sampleShell("yard", "Check before use"), Title: "Check before use", Over: over, Line: "Look at each item of station and kit, by hand and eye.",
		Now: "The check before use failed: Deck 14 north.", Stops: []string{"Deck 14 north: anchors. One is bent."},
		Press:  []ui.Form{{Action: "/stations/d14n/shut", Key: "k1", Grave: true, Button: "Shut Deck 14 north now"}},
		Form:   ui.Form{Action: "/yard/sessions/s1/pre-use", Key: "k2", Button: "Keep the check"},
		Groups: []FieldGroup{{Title: "Deck 14 north", Fields: []ui.Field{item("i1", "Anchors: no movement, crack or rust that is new"), item("i2", "Nothing loose that can fall"), {Name: "note.d", Label: "What is wrong", Hint: "Only where something fails."}}}},
		Photos: &Photos{Kept: []PhotoKept{{File: link("Photo of Deck 14 north (240 kB)", "/sessions/s1/photos/ab"), By: "Ngozi Okafor, Tue 2 Mar 08:12"}},
			Form: ui.Form{Action: "/yard/sessions/s1/photo", Key: "k4", Button: "Keep the photo", Label: "Add a photo"}, Of: ui.Field{Name: "of", Label: "What it shows", Kind: ui.Select, Options: []ui.Option{{Label: "Choose"}}}, Largest: "10 MB"}}
	brief := Before{Shell: sampleShell("yard", "Rescue brief"), Title: "Rescue brief", Over: over, Line: "Say aloud who does what.", Now: "The rescue brief is not held.",
		Read: []ui.Fact{{Label: "Plan", Value: ui.Link{Text: "Tower, version 3"}}}, Steps: []string{"Stop the work.", "Reach the casualty."},
		Form:   ui.Form{Action: "/yard/sessions/s1/rescue-brief", Key: "k3", Button: "The brief is held"},
		Groups: []FieldGroup{{Title: "Who does what", Fields: []ui.Field{{Name: "leads", Label: "Leads the rescue", Kind: ui.Select, Options: []ui.Option{{Label: "Choose"}, {Value: "p1", Label: "Ngozi Okafor"}}}}}},
		Also:   []ui.Link{link("Rescue card", "/sessions/s1/rescue-card")}}
	return map[string]templ.Component{"before-check": BeforePage(check), "before-brief": BeforePage(brief)}
}
