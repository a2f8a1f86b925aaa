package page

import (
	"github.com/a-h/templ"

	"rungbook/internal/verdict"
	"rungbook/web/ui"
)

// arrivalPages are people coming onto the yard.
func arrivalPages() map[string]templ.Component {
	shell := sampleShell("intakes", "Arrivals")
	note := Action{Title: "Note", Form: ui.Form{Action: "/intakes/i1/arrivals", Key: "k1", Button: "Keep Eluned Vaughan-Prys", Label: "Eluned Vaughan-Prys"},
		Fields: []ui.Field{{ID: "t1-seen", Name: "seen", Label: "Seen", Kind: ui.Checkboxes, Options: []ui.Option{{Value: "identity", Label: "Identity seen, with a picture"}}}}}
	here := YardHere{Shell: sampleShell("yard", "Who is here"), Line: "2 people, Tue 2 Mar 10:14.", Rows: []HereRow{
		{Name: "Ngozi Okafor", Part: "staff", Seen: "in a session since 08:02", Where: link("Open the session", "/sessions/s1")},
		{Name: "Maura Quill", Part: "visitor", Seen: "signed in 09:40", Out: ui.Form{Action: "/yard/here/out", Key: "k2", Button: "Leaves", Unseen: "Maura Quill"}}},
		SignIn: ui.Form{Action: "/yard/here", Key: "k3", Button: "Sign in"}, Fields: []ui.Field{{Name: "visitor", Label: "Or a visitor: name, and whom they visit"}},
		Away:    []AwayKit{{Serial: link("CM-H107", "/items/i7"), With: "Abimbola Salako", Since: "Mon 1 Mar 07:21, handed out by Okafor; not given back by Mon 1 Mar 16:02, says Okafor", Back: link("Take it back", "/yard/here/p2/kit")}},
		Arrives: []ui.Link{link("Windward 3", "/intakes/i1/arrivals")}}
	return map[string]templ.Component{
		"arrivals": ArrivalsPage(Arrivals{Shell: shell, Title: "Arrivals", Over: link("Windward 3", "/intakes/i1"), Finding: "1 of 2 trainees came; of 1 something is missing that stops their sessions.", Rows: []ArrivalRow{
			{Name: link("Eluned Vaughan-Prys", "/people/p1"), State: "came Tue 2 Mar 07:21", Level: verdict.Stops, Lacks: "lacks site induction", Facts: []ui.Fact{{Label: "Identity seen, with a picture", Value: link("Tue 2 Mar 07:21 by Okafor", "")}}, Actions: []Action{note}},
			{Name: link("Abimbola Salako", "/people/p2"), State: "did not come"}}}),
		"arrivals-none": ArrivalsPage(Arrivals{Shell: shell, Title: "Arrivals", Over: link("Windward 3", "/intakes/i1"), Finding: "0 of 0 trainees came."}),
		"leaves": PersonKitPage(PersonKit{Shell: sampleShell("yard", "Eluned Vaughan-Prys leaves"), Title: "Eluned Vaughan-Prys leaves", Over: link("Who is here", "/yard/here"), Line: "Say of each piece what became of it.",
			Form: ui.Form{Action: "/yard/here/p1/kit", Key: "k4", Button: "Keep this and sign them out"}, Other: link("They stay: take kit back only", "/yard/here/p1/kit"), Pieces: []KitBack{
				{Name: link("CM-L2605", ""), Since: "Out since Tue 2 Mar 07:21, handed out by Okafor.", Caution: "Serial CM-L2605 isn’t on record: its inspection and retirement are not known.",
					Fields: []ui.Field{{Name: "how.t1.0", Label: "What became of CM-L2605", Kind: ui.Radio, Options: []ui.Option{{Value: "fit", Label: "Taken back, fit", Note: "Looked over by hand and eye; that is no inspection."}, {Value: "not-given-back", Label: "Not given back"}}}, {Name: "found.t1.0", Label: "What was found on CM-L2605"}}}}}),
		"kit-of-none": PersonKitPage(PersonKit{Shell: sampleShell("yard", "Kit of Okafor"), Title: "Kit of Okafor", Over: link("Who is here", "/yard/here"), None: "Nothing is out with Okafor.", Other: link("In a session by its roll: they leave once it says so", "")}),
		"here":        YardHerePage(here),
		"here-none":   YardHerePage(YardHere{Shell: here.Shell, Line: "0 people, Tue 2 Mar 10:14."}),
	}
}
