package httpd

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/booking"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/running"
	"rungbook/internal/session"
	"rungbook/web/page"
	"rungbook/web/ui"
)

func correctForm(v *visit) error {
	shown, err := v.Running.Show(v.r.Context(), v.actor, v.runID())
	if err != nil {
		return err
	}
	return v.correct(http.StatusOK, shown, nil, nil)
}

// correct shows what stands signed of one trainee, to be corrected.
func (v *visit) correct(status int, shown running.Shown, typed url.Values, bad fault.Fields) error {
	s, t := shown.Session, v.runTrainee()
	name, ok := shown.Trainees[t]
	if !ok {
		return fault.New(fault.NotFound, "There is no such trainee in this session.")
	}
	link := v.sessionLink(s)
	p := page.RunTrainee{Shell: v.page("Correct "+name+" in "+link.Text, "week"), Title: "Correct: " + name, Over: link, Line: v.span(s)}
	if s.State != session.SignedOff && s.State != session.CutShort {
		p.Note = "It is " + v.stateOf(s) + ": only a signed session is corrected."
		return v.show(status, page.RunTraineePage(p))
	}
	p.Lead = "What stands now is kept in the ledger. The correction is a new entry with your name and its reason, and every page says that it was corrected. A countersignature of other results is gone."
	p.Form = ui.Form{Action: link.Href + "/trainees/" + string(t) + "/correct", Key: v.freshKey(), Button: "Correct it", Hidden: []ui.Value{
		{Name: "rev", Value: fmt.Sprint(shown.Row.Rev)}, {Name: "results", Value: fmt.Sprint(shown.ResultsRev)}, {Name: "roll", Value: fmt.Sprint(shown.RollRev)}}}
	var fields []ui.Field
	for _, o := range shown.Exercise.Outcomes {
		q := v.outcomeFields(shown, o, typed, bad)
		q.Result.Required = false
		fields = append(fields, q.Result)
		p.Outcomes = append(p.Outcomes, q)
	}
	p.Extra = v.correctFields(shown, typed, bad)
	p.Remark = ui.Field{Name: "note", Label: "What was wrong", Kind: ui.Area, Hint: "Nothing about health.", Value: typed.Get("note")}
	p.Form.Errors = ui.Errors(append(fields, p.Extra...))
	return v.show(status, page.RunTraineePage(p))
}

func (v *visit) correctFields(shown running.Shown, typed url.Values, bad fault.Fields) []ui.Field {
	there := shown.Attendance.There(v.runTrainee())
	clock := func(at civil.Instant, name string) string {
		switch {
		case typed != nil:
			return typed.Get(name)
		case at == 0:
			return ""
		}
		return v.words.Clock(at)
	}
	reason := ui.Field{Name: "reason", Label: "Why it is corrected", Kind: ui.Select, Required: true, Error: bad["reason"], Options: []ui.Option{{Label: "Choose"}}}
	for _, r := range session.CorrectionReasons() {
		reason.Options = append(reason.Options, ui.Option{Value: string(r), Label: strings.ReplaceAll(string(r), "-", " "), Chosen: typed.Get("reason") == string(r)})
	}
	return []ui.Field{
		{Name: "came", Label: "Came", Kind: ui.Time, Short: true, Hint: "Both empty for one who did not come.", Value: clock(there.Start, "came"), Error: bad["came"]},
		{Name: "left", Label: "Left", Kind: ui.Time, Short: true, Value: clock(there.End, "left"), Error: bad["left"]},
		reason,
	}
}

func correctSession(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	shown, err := v.Running.Show(v.r.Context(), v.actor, v.runID())
	if err != nil {
		return err
	}
	c := running.Correction{Found: running.Found{Trainee: v.runTrainee()}, Why: session.CorrectionReason(f.Get("reason")), Note: strings.TrimSpace(f.Get("note")),
		Roll: numberField(f, "roll"), Rev: numberField(f, "results")}
	for _, o := range shown.Exercise.Outcomes {
		c.Results = append(c.Results, resultOf(f, o))
	}
	if c.There.Start, err = v.clockField(f, "came", shown.Day); err == nil {
		c.There.End, err = v.clockField(f, "left", shown.Day)
	}
	if err == nil {
		err = v.Running.Correct(v.r.Context(), v.actor, v.runID(), v.runSend(f), c)
	}
	if fields, refused := formErrors(err); refused {
		return v.correct(http.StatusUnprocessableEntity, shown, f, fields)
	}
	if err != nil {
		return err
	}
	return v.goTo("/sessions/"+string(v.runID()), "Corrected. What stood before is kept.")
}

// correctLink leads from a signed session's page to the form of one trainee.
func (v *visit) correctLink(s session.Session, t id.Trainee) ui.Link {
	if (s.State != session.SignedOff && s.State != session.CutShort) || !access.May(v.actor, access.CorrectSession) {
		return ui.Link{}
	}
	return ui.Link{Text: "Correct…", Href: "/sessions/" + string(s.ID) + "/trainees/" + string(t) + "/correct"}
}

// corrections lists those of a session's attendance and results, as its history
// shows them.
func (v *visit) corrections(sheet booking.Sheet) (out []page.SessionEntry) {
	add := func(what string, list []session.Correction) {
		for _, c := range list {
			text := sheet.Trainees[c.Trainee] + ", " + what + ": " + strings.ReplaceAll(string(c.Why), "-", " ")
			if note := sheet.Reasons[c.Note]; note != "" {
				text += " (" + note + ")"
			}
			out = append(out, page.SessionEntry{Act: "corrected", What: text, By: personLink(c.By, sheet.Persons[c.By]), When: v.words.Moment(c.At)})
		}
	}
	for _, a := range sheet.Attendance {
		add("presence", a.Corrections)
	}
	for _, r := range sheet.Results {
		add("results", r.Corrections)
	}
	return out
}
