package httpd

import (
	"fmt"

	"rungbook/internal/access"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/running"
	"rungbook/internal/session"
	"rungbook/web/page"
	"rungbook/web/ui"
)

var identityWords = map[people.IdentitySeen]string{
	people.PictureDocument: "a document with their picture was seen", people.KnownInPerson: "known in person to who says so",
}

func (v *visit) ownCodeHref() string { return ownCodeHref(v.runID(), v.runTrainee()) }

func ownCodeHref(of id.Session, t id.Trainee) string {
	return "/sessions/" + string(of) + "/trainees/" + string(t) + "/own-code"
}

// newCodeLink leads from a running session's page to where a trainee who forgot their
// code chooses another; zero for those who can't let them. Once it is signed, the page
// on which it is countersigned leads there.
func (v *visit) newCodeLink(s session.Session, t id.Trainee) ui.Link {
	if s.State != session.UnderWay || !running.MayRenew(v.actor, s) {
		return ui.Link{}
	}
	return ui.Link{Text: "Forgot it…", Href: ownCodeHref(s.ID, t)}
}

// forgotCode leads to where a trainee chooses a new code; zero for those who can't let
// them.
func (v *visit) forgotCode(s session.Session) ui.Link {
	if !running.MayRenew(v.actor, s) {
		return ui.Link{}
	}
	return ui.Link{Text: "The trainee forgot their code", Href: v.ownCodeHref()}
}

func (v *visit) ownCodeSheet() (sheet, error) {
	one, err := v.Running.CodeSheet(v.r.Context(), v.actor, v.runID(), v.runTrainee())
	if err != nil {
		return sheet{}, err
	}
	v.ref = one.Ref
	s := sheet{title: "New code for " + one.Name, address: v.ownCodeHref(), button: "Keep the new code", over: v.sessionLink(one.Session),
		line:   "For a trainee who forgot the code they countersign with. Look at who they are first, then hand them the device: nobody else sees or types the code. What they countersigned before stays as it is.",
		hidden: []ui.Value{{Name: "rev", Value: fmt.Sprint(one.Rev)}}}
	if one.Rev == 0 {
		s.line, s.button = "They have chosen no code yet, so there is none to replace. They choose it at their first countersignature.", ""
		return s, nil
	}
	var options []ui.Option
	for _, how := range people.IdentitiesSeen() {
		options = append(options, ui.Option{Value: string(how), Label: capital(identityWords[how])})
	}
	s.groups = []page.FieldGroup{
		{Title: "Who they are", Fields: []ui.Field{{Name: "identity", Label: "How you saw it", Kind: ui.Radio, Options: options, Required: true, Hint: "Your name stands beside it."}}},
		{Title: "The trainee types", Fields: []ui.Field{{Name: "code", Label: "New code", Kind: ui.Password, Short: true, Required: true, Hint: "At least 6 characters."}, {Name: "again", Label: "The same again", Kind: ui.Password, Short: true, Required: true}}},
	}
	for _, c := range one.History {
		s.codes = append(s.codes, v.chosenCode(one, c))
	}
	return s, nil
}

func (v *visit) chosenCode(one running.CodeSheet, c running.ChosenCode) page.CodeChosen {
	if c.Anew == nil {
		return page.CodeChosen{When: v.words.Moment(c.At), By: "nobody else’s", Seen: "At their first countersignature"}
	}
	return page.CodeChosen{When: v.words.Moment(c.At), By: orID(one.Names[c.Anew.By], c.Anew.By), Seen: capital(identityWords[c.Anew.Identity])}
}

func ownCodeForm(v *visit) error { return v.showSheet(v.ownCodeSheet()) }

// afterNewCode is where the trainee countersigns with it: at the rig while the session
// waits for its signature, later where what stands signed is countersigned.
func (v *visit) afterNewCode() (string, error) {
	one, err := v.Running.CodeSheet(v.r.Context(), v.actor, v.runID(), v.runTrainee())
	to := "/sessions/" + string(v.runID()) + "/trainees/" + string(v.runTrainee())
	switch state := one.Session.State; {
	case state == session.UnderWay && access.May(v.actor, access.RunSession):
		return "/yard" + to, err
	case state == session.SignedOff || state == session.CutShort:
		return to + "/countersign", err
	}
	return "/sessions/" + string(v.runID()), err
}

func renewOwnCode(v *visit) error {
	to, err := v.afterNewCode()
	if err != nil {
		return err
	}
	return v.sendSheet(v.ownCodeSheet, func(a answers) error {
		r := running.Renewal{Rev: numberField(a.Values, "rev"), Identity: people.IdentitySeen(a.text("identity")), Code: a.Get("code"), Again: a.Get("again")}
		return v.few("code "+string(v.runTrainee()), func() error {
			return v.Running.RenewCode(v.r.Context(), v.actor, v.runID(), v.runTrainee(), r, v.key())
		})
	}, to, "The new code is kept. The one before signs nothing any more.")
}
