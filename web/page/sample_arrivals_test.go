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
		Arrives: []ui.Link{link("Windward 3", "/intakes/i1/arrivals")}}
	return map[string]templ.Component{
		"arrivals": ArrivalsPage(Arrivals{Shell: shell, Title: "Arrivals", Over: link("Windward 3", "/intakes/i1"), Finding: "1 of 2 trainees came; of 1 something is missing that stops their sessions.", Rows: []ArrivalRow{
			{Name: link("Eluned Vaughan-Prys", "/people/p1"), State: "came Tue 2 Mar 07:21", Level: verdict.Stops, Lacks: "lacks site induction", Facts: []ui.Fact{{Label: "Identity seen, with a picture", Value: link("Tue 2 Mar 07:21 by Okafor", "")}}, Actions: []Action{note}},
			{Name: link("Abimbola Salako", "/people/p2"), State: "did not come"}}}),
		"arrivals-none": ArrivalsPage(Arrivals{Shell: shell, Title: "Arrivals", Over: link("Windward 3", "/intakes/i1"), Finding: "0 of 0 trainees came."}),
		"here":          YardHerePage(here),
		"here-none":     YardHerePage(YardHere{Shell: here.Shell, Line: "0 people, Tue 2 Mar 10:14."}),
	}
}
