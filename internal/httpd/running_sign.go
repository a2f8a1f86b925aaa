package httpd

import (
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/running"
	"rungbook/internal/session"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

func (v *visit) runTrainee() id.Trainee { return id.Trainee(v.param("trainee")) }

func noteForm(v *visit) error {
	shown, err := v.Running.Show(v.r.Context(), v.actor, v.runID())
	if err != nil {
		return err
	}
	return v.note(http.StatusOK, shown, nil, nil)
}

// note shows what is noted of one trainee; typed is what was sent and refused.
func (v *visit) note(status int, shown running.Shown, typed url.Values, bad fault.Fields) error {
	s, t := shown.Session, v.runTrainee()
	name, ok := shown.Trainees[t]
	if !ok {
		return fault.New(fault.NotFound, "There is no such trainee in this session.")
	}
	here := "/yard/sessions/" + string(s.ID)
	p := page.RunTrainee{Shell: v.page(name+" in "+v.sessionLink(s).Text, "yard"), Title: name, Over: ui.Link{Text: v.sessionLink(s).Text, Href: here},
		Line: v.span(s), Next: ui.Link{Text: "All trainees, and the signature", Href: here + "/sign"}}
	p.Queue, p.Shell.Phone = string(s.ID), v.phone()
	if s.State != session.UnderWay {
		p.Note = "It is " + v.stateOf(s) + ": results are noted while it is under way, until it is signed."
		if s.State != session.Booked {
			return v.show(status, page.RunTraineePage(p))
		}
	}
	n, noted := shown.Results.NoteOf(t)
	hidden := []ui.Value{{Name: "rev", Value: fmt.Sprint(shown.Row.Rev)}, {Name: "results", Value: fmt.Sprint(shown.ResultsRev)}}
	p.Lead = "Not yet competent in an outcome " + v.failureCosts(shown.Costs[t]) + "."
	p.LeadBy = v.costLink(shown.Costs[t])
	p.Form = ui.Form{Action: here + "/trainees/" + string(t), Key: v.freshKey(), Hidden: hidden, Button: "Keep the results"}
	var fields []ui.Field
	for _, o := range shown.Exercise.Outcomes {
		q := v.outcomeFields(shown, o, typed, bad)
		fields = append(fields, q.Result)
		p.Outcomes = append(p.Outcomes, q)
	}
	p.Remark = ui.Field{Name: "remark", Label: "Remark", Kind: ui.Area, Hint: "Nothing about health. It stands beside the record and can be erased.", Value: shown.Texts[n.Remark], Error: bad["remark"]}
	if typed != nil {
		p.Remark.Value = typed.Get("remark")
	}
	p.Form.Errors = ui.Errors(append(fields, p.Remark))
	if noted {
		p.Sign = v.countersignBox(shown, n, here, hidden, bad)
	}
	if n.Signed == 0 {
		p.Draw = drawBox(name, here+"/trainees/"+string(t)+"/countersign-drawn", v.freshKey(), hidden, bad)
	}
	return v.show(status, page.RunTraineePage(p))
}

func (v *visit) outcomeFields(shown running.Shown, o id.Outcome, typed url.Values, bad fault.Fields) page.RunOutcome {
	rec, _ := v.ref.Outcomes.On(o, shown.Day)
	var was session.Result
	for _, x := range shown.Results.Results {
		if x.Trainee == v.runTrainee() && x.Outcome == o {
			was = x
		}
	}
	if typed != nil {
		was = resultOf(typed, o)
	}
	score := ""
	if was.Score > 0 {
		score = strconv.Itoa(was.Score)
	}
	key := string(o)
	q := page.RunOutcome{Name: v.ref.Text(rec.Name),
		Result: ui.Field{Name: "result-" + key, Label: "Found", Kind: ui.Select, Required: true, Options: []ui.Option{{Label: "Choose"}}, Error: bad["result-"+key]},
		How:    ui.Field{Name: "how-" + key, Label: "By", Kind: ui.Select, Options: []ui.Option{{Label: "Choose"}}},
		Mark:   ui.Field{Name: "score-" + key, Label: "Score of a written test", Kind: ui.Number, Unit: "%", Min: "1", Max: "100", Value: score},
	}
	if q.Result.Error != "" {
		q.Result.Error = q.Name + ": " + q.Result.Error
	}
	for _, a := range session.Assessments() {
		q.Result.Options = append(q.Result.Options, ui.Option{Value: string(a), Label: strings.ReplaceAll(string(a), "-", " "), Chosen: was.Result == a})
	}
	for _, h := range session.Hows() {
		q.How.Options = append(q.How.Options, ui.Option{Value: string(h), Label: string(h), Chosen: was.How == h})
	}
	return q
}

func resultOf(f url.Values, o id.Outcome) session.Result {
	key := string(o)
	return session.Result{Outcome: o, Result: session.Assessed(f.Get("result-" + key)), How: session.How(f.Get("how-" + key)), Score: int(numberField(f, "score-"+key))}
}

// foundWords says what is noted of a trainee, an outcome a line.
func (v *visit) foundWords(of session.Results, t id.Trainee, day civil.Day, cost credential.Cost) (out []string) {
	for _, x := range of.Results {
		if x.Trainee != t {
			continue
		}
		rec, _ := v.ref.Outcomes.On(x.Outcome, day)
		text := v.ref.Text(rec.Name) + ": " + strings.ReplaceAll(string(x.Result), "-", " ")
		if x.Result == session.NotYetCompetent {
			text += " (" + v.failureCosts(cost) + ")"
		}
		if x.How != "" {
			text += ", " + string(x.How)
		}
		if x.Score > 0 {
			text += fmt.Sprintf(" %d %%", x.Score)
		}
		out = append(out, text)
	}
	return out
}

// noteSent sends a form about one trainee, and shows it again where it was refused.
func (v *visit) noteSent(do func(f url.Values) error, keep bool, said string) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	err = do(f)
	if fields, refused := formErrors(err); refused {
		shown, err := v.Running.Show(v.r.Context(), v.actor, v.runID())
		if err != nil {
			return err
		}
		if !keep {
			f = nil
		}
		return v.note(http.StatusUnprocessableEntity, shown, f, fields)
	}
	if err != nil {
		return err
	}
	return v.goTo("/yard/sessions/"+string(v.runID())+"/trainees/"+string(v.runTrainee())+"#countersign", said)
}

func noteResults(v *visit) error {
	return v.noteSent(func(f url.Values) error {
		found := running.Found{Trainee: v.runTrainee(), Remark: strings.TrimSpace(f.Get("remark"))}
		for name := range f {
			if o, is := strings.CutPrefix(name, "result-"); is {
				found.Results = append(found.Results, resultOf(f, id.Outcome(o)))
			}
		}
		session.SortResults(found.Results)
		return v.Running.Note(v.r.Context(), v.actor, v.runID(), v.runSend(f), numberField(f, "results"), found)
	}, true, "Kept. Now the trainee countersigns.")
}

func signForm(v *visit) error {
	shown, err := v.Running.Show(v.r.Context(), v.actor, v.runID())
	if err != nil {
		return err
	}
	var missing []running.Gate // of a sheet it is known once its signer is
	if shown.Session.Run != nil && !shown.Session.Run.Paper {
		missing = shown.Unsigned(v.actor.Person)
	}
	return v.sign(http.StatusOK, shown, "", missing)
}

func (v *visit) sign(status int, shown running.Shown, refused string, missing []running.Gate) error {
	s := shown.Session
	here := "/yard/sessions/" + string(s.ID)
	p := page.RunSign{Shell: v.page("Sign "+v.sessionLink(s).Text, "yard"), Title: "Results and signature", Over: ui.Link{Text: v.sessionLink(s).Text, Href: here},
		Line: v.span(s), Refused: refused, Queue: string(s.ID)}
	p.Shell.Phone = v.phone()
	if s.Trial {
		p.Trial = trialSay(s)
	}
	style := v.styleOf(shown.Slice)
	for _, g := range missing {
		p.Missing = addGate(p.Missing, g, true, style)
	}
	for _, t := range s.Trainees {
		p.Trainees = append(p.Trainees, v.signedTrainee(shown, t, here))
	}
	switch {
	case s.State != session.UnderWay && s.State != session.Booked:
		p.Note = "It is " + v.stateOf(s) + "."
	default:
		switch {
		case s.State == session.Booked:
			p.Note = "It is " + v.stateOf(s) + "."
		case !s.Ended():
			p.Note = "It has not ended. End it first, at the foot of its page"
			p.Note += map[bool]string{true: ".", false: "; results can be noted before."}[s.Trial]
		}
		as := ui.Field{Name: "as", Label: "How it went", Kind: ui.Radio, Required: true, Options: []ui.Option{{Value: "signed-off", Label: "Signed off", Note: "all of it was done"},
			{Value: "cut-short", Label: "Cut short", Note: "signed with what was done; the rest is needed again"}}}
		without := ui.Field{Name: "without", Label: "Countersignatures", Kind: ui.Checkboxes, Options: []ui.Option{{Value: "yes", Label: "I sign though somebody did not countersign", Note: "It stays to be seen on the session’s record."}}}
		p.Form = &ui.Form{Action: here + "/sign", Key: v.freshKey(), Button: "Sign and close",
			Hidden: []ui.Value{{Name: "rev", Value: fmt.Sprint(shown.Row.Rev)}, {Name: "results", Value: fmt.Sprint(shown.ResultsRev)}}}
		if p.Fields = []ui.Field{as, without}; s.Trial {
			as.Options[1].Note = "signed with what was done"
			p.Fields = []ui.Field{as}
		}
		if s.Run != nil && s.Run.Paper {
			signer := ui.Field{Name: "signer", Label: "Who signed the sheet", Kind: ui.Select, Required: true, Options: []ui.Option{{Label: "Choose"}}}
			for _, who := range s.Instructors {
				signer.Options = append(signer.Options, ui.Option{Value: string(who), Label: shown.Persons[who]})
			}
			p.Fields = append(p.Fields, signer)
		}
	}
	return v.show(status, page.RunSignPage(p))
}

func (v *visit) signedTrainee(shown running.Shown, t id.Trainee, here string) page.RunSigned {
	s := shown.Session
	if s.Trial {
		return page.RunSigned{Name: ui.Link{Text: shown.Trainees[t]}, Result: "took part", Minutes: "nothing is credited"}
	}
	out := page.RunSigned{Name: ui.Link{Text: shown.Trainees[t], Href: here + "/trainees/" + string(t)}, Result: "nothing noted"}
	var theirs []session.Presence
	for _, p := range shown.Attendance.Presences {
		if p.Part == session.AsTrainee && p.Who == string(t) {
			theirs = append(theirs, p)
		}
	}
	if s.Ended() {
		var minutes civil.Minutes
		theirs = session.Within(theirs, s.Run.Began, s.Run.Ended)
		if minutes = session.PresentMinutes(theirs, s.Held(shown.Exercise)); minutes == 0 {
			out.Result, out.Minutes = "did not come", "nothing is credited"
			return out
		}
		out.Minutes = minutes.String() + " credited"
	}
	n, noted := shown.Results.NoteOf(t)
	if noted {
		all, good, failed := 0, 0, 0
		for _, x := range shown.Results.Results {
			if x.Trainee == t {
				all++
				switch x.Result {
				case session.Competent:
					good++
				case session.NotYetCompetent:
					failed++
				}
			}
		}
		out.Result = fmt.Sprintf("competent %d of %s", good, web.Count(all, "outcome", "outcomes"))
		if failed > 0 {
			out.Result += fmt.Sprintf(" · not yet competent in %d, which %s", failed, v.failureCosts(shown.Costs[t]))
		}
		if n.Signed != 0 {
			out.Result += " · countersigned " + v.words.Clock(n.Signed) + byHand(n)
		}
	}
	return out
}

func signSession(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	sign := running.Signature{Short: f.Get("as") == "cut-short", Without: f.Get("without") == "yes", Rev: numberField(f, "results"), Paper: id.Person(f.Get("signer"))}
	refused := "Not signed: something is missing."
	var missing []running.Gate
	if as := f.Get("as"); as != "cut-short" && as != "signed-off" {
		refused = "Not signed. Say whether all of it was done or it was cut short."
	} else if missing, err = v.Running.Sign(v.r.Context(), v.actor, v.runID(), v.runSend(f), sign); err != nil {
		return err
	} else if len(missing) == 0 {
		return v.toAgain(v.runID(), "Signed and closed.")
	}
	shown, err := v.Running.Show(v.r.Context(), v.actor, v.runID())
	if err != nil {
		return err
	}
	return v.sign(http.StatusUnprocessableEntity, shown, refused, missing)
}
