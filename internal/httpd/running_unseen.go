package httpd

import (
	"fmt"
	"net/url"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/running"
	"rungbook/internal/session"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// phone is what the script of a page at the rig must know; keep are the pages that
// the phone keeps beside those the page links to.
func (v *visit) phone(keep ...string) *ui.Phone {
	return &ui.Phone{Account: string(v.actor.Account), Who: v.ref.StaffName(v.actor.Person), Zone: v.words.Zone.Name(),
		Now: fmt.Sprint(int64(v.now)), Clock: v.words.Clock(v.now), Keep: strings.Join(keep, " ")}
}

// atTheRig are the pages of a session that are filled in at the rig.
func (v *visit) atTheRig(s session.Session) []string {
	if !access.May(v.actor, access.RunSession) {
		return nil
	}
	at := "/yard/sessions/" + string(s.ID)
	out := []string{at, at + "/sign", "/sessions/" + string(s.ID) + "/rescue-card"}
	for _, b := range befores() {
		out = append(out, at+"/"+b.path)
	}
	for _, t := range s.Trainees {
		out = append(out, at+"/trainees/"+string(t))
	}
	return out
}

// runNoSignal is how a session starts without signal: the yard is asked by voice.
// Only a phone that gets no answer shows it.
func (v *visit) runNoSignal(f ui.Form, sent ran) *page.RunFold {
	f.Hidden = append(f.Hidden, ui.Value{Name: "as_of", Value: fmt.Sprint(int64(v.now))})
	voice := ui.Field{Name: "voice", ID: "voice", Label: "Whom of the yard you reached by voice", Kind: ui.Text, Required: true, Value: sent.of("unseen", "voice")}
	at := ui.Field{Name: "voice_at", ID: "voice-at", Label: "When", Kind: ui.Time, Short: true, Required: true, Value: sent.of("unseen", "voice_at")}
	return fold("No signal: start after the yard said yes by voice…", f, sent, "unseen", voice, at)
}

// startUnseen keeps the start of a session that began without signal.
func (v *visit) startUnseen(f url.Values, err error) error {
	if err != nil {
		return err
	}
	return v.runForm("unseen", func(f url.Values, _ civil.Instant) ([]running.Gate, error) {
		at, err := v.clockField(f, "voice_at", v.dayMeant(f)) // it may be sent a day later
		if err != nil {
			return nil, err
		}
		return v.Running.StartUnseen(v.r.Context(), v.actor, v.runID(), v.runSend(f),
			running.Unseen{AsOf: civil.Instant(numberField(f, "as_of")), Voice: f.Get("voice"), At: at})
	}, "", func(missing []running.Gate) (string, string) {
		if len(missing) > 0 {
			return "It is kept as started without sight of the yard. Look below at what did not stand.", ""
		}
		return "It is kept as started without sight of the yard. All stood when it was judged.", ""
	})
}

// unseen says how a session was started without signal, "" for one that was not.
func (v *visit) unseen(shown running.Shown) string {
	if shown.Session.Run == nil || shown.Session.Run.Unseen == nil {
		return ""
	}
	u := shown.Session.Run.Unseen
	out := "Started without sight of the yard since " + v.words.Clock(u.AsOf) + "; " + shown.Voice + " was reached by voice at " + v.words.Clock(u.VoiceAt) +
		". It was judged when it was sent, at " + v.words.Clock(u.Sent)
	if len(u.Missing) == 0 {
		return out + "; all stood then."
	}
	return out + ". What did not stand then: " + strings.ReplaceAll(strings.Join(u.Missing, ", "), "-", " ") + "."
}
