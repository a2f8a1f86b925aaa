package page

import (
	"github.com/a-h/templ"

	"rungbook/internal/verdict"
	"rungbook/web/chart"
	"rungbook/web/ui"
)

// draftPages are the pages on which an administrator plans and mends.
func draftPages() map[string]templ.Component {
	empty, refused := samplePlanning(), samplePlanning()
	empty.Drafts = nil
	refused.Until.Error = "The window ends before it begins. Give a day from Mon 8 Mar."
	refused.Form.Errors = ui.Errors([]ui.Field{refused.Until})
	refused.Trainees = &ui.Field{Name: "trainee", Label: "Trainees", Kind: ui.Checkboxes, Options: []ui.Option{
		{Value: "t1", Label: "Maeve Ó Ceallaigh", Note: "7 exercises to plan", Chosen: true}, {Value: "t2", Label: "Theodoropoulou-Vandenbergh, Anastasia", Note: "nothing left to plan", Shut: true}}}
	bare, stopped := sampleMend(), sampleDraft()
	bare.Losses, bare.Hit, bare.Days, bare.Board, bare.Drafts, bare.Repair = nil, nil, nil, Week{}, nil, ui.Form{}
	bare.Finding = "Nothing is lost."
	stopped.State, stopped.Why = "stopped", ui.Notice{Level: verdict.Cautions, Text: "The server was restarted while it searched. This is the best it had found; run it again for a better one."}
	accepted := sampleDraft()
	accepted.State, accepted.Accept, accepted.Discard, accepted.Unplaced = "accepted", ui.Link{}, ui.Form{}, nil
	accepted.Told.Note, accepted.Told.Form = "", ui.Form{Action: "/drafts/dr1/told", Key: "k5", Button: "Save who was told"}
	return map[string]templ.Component{
		"plan": PlanningPage(samplePlanning()), "plan-empty": PlanningPage(empty), "plan-refused": PlanningPage(refused),
		"draft": DraftPage(sampleDraft()), "draft-stopped": DraftPage(stopped), "draft-accepted": DraftPage(accepted),
		"draft-queued": DraftPage(sampleLive("queued")), "draft-searching": DraftPage(sampleLive("searching")),
		"draft-accept": DraftAcceptPage(sampleAccept()), "draft-changed": DraftChangedPage(sampleChanged()), "draft-compare": DraftComparePage(sampleCompare()),
		"draft-why": DraftWhyPage(DraftWhy{Shell: sampleShell("plan", "Why Blade repair has no place"), Title: "Why Blade repair has no place", Over: link("27-03 Norrvind Drift", "/drafts/dr1"), Trainee: link("Maeve Ó Ceallaigh", "/people/p31"),
			Answer: "2 causes together keep it out.", Causes: []string{"Available: Casademont is away from Mon 15 Mar", "Qualified: nobody else may teach it"}, Fits: "With both lifted it fits Tue 16 Mar 08:00 on Upper face.", Limit: "15 days were searched."}),
		"mend": MendPage(sampleMend()), "mend-none": MendPage(bare),
	}
}

func sampleDraftRows() []DraftRow {
	return []DraftRow{
		{Name: link("27-03 Norrvind Drift", "/drafts/dr2"), State: "searching", Window: "Mon 8 – Fri 26 Mar", Found: "80 of 84 placed", Better: "at most 4.2 % better is possible", Made: "today 10:13 by Brennan"},
		{Name: link("27-03 Norrvind Drift", "/drafts/dr1"), State: "done", Window: "Mon 8 – Fri 26 Mar", Found: "84 of 84 placed", Better: "at most 1.9 % better is possible", Made: "today 10:04 by Brennan"},
		{Name: link("27-02 Skarvøy, 27-04 Pentland", "/drafts/dr0"), State: "discarded", Window: "Mon 1 – Fri 12 Mar", Found: "120 of 131 placed", Better: "at most 8 % better is possible", Made: "Fri 26 Feb 16:40 by Brennan"},
	}
}

func samplePlanning() Planning {
	wish := func(name, label string) ui.Field {
		return ui.Field{Name: name, Label: label, Kind: ui.Radio, Options: []ui.Option{{Value: "little", Label: "little"}, {Value: "middle", Label: "middle", Chosen: true}, {Value: "much", Label: "much"}}}
	}
	return Planning{
		Shell: sampleShell("plan", "Plan an intake"), Finding: "1 draft is searched, 1 waits for a decision.",
		Form: ui.Form{Action: "/plan", Key: "k1", Button: "Start the search"},
		Intakes: ui.Field{Name: "intake", Label: "Intakes", Kind: ui.Checkboxes, Options: []ui.Option{
			{Value: "i3", Label: "27-03 Norrvind Drift", Note: "12 trainees, 84 exercises to plan · Tower technician · Mon 8 – Fri 26 Mar", Chosen: true},
			{Value: "i4", Label: "27-04 Pentland", Note: "nothing left to plan", Shut: true}}},
		From:    ui.Field{Name: "from", Label: "From", Kind: ui.Date, Value: "2027-03-08", Required: true, Short: true},
		Until:   ui.Field{Name: "until", Label: "Until", Kind: ui.Date, Value: "2027-03-26", Required: true, Short: true},
		Wishes:  []ui.Field{wish("soon", "Finish soon"), wish("days", "Few days for each trainee"), wish("staff", "Spare the staff")},
		Seconds: ui.Field{Name: "seconds", Label: "How long to search", Kind: ui.Select, Short: true, Options: []ui.Option{{Value: "10", Label: "10 s"}, {Value: "60", Label: "60 s", Chosen: true}}},
		Drafts:  sampleDraftRows(),
	}
}

func sampleGap() *DraftGap {
	looks := []chart.Look{{Steps: 0, Cost: 9_400_000, Bound: 96_000}, {Steps: 4_000, Cost: 151_200, Bound: 118_000}, {Steps: 10_000, Cost: 138_900, Bound: 126_000}, {Steps: 22_000, Cost: 134_210, Bound: 129_600}, {Steps: 40_000, Cost: 133_480, Bound: 130_900}}
	return &DraftGap{Finding: "At most 1.9 % better is possible.", Scale: "Points. The scale runs from 125 000 to 140 000, not from 0; what lies beyond stands at its edge.",
		Say: "Cost 133 480 and bound 130 900 after 40 000 steps", Wide: chart.NewGap(looks, 560), Narrow: chart.NewGap(looks, 288),
		Heads: []ui.Column{{Head: "Steps", Num: true}, {Head: "Cost", Unit: "points", Num: true}, {Head: "Bound", Unit: "points", Num: true}, {Head: "Not placed", Num: true}},
		Rows:  [][]string{{"0", "9 400 000", "96 000", "9"}, {"40 000", "133 480", "130 900", "0"}}}
}

func sampleDraft() Draft {
	week := sampleWeek()
	week.Title, week.Finding = "Week 9, Mon 1 – Sat 6 Mar 2027", "9 sessions proposed, 1 moves, beside 24 that stand."
	cell := &week.Rigs[0].Stations[0].Cells[2]
	proposed := sampleSession("Deck 14 north", "Wed 3 Mar", "2|proposed|13:00–16:30|Casualty lowering|6/8|Lindqvist")
	proposed.Href, proposed.Change = "#change-n1", "new"
	cell.Sessions = append(cell.Sessions, proposed)
	moved := sampleSession("Deck 9 north", "Thu 4 Mar", "3|proposed|08:00–11:30|Ladder rescue|4/6|Lindqvist")
	moved.Href, moved.Change = "#change-m1", "moves from Wed 3 Mar 13:00"
	left := sampleSession("Deck 9 north", "Wed 3 Mar", "2|given up|13:00–16:30|Ladder rescue|4/6|Lindqvist")
	left.Href, left.Change = "#change-m1", "moves to Thu 4 Mar 08:00"
	deck := week.Rigs[0].Stations[1].Cells
	deck[3].Sessions = append([]BoardSession{moved}, deck[3].Sessions...)
	deck[2].Sessions = []BoardSession{left}
	return Draft{
		Shell: sampleShell("plan", "Draft: 27-03 Norrvind Drift"), Name: "27-03 Norrvind Drift", Over: link("Drafts", "/plan"), State: "done", Found: true,
		Line:    "For Mon 8 – Fri 26 Mar, made Tue 2 Mar 10:04 by Siobhán Brennan",
		Verdict: "80 of 84 exercises are placed, in 31 sessions; 4 are not.", Better: "At most 1.9 % better is possible.", Level: verdict.Cautions,
		Accept: link("Accept …", "/drafts/dr1/accept"), Discard: ui.Form{Action: "/drafts/dr1/discard", Key: "k2", Button: "Discard", Grave: true},
		Figures: sampleFigures(),
		Unplaced: []DraftUnplaced{{Exercise: "Blade repair, leading edge", Who: []DraftNeed{{link("Maeve Ó Ceallaigh", "/people/p31"), link("Why?", "/drafts/dr1/why?trainee=t1&exercise=e1")}, {link("Anastasia Theodoropoulou-Vandenbergh", "/people/p32"), link("Why?", "/drafts/dr1/why?trainee=t2&exercise=e1")}},
			Why:    []string{"nobody who may teach it is here after Fri 12 Mar"},
			Clears: []string{"Casademont at the yard on one of the days from Mon 15 Mar", "one more person who may teach it"}}},
		Board: week,
		Changes: []DraftChanges{
			{Title: "Moves (1)", Open: true, Rows: []DraftChange{{ID: "change-m1", When: "Thu 4 Mar 08:00–11:30", Exercise: link("Ladder rescue", "/sessions/s9"), Where: "Deck 9 north", People: "4 trainees with Lindqvist", Was: []string{"until now Wed 3 Mar 13:00–16:30"}}}},
			{Title: "New (31)", Rows: []DraftChange{{ID: "change-n1", When: "Wed 3 Mar 13:00–16:30", Exercise: ui.Link{Text: "Casualty lowering"}, Where: "Deck 14 north", People: "6 trainees with Lindqvist"}}},
		},
		Told: DraftTold{Line: "3 people, 1 of them told.", Note: "They are told once the draft is accepted.", Rows: []DraftPerson{
			{ID: "p31", Name: link("Maeve Ó Ceallaigh", "/people/p31"), Before: []string{"Wed 3 Mar 13:00–16:30 Ladder rescue, Deck 9 north"}, After: []string{"Thu 4 Mar 08:00–11:30 Ladder rescue, Deck 9 north"}},
			{ID: "p32", Name: link("Anastasia Theodoropoulou-Vandenbergh", "/people/p32"), After: []string{"Wed 3 Mar 13:00–16:30 Casualty lowering, Deck 14 north", "Fri 5 Mar 08:00–11:30 Pitch pump, Hydraulics"}},
			{ID: "p2", Name: link("Henrik Lindqvist", "/people/p2"), After: []string{"Thu 4 Mar 08:00–11:30 Ladder rescue, Deck 9 north"}, Told: "Tue 2 Mar 10:20, by Brennan"}}},
		Search: DraftSearch{Gap: sampleGap(), Again: ui.Form{Action: "/drafts/dr1/again", Key: "k3", Button: "Run it again"}, Note: "The same problem, seed and effort give the same plan to the byte.",
			Facts: []ui.Fact{{Label: "Cost", Value: ui.Link{Text: "133 480 points"}}, {Label: "Bound", Value: ui.Link{Text: "130 900 points"}}, {Label: "Seed", Value: ui.Link{Text: "1"}}, {Label: "Problem", Value: ui.Link{Text: "2f5c1d0b7a6e48e3"}}}},
		Others: []ui.Link{link("27-02 Skarvøy, made Fri 26 Feb 16:40", "/drafts/dr1/against/dr0")},
	}
}

func sampleFigures() []DraftFigure {
	return []DraftFigure{
		{Label: "Days per trainee", Value: "4.2, at most 6", Heads: []ui.Column{{Head: "Trainee"}, {Head: "Days", Num: true}}, Rows: []DraftFigureRow{{Name: link("Maeve Ó Ceallaigh", "/people/p31"), Cells: []string{"6"}}}},
		{Label: "Staff hours", Value: "118.5 h", Note: "Set-up and strike are counted.", Heads: []ui.Column{{Head: "Person"}, {Head: "Hours", Unit: "h", Num: true}, {Head: "Sessions", Num: true}}, Rows: []DraftFigureRow{{Name: link("Henrik Lindqvist", "/people/p2"), Cells: []string{"42.5", "9"}}}},
		{Label: "Last day", Value: "Tue 23 Mar", Heads: []ui.Column{{Head: "Intake"}, {Head: "Last session"}}, Rows: []DraftFigureRow{{Name: link("27-03 Norrvind Drift", "/intakes/i3"), Cells: []string{"Tue 23 Mar"}}}},
		{Label: "Use of stations", Value: "41 % of open hours", Heads: []ui.Column{{Head: "Station"}, {Head: "Used", Unit: "h", Num: true}, {Head: "Open", Unit: "h", Num: true}}, Rows: []DraftFigureRow{{Name: link("Deck 14 north", "/stations/d14n"), Cells: []string{"61.0", "135.0"}}}},
	}
}

func sampleLive(state string) Draft {
	d := Draft{Shell: sampleShell("plan", "Draft: 27-03 Norrvind Drift"), Name: "27-03 Norrvind Drift", Over: link("Drafts", "/plan"), State: state,
		Line: "For Mon 8 – Fri 26 Mar, made Tue 2 Mar 10:13 by Siobhán Brennan", Discard: ui.Form{}}
	d.Shell.Reload = "3"
	d.Live = &DraftLive{Follow: "/drafts/dr2/progress", Note: "Others may look on. You may leave this page; the search goes on.",
		Stop: ui.Form{Action: "/drafts/dr2/stop", Key: "k4", Button: "Stop and keep the best so far"}}
	d.Live.Never = []DraftUnplaced{{Exercise: "Fault finding, cabinet", Never: true, Who: []DraftNeed{{Name: link("Maeve Ó Ceallaigh", "/people/p31")}}, Why: []string{"No station that it could run on is open in these days"}}}
	if state == "queued" {
		d.Live.Look = DraftLook{Say: "Waits: one other search is before it."}
		return d
	}
	gap := sampleGap()
	gap.Rows = nil
	d.Live.Look = DraftLook{Say: "Searching, 12 of 60 s", Done: "12", Of: "60", Placed: "80 of 84 exercises are placed.", Gap: gap,
		Facts: []ui.Fact{{Label: "Cost", Value: ui.Link{Text: "133 480 points"}}, {Label: "Bound", Value: ui.Link{Text: "130 900 points"}}}}
	return d
}

func sampleAccept() DraftAccept {
	return DraftAccept{Shell: sampleShell("plan", "Accept 27-03 Norrvind Drift"), Name: "27-03 Norrvind Drift", Over: link("Draft", "/drafts/dr1"), Line: "Mon 8 – Fri 26 Mar",
		Says: []string{"31 sessions are booked.", "1 session moves.", "4 exercises stay without a place."}, People: "17 people are concerned: 12 trainees and 5 staff. Nobody is told by this; who was told is ticked afterwards.",
		Form: ui.Form{Action: "/drafts/dr1/accept", Key: "k6", Button: "Book 31 sessions and move 1"}, Back: link("Back to the draft", "/drafts/dr1")}
}

func sampleChanged() DraftChanged {
	return DraftChanged{Shell: sampleShell("plan", "Not accepted"), Name: "27-03 Norrvind Drift", Over: link("Draft", "/drafts/dr1"), Line: "Judged Tue 2 Mar 10:14",
		Says: []string{"Wed 3 Mar 13:00–16:30 Ladder rescue was stood down."}, Findings: []ui.Finding{sampleFinding()},
		Again: link("Plan it anew", "/plan?intakes=i3"), Back: link("Back to the draft", "/drafts/dr1")}
}

func sampleCompare() DraftCompare {
	rows := sampleDraftRows()
	return DraftCompare{Shell: sampleShell("plan", "Two drafts compared"), Over: link("Drafts", "/plan"), Line: "A places more; B spares the staff.", A: rows[1], B: rows[2],
		Figures: []DraftAgainst{{Label: "Placed", A: "84 of 84", B: "80 of 84", Better: "A"}, {Label: "Staff hours", A: "118.5 h", B: "110.0 h", Better: "B"}, {Label: "Last day", A: "Tue 23 Mar", B: "Tue 23 Mar"}},
		Needs:   []DraftNeeds{{Title: "Placed only in A (2)", Lines: []string{"Pitch pump: Maeve Ó Ceallaigh and Bo Dahl"}}}, Same: "30 sessions are the same in both.",
		Pairs: []DraftPair{{Exercise: "Casualty lowering", A: []string{"Wed 3 Mar 13:00–16:30, Deck 14 north", "6 trainees with Lindqvist"}}}}
}

func sampleMend() Mend {
	attention, board := sampleAttention(), sampleDraft().Board
	for _, r := range board.Rigs {
		for _, s := range r.Stations {
			for _, c := range s.Cells {
				for i := range c.Sessions {
					c.Sessions[i].Href = "/sessions/s1"
				}
			}
		}
	}
	date := func(id, name, label string) ui.Field {
		return ui.Field{ID: id, Name: name, Label: label, Kind: ui.Date, Value: "2027-03-02", Required: true, Short: true}
	}
	return Mend{
		Shell: sampleShell("mend", "Mend"), Finding: "2 losses stand; they stop 2 sessions from Tue 2 to Mon 15 Mar.",
		Enter: []Action{
			{Title: "Weather takes a day", Form: ui.Form{Action: "/mend/losses", Key: "k8", Button: "Give the day to the weather", Hidden: []ui.Value{{Name: "kind", Value: "weather"}}}, Fields: []ui.Field{
				{ID: "weather-scope", Name: "scope", Label: "Which stations", Kind: ui.Radio, Options: []ui.Option{{Value: "height", Label: "all at height", Chosen: true}, {Value: "all", Label: "all of the yard"}}}, date("weather-day", "day", "Day")}},
			{Title: "An instructor is away", Form: ui.Form{Action: "/mend/losses", Key: "k9", Button: "Take them off these days", Hidden: []ui.Value{{Name: "kind", Value: "away"}}}, Fields: []ui.Field{
				{ID: "away-person", Name: "person", Label: "Who", Kind: ui.Select, Options: []ui.Option{{Value: "p2", Label: "Henrik Lindqvist"}}}, date("away-from", "from", "From"), date("away-until", "until", "Until")}},
		},
		Losses: []MendLoss{
			{What: "Stations at height: weather", When: "Tue 2 Mar, all day", By: "Entered Tue 2 Mar 07:40 by Brennan", End: ui.Form{Action: "/mend/losses/l1/end", Key: "k10", Button: "End it now", Unseen: "stations at height: weather"}},
			{What: "Adaeze Adeyemi may teach, but not at height", When: "until Sun 14 Mar", By: "Entered Mon 1 Mar 16:05 by Brennan", Note: "Checked again on Mon 15 Mar.", Within: "The person responsible for height and rescue ends it."}},
		Window: ui.Form{Action: "/mend", Get: true, Button: "Look"}, Span: []ui.Field{date("", "from", "From"), date("", "until", "Until")},
		Hit: attention.Broken[0].Sessions, Days: []ui.Finding{sampleFinding()},
		Repair: ui.Form{Action: "/mend", Key: "k11", Button: "Make a repair draft"}, Search: []ui.Field{{ID: "repair-seconds", Name: "seconds", Label: "How long to search", Kind: ui.Select, Short: true, Options: []ui.Option{{Value: "10", Label: "10 s"}}}},
		Notice: "With the fewest changes. Sessions that start within 24 h stay unless they are hit.",
		Board:  board, Drafts: sampleDraftRows()[1:],
	}
}
