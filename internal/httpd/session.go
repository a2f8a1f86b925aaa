package httpd

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/booking"
	"rungbook/internal/civil"
	"rungbook/internal/complaint"
	"rungbook/internal/curriculum"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/session"
	"rungbook/internal/verdict"
	"rungbook/web"
	"rungbook/web/chart"
	"rungbook/web/page"
	"rungbook/web/ui"
)

func sessionPage(v *visit) error {
	sheet, err := v.Desk.Sheet(v.r.Context(), v.actor, id.Session(v.param("session")))
	if err != nil {
		return err
	}
	return v.session(http.StatusOK, sheet, acceptForm{}, othersForm{})
}

// acceptForm is a caution's form that was sent and refused.
type acceptForm struct {
	subject, reason string
	bad             fault.Fields
}

func (v *visit) session(status int, sheet booking.Sheet, sent acceptForm, others othersForm) error {
	s := sheet.Value
	day := v.words.Zone.DayOf(s.Start)
	name := v.sessionLink(s).Text
	p := page.Session{
		Shell: v.page(name+", "+v.words.Moment(s.Start), "week"), Exercise: name, Over: v.dayLink(day), Times: v.span(s),
		Length: s.End.Sub(s.Start).String(), State: v.stateNow(s), StateNote: v.stateNote(sheet), Trial: trialSay(s),
		Station: v.stationLink(sheet.Station), Rig: v.rigLink(sheet.Rig),
		Needs: v.needs(sheet), Rescue: v.rescue(sheet, day),
		Places:   takenSay(s, sheet.Station.Places),
		Trainees: v.trainees(sheet), Staff: v.staff(sheet), Others: v.sessionOthers(sheet, others), Outcomes: v.outcomes(sheet, day),
		Accepted: v.accepted(sheet), History: v.history(sheet),
	}
	sky, _, err := v.Readings.Sky(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	p.Needs = append(p.Needs, v.weatherFacts(sky, sheet)...)
	drawing, say, err := v.locator(sheet.Station.ID)
	if err != nil {
		return err
	}
	p.Locator = chart.Locator(drawing, say)
	if p.Appeals, err = v.openAppeals(complaint.Matter{Session: s.ID}, "this session or what was found in it"); err != nil {
		return err
	}
	p.Checks = v.checks(sheet, sent)
	if o, ok, err := v.Bringing.SessionOrigin(v.r.Context(), v.actor, s.ID); err != nil {
		return err
	} else if ok && len(p.History) > 0 {
		p.History[0].What = originWords(o)
		if p.StateNote == "" {
			p.StateNote = "not first-hand: brought in from a file"
		}
	}
	if s.State == session.Pencilled && s.Start <= v.now && v.now < s.End {
		p.NotToStart = "Not to start: its time has come and it is only pencilled. Stand it down, and book it again for another time."
	}
	p.Actions = v.sessionActions(sheet)
	if access.May(v.actor, access.RunSession) && (s.State == session.Booked && s.Start <= v.now || s.State == session.UnderWay) {
		p.Actions.Run = ui.Link{Text: "At the rig", Href: "/yard/sessions/" + string(s.ID)}
	}
	p.Actions.Papers = append(v.againLink(s), []ui.Link{{Text: "Day sheet", Href: v.sessionLink(s).Href + "/sheet"}, {Text: "Rescue card", Href: v.sessionLink(s).Href + "/rescue-card"}, {Text: "Report an incident", Href: "/incidents/new?session=" + string(s.ID)}}...)
	if access.May(v.actor, access.HandleComplaint) {
		p.Actions.Papers = append(p.Actions.Papers, ui.Link{Text: "Write down a complaint", Href: "/complaints/came?against=session:" + string(s.ID)})
	}
	return v.show(status, page.SessionPage(p))
}

// stateNow is the state in words; of a booked session whose time has come, that it
// was not started.
func (v *visit) stateNow(s session.Session) string {
	if s.State == session.Booked && s.Start <= v.now && v.now < s.End {
		return notStarted
	}
	return stateWords(s.State)
}

// notStarted is said of a booked session whose time has come.
const notStarted = "not started"

func (v *visit) stateNote(sheet booking.Sheet) string {
	s := sheet.Value
	if s.State == session.StoodDown {
		note := strings.ReplaceAll(string(s.Down), "-", " ")
		if text := sheet.Reasons[s.Note]; text != "" {
			note += ": " + text
		}
		return note
	}
	if s.Run != nil && s.Run.Paper {
		return "typed up from paper"
	}
	if s.State == session.Pencilled && s.Start <= v.now {
		return ""
	}
	if fields := waitingFields(sheet.Judged.Waits); s.State == session.Pencilled && len(fields) > 0 {
		return "waits for: " + strings.Join(fields, ", ")
	}
	return ""
}

func waitingFields(waits []verdict.Finding) []string {
	var out []string
	for _, w := range waits {
		if name := planning.FieldName(w.Field); !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	return out
}

func (v *visit) needs(sheet booking.Sheet) []ui.Fact { return v.needsOf(sheet.Exercise) }

// needsOf says what an exercise takes: circuits, kit, pauses.
func (v *visit) needsOf(e curriculum.Exercise) []ui.Fact {
	var out []ui.Fact
	for _, n := range e.Energy {
		c, _ := v.ref.Circuits.On(n.Circuit, v.today)
		out = append(out, fact(v.ref.Text(c.Name), n.State))
	}
	var kits []string
	for _, u := range e.Uses {
		k, _ := v.ref.Kits.On(u.Kit, v.today)
		kits = append(kits, fmt.Sprintf("%d × %s", u.Count, v.ref.Text(k.Name)))
	}
	if len(kits) > 0 {
		out = append(out, fact("Kit", strings.Join(kits, ", ")))
	}
	for _, p := range e.Pauses {
		out = append(out, fact("Pause", p.Minutes.String()+" after "+p.After.String()))
	}
	return out
}

func (v *visit) rescue(sheet booking.Sheet, day civil.Day) page.SessionRescue {
	st := sheet.Station
	if !st.Height && (st.Rescue == nil || st.Rescue.Rescuers == 0) {
		return page.SessionRescue{Note: "No rescue cover is asked for on this station."}
	}
	if sheet.RescuePlan == nil {
		return page.SessionRescue{Note: "No rescue plan is in force on this day."}
	}
	p := sheet.RescuePlan
	return page.SessionRescue{
		Plan: ui.Link{Text: fmt.Sprintf("%s, version %d", v.ref.Text(p.Name), p.Version), Href: "/stations/" + string(st.ID)},
		Note: fmt.Sprintf("in force since %s; review by %s; reach a casualty within %s", v.words.Day(p.InForce), v.words.Day(p.ReviewBy), p.Target),
	}
}

func (v *visit) trainees(sheet booking.Sheet) []page.SessionTrainee {
	var out []page.SessionTrainee
	for _, t := range sheet.Value.Trainees {
		in, _ := v.ref.Intakes.On(sheet.Intakes[t], v.today)
		out = append(out, page.SessionTrainee{
			Name:   personLink(sheet.Bodies[t], sheet.Trainees[t]),
			Intake: ui.Link{Text: v.ref.Text(in.Name), Href: "/intakes/" + string(in.ID)},
			Result: resultWords(sheet, t), Correct: v.correctLink(sheet.Value, t), Code: v.newCodeLink(sheet.Value, t),
		})
	}
	return out
}

// resultWords sums up a trainee's attendance and results of a signed session.
func resultWords(sheet booking.Sheet, t id.Trainee) string {
	mark := ""
	for _, a := range sheet.Attendance {
		for _, x := range a.Presences {
			if x.Who == string(t) && (mark == "" || x.Mark != session.Present) {
				mark = strings.ReplaceAll(string(x.Mark), "-", " ")
			}
		}
	}
	all, good := 0, 0
	for _, r := range sheet.Results {
		for _, x := range r.Results {
			if x.Trainee == t {
				all++
				if x.Result == session.Competent {
					good++
				}
			}
		}
	}
	if corrected(sheet, t) {
		mark += " · corrected"
	}
	if all > 0 {
		return fmt.Sprintf("%s · competent %d of %d", mark, good, all)
	}
	return mark
}

func (v *visit) outcomes(sheet booking.Sheet, day civil.Day) []page.SessionOutcome {
	unitOf := map[id.Outcome]string{}
	for _, p := range v.ref.Programmes.All(day) {
		for _, u := range p.Units {
			for _, o := range u.Outcomes {
				unitOf[o] = v.ref.Text(p.Name) + ", " + v.ref.Text(u.Name)
			}
		}
	}
	var out []page.SessionOutcome
	for _, o := range sheet.Exercise.Outcomes {
		rec, _ := v.ref.Outcomes.On(o, day)
		out = append(out, page.SessionOutcome{Text: v.ref.Text(rec.Name), Unit: unitOf[o]})
	}
	return out
}

// caution is a caution that waits, with its form for those who may accept it.
func (v *visit) caution(sheet booking.Sheet, i int, f verdict.Finding, sent acceptForm) page.Caution {
	shown := v.ownFinding(sheet, f)
	waits := "Waits for " + v.whoAccepts(f.Field)
	if !access.MayAccept(v.actor, f.Field) {
		return page.Caution{Finding: shown, Waits: waits}
	}
	form := ui.Form{Action: "/sessions/" + string(sheet.Value.ID) + "/accept", Key: v.freshKey(),
		Hidden: []ui.Value{{Name: "subject", Value: url.QueryEscape(f.Subject())}}} // it holds NULs, which no page can carry
	typed, bad := "", fault.Fields(nil)
	if sent.subject == f.Subject() {
		typed, bad = sent.reason, sent.bad
	}
	return page.NewCaution(strconv.Itoa(i), shown, waits, form, sheet.Booker == v.actor.Person, typed, bad)
}

// whoAccepts names those who may accept a field's cautions today.
func (v *visit) whoAccepts(f verdict.Field) string {
	if f == verdict.Planning {
		return "an administrator"
	}
	text := "the responsible person for " + planning.FieldName(f)
	var names []string
	for _, a := range v.ref.Appointments.All(v.today) {
		if a.Field == f && a.On(v.today) {
			names = append(names, v.ref.StaffName(a.Person))
		}
	}
	if len(names) > 0 {
		text += ": " + strings.Join(names, " or ")
	}
	return text
}

func (v *visit) accepted(sheet booking.Sheet) []page.SessionAcceptance {
	var out []page.SessionAcceptance
	for _, a := range sheet.Acceptances {
		out = append(out, page.SessionAcceptance{
			Caution: verdict.RuleName(a.Rule), By: personLink(a.By, sheet.Persons[a.By]), Reason: sheet.Reasons[a.Reason], Own: a.Own,
		})
	}
	return out
}

func (v *visit) history(sheet booking.Sheet) []page.SessionEntry {
	var out []page.SessionEntry
	prepared := v.preparedSteps(sheet)
	for i, h := range sheet.History {
		for len(prepared) > 0 && sheet.Preparations[len(sheet.Preparations)-len(prepared)].Entry < h.Entry {
			out, prepared = append(out, prepared[0]), prepared[1:]
		}
		e := page.SessionEntry{Act: strings.ReplaceAll(h.Act, "-", " "), By: byLink(h.Actor, sheet.Persons[h.Actor]), When: v.words.Moment(h.RecordedAt), Entry: web.Number(h.Entry)}
		if i > 0 {
			e.What = v.changed(sheet.History[i-1].Value, h.Value)
		}
		out = append(out, e)
	}
	return append(append(out, prepared...), v.corrections(sheet)...)
}

// corrected reports whether what stands of a trainee was corrected after signing.
func corrected(sheet booking.Sheet, t id.Trainee) bool {
	of := func(c session.Correction) bool { return c.Trainee == t }
	return slices.ContainsFunc(sheet.Attendance, func(a session.Attendance) bool { return slices.ContainsFunc(a.Corrections, of) }) ||
		slices.ContainsFunc(sheet.Results, func(r session.Results) bool { return slices.ContainsFunc(r.Corrections, of) })
}

func (v *visit) changed(was, is session.Session) string {
	var out []string
	if was.Start != is.Start {
		out = append(out, "from "+v.words.Moment(was.Start)+" to "+v.words.Moment(is.Start))
	}
	if was.Station != is.Station {
		day := v.words.Zone.DayOf(is.Start)
		out = append(out, "from "+v.stationAt(was.Station, day).Text+" to "+v.stationAt(is.Station, day).Text)
	}
	if !slices.Equal(was.Trainees, is.Trainees) || !slices.Equal(was.Instructors, is.Instructors) || !slices.Equal(was.Rescuers, is.Rescuers) ||
		!slices.Equal(was.TheOthers(), is.TheOthers()) {
		out = append(out, "other people")
	}
	if is.Paused() && !was.Paused() {
		out = append(out, "nobody works since "+v.words.Clock(is.LastPause().Start)+": "+pauseWords(is.LastPause()))
	}
	return strings.Join(out, "; ")
}

func (v *visit) sessionActions(sheet booking.Sheet) page.SessionActions {
	s := sheet.Value
	here := "/sessions/" + string(s.ID)
	var a page.SessionActions
	if booking.Waiting(s) && s.Start > v.now {
		if access.May(v.actor, access.MoveSession) {
			a.Move = ui.Link{Text: "Move…", Href: here + "/move"}
		}
		if access.May(v.actor, access.ChangePeople) {
			a.People = ui.Link{Text: "Change people…", Href: here + "/people"}
		}
	}
	if booking.Waiting(s) && access.May(v.actor, access.StandDown) {
		a.StandDown = ui.Link{Text: "Stand down…", Href: here + "/stand-down"}
	}
	if s.State == session.Pencilled && len(sheet.Judged.Waits) == 0 && s.Start > v.now && access.May(v.actor, access.BookSession) {
		a.Reopen = &ui.Form{Action: here + "/book", Key: v.freshKey(), Button: "Book " + v.words.Moment(s.Start),
			Hidden: []ui.Value{{Name: "rev", Value: fmt.Sprint(sheet.Rev)}, {Name: "seen", Value: fmt.Sprint(v.head)}}}
	}
	if s.State == session.StoodDown && s.Start > v.now && access.May(v.actor, access.ReopenSession) {
		a.Reopen = &ui.Form{Action: here + "/reopen", Key: v.freshKey(), Button: "Reopen " + v.words.Moment(s.Start),
			Hidden: []ui.Value{{Name: "rev", Value: fmt.Sprint(sheet.Rev)}, {Name: "seen", Value: fmt.Sprint(v.head)}}}
	}
	return a
}

func acceptCaution(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	sid := id.Session(v.param("session"))
	reason := strings.TrimSpace(f.Get("reason"))
	subject, err := url.QueryUnescape(f.Get("subject"))
	if err != nil {
		return fault.New(fault.Invalid, "Which caution is meant can't be read. Open the session again.")
	}
	err = v.Desk.Accept(v.r.Context(), v.actor, sid, subject, reason, f.Get("own") == "yes", v.key())
	if fields, ok := formErrors(err); ok {
		sheet, err := v.Desk.Sheet(v.r.Context(), v.actor, sid)
		if err != nil {
			return err
		}
		return v.session(http.StatusUnprocessableEntity, sheet, acceptForm{subject, reason, fields}, othersForm{})
	}
	if err != nil {
		return err
	}
	return v.goTo("/sessions/"+string(sid), "Caution accepted.")
}
