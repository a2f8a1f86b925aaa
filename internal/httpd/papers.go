package httpd

import (
	"fmt"
	"net/http"
	"slices"
	"strings"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/session"
	"rungbook/internal/signing"
	"rungbook/internal/verdict"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// sheetPage is the day sheet of one session.
func sheetPage(v *visit) error {
	p, err := v.Signing.Paper(v.r.Context(), v.actor, id.Session(v.param("session")))
	if err != nil {
		return err
	}
	link := v.sessionLink(p.Value)
	return v.show(http.StatusOK, page.DaySheetsPage(page.DaySheets{
		Shell: v.page("Day sheet: "+link.Text, "week"), Title: "Day sheet", Over: link, Line: "One A4 page, to be written on at the rig.",
		Sheets: []page.DaySheet{v.daySheet(p)}, Also: []ui.Link{{Text: "Rescue card", Href: link.Href + "/rescue-card"}},
	}))
}

// daySheetsPage is the day sheets of all sessions of a day.
func daySheetsPage(v *visit) error {
	day, err := civil.ParseDay(v.param("day"))
	if err != nil {
		return fault.New(fault.NotFound, "%s", sentence(err))
	}
	list, err := v.Signing.Papers(v.r.Context(), v.actor, day)
	if err != nil {
		return err
	}
	p := page.DaySheets{Shell: v.page("Day sheets, "+web.FullDay(day), "week"), Title: "Day sheets", Over: v.dayLink(day),
		Line: web.Count(len(list), "session", "sessions") + ", an A4 page each."}
	for _, one := range list {
		p.Sheets = append(p.Sheets, v.daySheet(one))
	}
	return v.show(http.StatusOK, page.DaySheetsPage(p))
}

// leastPauses is how many boxes for pauses a sheet has.
const leastPauses = 2

func (v *visit) daySheet(p signing.Paper) page.DaySheet {
	s := p.Value
	day := v.words.Zone.DayOf(s.Start)
	out := page.DaySheet{
		Exercise: v.sessionLink(s).Text, Times: v.span(s), Where: v.paperPlace(p), State: paperState(p), Stops: v.paperStops(p),
		Facts: v.paperFacts(p), People: v.paperStaff(p), Pauses: max(leastPauses, len(p.Exercise.Pauses)), Foot: v.paperFoot(s),
	}
	for _, t := range s.Trainees {
		out.Trainees = append(out.Trainees, p.Trainees[t])
	}
	slices.Sort(out.Trainees)
	for _, o := range p.Exercise.Outcomes {
		if s.Trial {
			break // nothing is found of anybody
		}
		rec, _ := v.ref.Outcomes.On(o, day)
		out.Outcomes = append(out.Outcomes, v.ref.Text(rec.Name))
	}
	for _, a := range p.Acceptances {
		out.Cautions = append(out.Cautions, page.PaperCaution{Caution: verdict.RuleName(a.Rule), Reason: p.Reasons[a.Reason], By: p.Persons[a.By]})
	}
	return out
}

func (v *visit) paperPlace(p signing.Paper) string {
	return v.ref.Text(p.Station.Name) + ", " + v.ref.Text(p.Rig.Name)
}

// paperFoot ties a paper to its session and to what was known when it was printed.
func (v *visit) paperFoot(s session.Session) string {
	return fmt.Sprintf("As of %s, entry %s; session %s.", v.words.Moment(v.now), web.Number(v.head), s.ID)
}

// paperStops says in sentences why a session may not start.
func (v *visit) paperStops(p signing.Paper) []string {
	var out []string
	switch {
	case p.Value.State == session.StoodDown:
		out = append(out, "It is stood down.")
	case p.Value.State == session.Pencilled:
		out = append(out, "It is only pencilled; "+web.Count(p.Waits, "caution waits", "cautions wait")+" to be accepted.")
	case p.Waits > 0:
		out = append(out, web.Count(p.Waits, "caution waits", "cautions wait")+" to be accepted.")
	}
	if p.Station.AsksForRescue() && p.RescuePlan == nil {
		out = append(out, "No rescue plan is in force for this station on this day.")
	}
	for _, f := range p.Stops {
		style := v.styleOf(p.Slice)
		out = append(out, verdict.RuleName(f.Rule)+": "+f.Found.In(style)+"; required: "+f.Required.In(style)+".")
	}
	if !p.Counted {
		out = append(out, "Its exercise or its station is not on record on this day.")
	}
	return out
}

func (v *visit) paperFacts(p signing.Paper) []ui.Fact {
	s, f := p.Value, p.Figures
	out := []ui.Fact{
		fact("Ratio", fmt.Sprintf("required 1 to %d; planned %d to %d", f.Ratio, f.Instructors, f.Trainees+f.Others)),
		fact(placesWord(f), takenSay(s, p.Station.Places)),
	}
	if f.Rescue {
		out = append(out, fact("Rescuers", fmt.Sprintf("%d of %d, standby %d of %d", f.Rescuers, f.RescuersAsked, f.Standby, f.StandbyAsked)))
	}
	if f.FirstAidersAsked > 0 {
		out = append(out, fact("First aiders", fmt.Sprintf("%d of %d", f.FirstAiders, f.FirstAidersAsked)))
	}
	out = append(out, v.needsOf(p.Exercise)...)
	if p.RescuePlan != nil {
		out = append(out, fact("Rescue plan", fmt.Sprintf("%s, version %d", v.ref.Text(p.RescuePlan.Name), p.RescuePlan.Version)))
	}
	out = append(out, v.preparedFacts(p)...)
	if s.Trial {
		out = append(out, fact("For", trialWords(s.TrialOf)+": credits nobody with anything"))
	}
	return out
}

func (v *visit) paperStaff(p signing.Paper) []page.PaperPerson {
	var out []page.PaperPerson
	for _, one := range v.staffOf(p.Value, p.Persons, p.Figures) {
		out = append(out, page.PaperPerson{Name: one.Name.Text, Part: one.Part, Note: one.Note})
	}
	return out
}

// rescueCardPage is the rescue card of one session.
func rescueCardPage(v *visit) error {
	p, err := v.Signing.Paper(v.r.Context(), v.actor, id.Session(v.param("session")))
	if err != nil {
		return err
	}
	link := v.sessionLink(p.Value)
	out := page.RescueCard{
		Shell: v.page("Rescue card: "+link.Text, "week"), Title: "Rescue card", Over: link, Times: link.Text + ", " + v.span(p.Value), Where: v.paperPlace(p),
		Foot: v.paperFoot(p.Value), Also: []ui.Link{{Text: "Day sheet", Href: link.Href + "/sheet"}},
	}
	plan := p.RescuePlan
	switch {
	case plan == nil && p.Station.AsksForRescue():
		out.Stops = "No rescue plan is in force for this station on this day. The session stops: nobody goes up."
	case plan == nil:
		out.None = "No rescue cover is asked for on this station, and no rescue plan covers it. In an emergency, call for help by the yard's alarm."
	default:
		v.fillCard(&out, p)
	}
	return v.show(http.StatusOK, page.RescueCardPage(out))
}

// fillCard puts a plan in force on a card.
func (v *visit) fillCard(out *page.RescueCard, p signing.Paper) {
	plan := p.RescuePlan
	drill := "none on record"
	if p.LastDrill != nil {
		drill = fmt.Sprintf("%s, %s to a safe place", v.words.Day(p.LastDrill.Day), p.LastDrill.Minutes)
	}
	kit := "none stated"
	if r := p.Station.Rescue; r != nil && r.Kit != "" {
		rec, _ := v.ref.Kits.On(r.Kit, v.words.Zone.DayOf(p.Value.Start))
		kit = v.ref.Text(rec.Name)
	}
	out.Facts = []ui.Fact{
		fact("Plan", fmt.Sprintf("%s, version %d, in force since %s", v.ref.Text(plan.Name), plan.Version, v.words.Day(plan.InForce))),
		fact("Reach a casualty within", plan.Target.String()), fact("Rescue kit", kit),
		fact("Last drill", drill), fact("Review by", v.words.Day(plan.ReviewBy)),
	}
	if f := p.Figures; f.Rescue {
		out.Facts = append(out.Facts, fact("Rescuers", fmt.Sprintf("%d of %d asked, standby %d of %d", f.Rescuers, f.RescuersAsked, f.Standby, f.StandbyAsked)))
		if f.Rescuers < f.RescuersAsked || f.Standby < f.StandbyAsked {
			out.Stops = "Rescue cover is short. The session stops until it is whole."
		}
	}
	out.Facts = append(out.Facts, fact("On the station", peopleThere(p.Value)))
	for _, who := range p.Rescuers() {
		part := "standby rescuer"
		if slices.Contains(p.Value.Instructors, who) {
			part = "instructor"
		}
		out.People = append(out.People, page.PaperPerson{Name: p.Persons[who], Part: part, Note: "competent to " + v.words.Day(p.Figures.RescueCompetent[string(who)])})
	}
	out.Facts = append(out.Facts, v.procedureFacts(*plan)...)
	out.Steps, out.Roles = v.planSteps(*plan), v.planRoles(*plan)
	if plan.Procedure != nil {
		out.Lead = linesOf(v.ref.Text(plan.Text))
	}
	if len(out.Steps) == 0 {
		out.Stops = "The text of the rescue plan can't be read here. The session stops until it is at hand."
	}
}

// stepsOf cuts a plan's text into its steps: its lines, or the sentences of one
// that is written in a piece.
func stepsOf(text string) []string {
	lines := strings.FieldsFunc(text, func(r rune) bool { return r == '\n' || r == '\r' })
	if len(lines) < 2 {
		lines = strings.SplitAfter(text, ". ")
	}
	var out []string
	for _, l := range lines {
		if l = strings.TrimSpace(l); l != "" {
			out = append(out, l)
		}
	}
	return out
}

// paperState is the state of a session on its sheet, and that it was corrected.
func paperState(p signing.Paper) string {
	if p.Corrected {
		return stateWords(p.Value.State) + ", corrected since"
	}
	return stateWords(p.Value.State)
}
