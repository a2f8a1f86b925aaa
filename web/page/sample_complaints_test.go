package page

import (
	"github.com/a-h/templ"

	"rungbook/internal/verdict"
	"rungbook/web/ui"
)

// complaintPages are complaints and appeals, filed, written down, listed and decided.
func complaintPages() map[string]templ.Component {
	shell := sampleShell("certificates", "Complaints and appeals")
	kind := ui.Field{Name: "kind", Label: "What is it?", Kind: ui.Radio, Options: []ui.Option{{Value: "appeal", Label: "An appeal", Note: "to be looked at again"}, {Value: "complaint", Label: "A complaint"}}}
	words := ui.Field{Name: "text", Label: "What happened, and what you ask for", Kind: ui.Area, Required: true, Error: "Write what it is about."}
	said := []ComplaintSaid{{What: "What was filed", Text: "Found not yet competent,\nthough the instructor was called away."}, {What: "Answer", When: "Fri 19 Feb 11:00", Text: "Your appeal is here."}}
	next := Action{Title: "Decide it", Note: "A decision closes the appeal.", Form: ui.Form{Action: "/complaints/c1/decide", Key: "k1", Button: "Decide this appeal", Hidden: []ui.Value{{Name: "rev", Value: "3"}}},
		Fields: []ui.Field{{Name: "outcome", ID: "decide-outcome", Label: "What is decided", Kind: ui.Radio, Options: []ui.Option{{Value: "upheld", Label: "Upheld"}, {Value: "not-upheld", Label: "Not upheld"}}}}}
	again := Action{Title: "Open it again", Form: ui.Form{Action: "/complaints/c1/again", Key: "k2", Button: "Open this appeal again"}}
	one := Complaint{Shell: shell, Title: "Appeal of Mon 1 Mar", Over: link("Complaints and appeals", "/complaints"), Line: "Answered.", Voice: true,
		Notices: []ui.Notice{{Level: verdict.Stops, Word: "Overdue", Text: "Decision was due by Fri 26 Feb."}},
		Facts:   []ui.Fact{{Label: "Received", Value: link("Mon 1 Mar 2027", "")}, {Label: "Against", Value: link("What was found: Ladder climb", "/sessions/s1")}}, Said: said,
		Parts: []ui.Fact{{Label: "Ngozi Okafor", Value: link("they answered it", "")}}, Next: &next, Decides: "Astrid Lindqvist may decide it.", Also: []Action{again},
		Steps: []CertificateStep{{When: "Tue 2 Mar 10:14", What: "answered", By: "by Ngozi Okafor"}}}
	shut := Complaint{Shell: shell, Title: "Appeal of Mon 1 Mar", Over: link("Complaints and appeals", "/complaints"), Line: "Upheld in part.", Facts: one.Facts, Hidden: "What it says is for those who handle complaints.",
		Wait: "It waits for those who had no part in it.", After: []ui.Link{link("Correct what was found", "/sessions/s1/trainees/t1/correct")}}
	list := Complaints{Shell: shell, Finding: "1 complaint or appeal is open; 1 overdue.", Do: []ui.Link{link("Write down one that came", "/complaints/came"), link("My own", "/complaints/mine")}, Chosen: "Upheld in 2027",
		Open:   []ComplaintRow{{What: link("Appeal of Mon 1 Mar", "/complaints/c1"), Against: "a result", Received: "Mon 1 Mar 2027", State: "received", Level: verdict.Stops, Due: "first answer was due by Mon 8 Mar"}},
		Closed: []ComplaintRow{{What: link("Complaint of Tue 2 Feb", "/complaints/c2"), Against: "told in words", Received: "Tue 2 Feb 2027", State: "not upheld", Due: "Mon 1 Mar"}},
		Heads:  []string{"Received", "Decided"}, Years: []ComplaintYear{{Year: "2027", Cells: []ui.Link{link("2", "/complaints?year=2027&of=received"), link("0", "")}}}}
	return map[string]templ.Component{
		"complaints": ComplaintsPage(list), "complaints-none": ComplaintsPage(Complaints{Shell: shell, Finding: "Nothing is open."}),
		"complaint": ComplaintPage(one), "complaint-shut": ComplaintPage(shut),
		"own-complaints": OwnComplaintsPage(OwnComplaints{Shell: shell, Over: link("My path", "/path"), Do: []ui.Link{link("Complain or appeal", "/complaints/new")},
			List: []OwnComplaint{{Title: "Appeal of Mon 1 Mar", State: "Answered. Decision by Mon 29 Mar.", Facts: one.Facts, Said: said}}}),
		"own-complaints-none": OwnComplaintsPage(OwnComplaints{Shell: shell, Over: link("My path", "/path")}),
		"complaint-form": ComplaintFormPage(ComplaintForm{Shell: shell, Title: "Complain or appeal", Over: link("My complaints and appeals", "/complaints/mine"), Line: "It is answered.", Note: "It stands under your name.",
			Form: ui.Form{Action: "/complaints/new", Key: "k3", Button: "File it", Errors: []ui.FieldError{{Field: "text", Text: "Write what it is about."}}}, Groups: []FieldGroup{{Fields: []ui.Field{kind, words}}}}),
	}
}
