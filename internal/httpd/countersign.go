package httpd

import (
	"fmt"
	"net/http"
	"net/url"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/running"
	"rungbook/internal/session"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// what a countersignature proves, and what not.
const countersignProves = "The trainee chooses the code at their first countersignature and types it themselves. It proves that whoever held the phone then knew the code chosen in this trainee’s name; it does not prove who that was. A drawn signature proves that somebody drew it on this phone: compare it with the one on the paper they showed at arrival."

func countersignForm(v *visit) error { return v.countersignSheet(http.StatusOK, nil) }

// countersignSheet shows what stands signed of one trainee and nothing of anybody
// else: a trainee may open it for themselves.
func (v *visit) countersignSheet(status int, bad fault.Fields) error {
	one, err := v.Running.SignedOf(v.r.Context(), v.actor, v.runID(), v.runTrainee())
	if err != nil {
		return err
	}
	v.ref = one.Ref
	over := v.sessionLink(one.Session)
	if !access.May(v.actor, access.SeeSession) {
		over = ui.Link{Text: "My path", Href: "/path"}
	}
	p := page.RunTrainee{Shell: v.page("Countersign "+v.sessionLink(one.Session).Text, "yard"), Title: one.Name, Over: over,
		Line: v.sessionLink(one.Session).Text + ", " + v.span(one.Session), Note: "It is signed and stays as it is. The trainee says here that this is what was found of them."}
	if !one.Noted {
		p.Note = "Nobody noted how they were assessed. That is mended first, by a correction with its reason."
		return v.show(status, page.RunTraineePage(p))
	}
	here := "/sessions/" + string(one.Session.ID) + "/trainees/" + string(v.runTrainee()) + "/countersign"
	p.Sign = &page.RunCountersign{Found: v.foundWords(one.Results, v.runTrainee(), v.words.Zone.DayOf(one.Session.Start), one.Cost), Proves: countersignProves, Forgot: v.forgotCode(one.Session),
		Form: ui.Form{Action: here, Key: v.freshKey(), Button: "Countersign", Label: "Countersign",
			Hidden: []ui.Value{{Name: "rev", Value: fmt.Sprint(one.Rev)}, {Name: "results", Value: fmt.Sprint(one.ResultsRev)}}},
		Code: ui.Field{Name: "code", Label: "Own code of " + one.Name, Kind: ui.Password, Required: true, Short: true, Hint: "At least 6 characters. Whoever has none yet chooses it now.", Error: bad["code"]}}
	if one.Note.Signed != 0 {
		p.Sign.Done = "Countersigned " + v.words.Moment(one.Note.Signed) + byHand(one.Note)
		p.Sign.Drawn = drawnBox(one.Drawn)
	}
	p.Sign.Form.Errors = ui.Errors([]ui.Field{p.Sign.Code})
	return v.show(status, page.RunTraineePage(p))
}

func countersignLater(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	err = v.few("code "+string(v.runTrainee()), func() error {
		return v.Running.CountersignLater(v.r.Context(), v.actor, v.runID(), v.runSend(f), numberField(f, "results"), v.runTrainee(), f.Get("code"))
	})
	if fields, ok := formErrors(err); ok {
		return v.countersignSheet(http.StatusUnprocessableEntity, fields)
	}
	if err != nil {
		return err
	}
	return v.goTo("/sessions/"+string(v.runID())+"/trainees/"+string(v.runTrainee())+"/countersign", "Countersigned.")
}

func (v *visit) countersignBox(shown running.Shown, n session.Note, here string, hidden []ui.Value, bad fault.Fields) *page.RunCountersign {
	c := &page.RunCountersign{Found: v.foundWords(shown.Results, n.Trainee, shown.Day, shown.Costs[n.Trainee]), Proves: countersignProves, Forgot: v.forgotCode(shown.Session),
		Form: ui.Form{Action: here + "/trainees/" + string(n.Trainee) + "/countersign", Key: v.freshKey(), Hidden: hidden, Button: "Countersign", Label: "Countersign"},
		Code: ui.Field{Name: "code", Label: "Own code of " + shown.Trainees[n.Trainee], Kind: ui.Password, Required: true, Short: true,
			Hint: "At least 6 characters. Whoever has none yet chooses it now.", Error: bad["code"]}}
	if n.Signed != 0 {
		c.Done = "Countersigned " + v.words.Moment(n.Signed) + byHand(n)
		c.Drawn = drawnBox(shown.Texts[n.Drawn])
	}
	c.Form.Errors = ui.Errors([]ui.Field{c.Code})
	return c
}

func countersign(v *visit) error {
	return v.noteSent(func(f url.Values) error {
		return v.few("code "+string(v.runTrainee()), func() error {
			return v.Running.Countersign(v.r.Context(), v.actor, v.runID(), v.runSend(f), numberField(f, "results"), v.runTrainee(), f.Get("code"))
		})
	}, false, "Countersigned.")
}

// countersignDrawn takes a signature drawn on the phone.
func countersignDrawn(v *visit) error {
	return v.noteSent(func(f url.Values) error {
		drawn, err := session.ParseDrawing(f.Get("drawn"))
		if err != nil {
			return err
		}
		return v.Running.CountersignDrawn(v.r.Context(), v.actor, v.runID(), v.runSend(f), numberField(f, "results"), v.runTrainee(), drawn)
	}, false, "Countersigned.")
}

// fieldToDraw is the field of a drawing as a picture's measure.
var fieldToDraw = fmt.Sprintf("0 0 %d %d", session.DrawingWide, session.DrawingHigh)

func drawBox(name, action, key string, hidden []ui.Value, bad fault.Fields) *page.RunDraw {
	d := &page.RunDraw{Form: ui.Form{Action: action, Key: key, Hidden: hidden, Button: "Countersign with this signature", Label: "Countersign by hand"},
		Label: "Or: signature of " + name + ", with a finger", Box: fieldToDraw, Error: bad["drawn"]}
	d.Form.Errors = ui.Errors([]ui.Field{{Name: "drawn", Label: "Signature", Error: d.Error}})
	return d
}

// drawnBox shows a drawn signature; nil for none, and where it was erased.
func drawnBox(text string) *page.RunDrawn {
	d, err := session.ParseDrawing(text)
	if err != nil {
		return nil
	}
	return &page.RunDrawn{Box: fieldToDraw, Lines: d.Lines()}
}

func byHand(n session.Note) string {
	if n.Drawn == "" {
		return ""
	}
	return ", signature drawn"
}
