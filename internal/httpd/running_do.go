package httpd

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/running"
	"rungbook/internal/session"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// runDo fills in what the reader may do now.
func (v *visit) runDo(p *page.Running, shown running.Shown, sent ran) {
	s := shown.Session
	here := "/yard/sessions/" + string(s.ID)
	form := func(path, button string) ui.Form {
		return ui.Form{Action: here + path, Key: v.freshKey(), Button: button, Hidden: []ui.Value{{Name: "rev", Value: fmt.Sprint(shown.Row.Rev)}, {Name: "day", Value: shown.Day.String()}}}
	}
	today := shown.Day == v.today
	switch {
	case s.State == session.Booked && today:
		p.Do = append(p.Do, form("/start", "Start the session"))
		p.NoSignal = v.runNoSignal(form("/start", "Started: keep it until there is signal"), sent)
	case s.State != session.UnderWay || s.Ended():
		return
	case s.Paused():
		p.Do = append(p.Do, form("/resume", "Go on: all stands again"))
	case len(p.Stop) > 0 && !s.Paused():
		down := form("/pause", "They are down: pause it")
		down.Hidden = append(down.Hidden, ui.Value{Name: "reason", Value: string(session.PauseFellAway)})
		p.Do = append(p.Do, down)
	}
	if today && (s.State == session.Booked || s.State == session.UnderWay) {
		p.Roll = v.runRoll(shown, form, sent)
	}
	if s.State == session.UnderWay && !s.Ended() {
		if today && !s.Paused() {
			p.Pause = v.runPause(form("/pause", "Pause"), sent)
		}
		p.End = v.runEnd(form("/end", "End the session"), s, sent)
	}
}

// runPause asks why nobody works, and since when.
func (v *visit) runPause(f ui.Form, sent ran) *page.RunFold {
	reason := ui.Field{Name: "reason", ID: "pause-reason", Label: "Why", Kind: ui.Select, Required: true}
	for _, r := range session.PauseReasons() {
		reason.Options = append(reason.Options, ui.Option{Value: string(r), Label: string(r), Chosen: sent.of("pause", "reason") == string(r)})
	}
	at := ui.Field{Name: "at", ID: "pause-at", Label: "Since", Kind: ui.Time, Short: true, Hint: "Empty for now.", Value: sent.of("pause", "at")}
	return fold("Pause…", f, sent, "pause", reason, at)
}

// runEnd asks when the last one stopped working.
func (v *visit) runEnd(f ui.Form, s session.Session, sent ran) *page.RunFold {
	at := ui.Field{Name: "at", ID: "end-at", Label: "When the last one stopped", Kind: ui.Time, Short: true, Required: true,
		Hint: "Minutes are credited up to then.", Value: v.words.Clock(min(v.now, s.End))}
	if typed := sent.of("end", "at"); typed != "" {
		at.Value = typed
	}
	return fold("End the session…", f, sent, "end", at)
}

// fold is a form under its name, open where it was refused.
func fold(title string, f ui.Form, sent ran, name string, fields ...ui.Field) *page.RunFold {
	if sent.form == name {
		for i := range fields {
			fields[i].Error = sent.bad[fields[i].Name]
		}
		f.Errors = ui.Errors(fields)
	}
	return &page.RunFold{Title: title, Form: f, Fields: fields}
}

// of is what was typed into a form that was refused.
func (r ran) of(form, field string) string {
	if r.form != form {
		return ""
	}
	return r.values.Get(field)
}

// runRoll is the roll as it was last called, to be called anew.
func (v *visit) runRoll(shown running.Shown, form func(path, button string) ui.Form, sent ran) *page.RunRoll {
	s := shown.Session
	f := form("/roll", "Keep the roll")
	f.Hidden = append(f.Hidden, ui.Value{Name: "roll", Value: fmt.Sprint(shown.RollRev)})
	at := ui.Field{Name: "at", ID: "roll-at", Label: "At", Kind: ui.Time, Short: true, Hint: "Empty for now.", Value: sent.of("roll", "at")}
	r := &page.RunRoll{}
	person := func(who, name string, part session.Part) page.RunPerson {
		x := page.RunPerson{Name: name, Value: string(part) + ":" + who, ID: "here-" + string(part) + "-" + who, Note: v.presenceWords(shown.Attendance, who, part)}
		x.Here = slices.Contains(shown.Attendance.Here(part), who)
		if sent.form == "roll" {
			x.Here = slices.Contains(sent.values["here"], x.Value)
		}
		return x
	}
	group := func(title string, list []page.RunPerson) {
		if len(list) > 0 {
			r.Groups = append(r.Groups, page.RunGroup{Title: title, People: list})
		}
	}
	staff := func(list []id.Person, part session.Part) (out []page.RunPerson) {
		for _, p := range list {
			out = append(out, person(string(p), shown.Persons[p], part))
		}
		return out
	}
	var trainees []page.RunPerson
	for _, t := range s.Trainees {
		trainees = append(trainees, person(string(t), shown.Trainees[t], session.AsTrainee))
	}
	group("Instructors", staff(s.Instructors, session.AsInstructor))
	group("Standby rescuers", staff(s.Rescuers, session.AsRescuer))
	group("Trainees", trainees)
	group("Others", others(s, staff(s.Others, session.AsOther)))
	if sent.form == "roll" {
		at.Error = sent.bad["at"]
		f.Errors = ui.Errors([]ui.Field{at})
		if none := sent.bad["here"]; none != "" {
			f.Errors = append(f.Errors, ui.FieldError{Text: none})
		}
	}
	r.Form, r.At = f, at
	r.Add = v.runAdd(shown, form("/swap", "Add to the session"), sent)
	return r
}

// presenceWords is what the roll knows of somebody: "08:02–10:15, back 10:30".
func (v *visit) presenceWords(a session.Attendance, who string, part session.Part) string {
	var out []string
	for _, p := range a.Presences {
		switch {
		case p.Who != who || p.Part != part:
		case p.Mark == session.DidNotCome:
			out = append(out, "did not come")
		case p.Open() && len(out) > 0:
			out = append(out, "back "+v.words.Clock(p.Start))
		case p.Open() && p.Mark == session.Late:
			out = append(out, "came late, "+v.words.Clock(p.Start))
		case p.Open():
			out = append(out, "came "+v.words.Clock(p.Start))
		default:
			out = append(out, v.words.Clock(p.Start)+"–"+v.words.Clock(p.End))
		}
	}
	return strings.Join(out, ", ")
}

// clockField reads a time of the session's day, 0 where the field is empty.
func (v *visit) clockField(f url.Values, name string, day civil.Day) (civil.Instant, error) {
	text := strings.TrimSpace(f.Get(name))
	if text == "" {
		return 0, nil
	}
	m, err := civil.ParseClock(text)
	if err != nil {
		return 0, fault.Field(name, "%s", sentence(err))
	}
	return v.words.Zone.At(day, m), nil
}

// dayMeant is the day of the times in a form: the session's, which may be ended the
// morning after. A form that a phone kept from before it said so tells when it was
// filled in.
func (v *visit) dayMeant(f url.Values) civil.Day {
	if of, err := civil.ParseDay(f.Get("day")); err == nil {
		return of
	}
	if entered := numberField(f, "happened"); entered > 0 {
		return v.words.Zone.DayOf(min(v.now, civil.Instant(entered)))
	}
	return v.today
}

// runForm sends a form of the page: do answers with the gates that do not hold.
// What was refused is shown with what was typed.
func (v *visit) runForm(name string, do func(f url.Values, at civil.Instant) ([]running.Gate, error), to string, said func(shut []running.Gate) (yes, not string)) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	sent := ran{form: name, values: f}
	at, err := v.clockField(f, "at", v.dayMeant(f))
	var shut []running.Gate
	if err == nil {
		shut, err = do(f, at)
	}
	fields, refused := formErrors(err)
	if err != nil && !refused {
		return err
	}
	if sent.bad = fields; !refused {
		yes, not := said(shut)
		if not == "" {
			return v.goTo("/yard/sessions/"+string(v.runID())+to, yes)
		}
		sent.refused = not
	}
	shown, err := v.Running.Show(v.r.Context(), v.actor, v.runID())
	if err != nil {
		return err
	}
	return v.running(http.StatusUnprocessableEntity, shown, sent)
}

func (v *visit) always(yes string) func([]running.Gate) (string, string) {
	return func([]running.Gate) (string, string) { return yes, "" }
}

func callRoll(v *visit) error {
	return v.runForm("roll", func(f url.Values, at civil.Instant) ([]running.Gate, error) {
		var here []session.Seen
		for _, x := range f["here"] {
			part, who, _ := strings.Cut(x, ":")
			here = append(here, session.Seen{Who: who, Part: session.Part(part), Here: true})
		}
		return v.Running.Roll(v.r.Context(), v.actor, v.runID(), v.runSend(f), numberField(f, "roll"), at, here)
	}, "", func(fell []running.Gate) (string, string) {
		if len(fell) > 0 {
			return "Stop, bring people down: the session is paused.", ""
		}
		return "The roll is kept.", ""
	})
}

func swapRunning(v *visit) error {
	return v.runForm("swap", func(f url.Values, at civil.Instant) ([]running.Gate, error) {
		return v.Running.Swap(v.r.Context(), v.actor, v.runID(), v.runSend(f), at, comerOf(f))
	}, "", func(shut []running.Gate) (string, string) {
		if len(shut) == 0 {
			return "Added to the session and to the roll.", ""
		}
		var why []string
		for _, g := range shut {
			why = append(why, capital(g.Found.In(v.words.Style())))
		}
		return "", "Not added. " + strings.Join(why, " ")
	})
}

func pauseRunning(v *visit) error {
	return v.runForm("pause", func(f url.Values, at civil.Instant) ([]running.Gate, error) {
		return nil, v.Running.Pause(v.r.Context(), v.actor, v.runID(), v.runSend(f), at, session.PauseReason(f.Get("reason")))
	}, "", v.always("Paused."))
}

func endRunning(v *visit) error {
	return v.runForm("end", func(f url.Values, at civil.Instant) ([]running.Gate, error) {
		return nil, v.Running.End(v.r.Context(), v.actor, v.runID(), v.runSend(f), at)
	}, "", v.always("Ended. Now the results and the signature."))
}

func resumeRunning(v *visit) error {
	return v.pass("It does not go on: what stands below is missing.", "It goes on.", v.Running.Resume)
}
