package httpd

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"

	"rungbook/internal/booking"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/session"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

func standDownForm(v *visit) error {
	sheet, err := v.Desk.Sheet(v.r.Context(), v.actor, id.Session(v.param("session")))
	if err != nil {
		return err
	}
	return v.standDown(http.StatusOK, sheet, url.Values{}, nil)
}

func (v *visit) standDown(status int, sheet booking.Sheet, f url.Values, bad fault.Fields) error {
	s := sheet.Value
	link := v.sessionLink(s)
	form := ui.Form{Action: link.Href + "/stand-down", Key: v.key(), Hidden: []ui.Value{{Name: "rev", Value: fmt.Sprint(sheet.Rev)}},
		Button: "Stand down " + v.words.Moment(s.Start)}
	var reasons []ui.Option
	for _, r := range session.DownReasons() {
		reasons = append(reasons, ui.Option{Value: string(r), Label: strings.ReplaceAll(string(r), "-", " "), Chosen: string(r) == f.Get("reason")})
	}
	after, err := v.Desk.After(v.r.Context(), v.actor, s.ID)
	if err != nil {
		return err
	}
	line := v.span(s) + ", " + v.ref.Text(sheet.Station.Name) + ", " + peopleWords(s, sheet.Persons)
	return v.show(status, page.StandDownPage(page.NewStandDown(v.page("Stand down "+link.Text, "week"), link.Text, line, link, form, reasons, f.Get("note"), v.follows(after), bad)))
}

// follows says what standing a session down would leave broken, a sentence for
// all who would meet the same.
func (v *visit) follows(after booking.Aftermath) []string {
	var said []string
	who := map[string][]string{}
	for _, x := range after.Findings {
		style := v.styleOf(after.Slice)
		text := x.Found.In(style) + "; required: " + x.Required.In(style) + "."
		if who[text] == nil {
			said = append(said, text)
		}
		who[text] = append(who[text], style.Ref(x.Who))
	}
	for i, text := range said {
		said[i] = web.List(who[text]) + ": " + text
	}
	return said
}

func standDown(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	sid := id.Session(v.param("session"))
	err = v.Desk.StandDown(v.r.Context(), v.actor, sid, numberField(f, "rev"), session.DownReason(f.Get("reason")), strings.TrimSpace(f.Get("note")), v.key())
	if fields, ok := formErrors(err); ok {
		sheet, err := v.Desk.Sheet(v.r.Context(), v.actor, sid)
		if err != nil {
			return err
		}
		return v.standDown(http.StatusUnprocessableEntity, sheet, f, fields)
	}
	if err != nil {
		return err
	}
	return v.toAgain(sid, "Stood down. Tell the people concerned.")
}

func reopenSession(v *visit) error {
	return v.again("Not reopened. ", "Reopened.", func(sid id.Session, rev int64, send booking.Send) (booking.Done, error) {
		return v.Desk.Reopen(v.r.Context(), v.actor, sid, rev, send)
	})
}

// confirmSession books a pencilled session that nothing keeps pencilled.
func confirmSession(v *visit) error {
	return v.again("Not booked. ", "Booked.", func(sid id.Session, rev int64, send booking.Send) (booking.Done, error) {
		return v.Desk.Confirm(v.r.Context(), v.actor, sid, rev, send)
	})
}

// again books a session as it stands; a refusal is shown as a proposal to mend.
func (v *visit) again(not, yes string, do func(id.Session, int64, booking.Send) (booking.Done, error)) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	sid := id.Session(v.param("session"))
	done, err := do(sid, numberField(f, "rev"), v.send(f))
	if err != nil {
		return err
	}
	if done.Refused != nil {
		s := done.Refused.Session
		q := url.Values{"exercise": {string(planning.Stood(s.Exercise))}, "station": {s.Station}, "start": {fmt.Sprint(int64(s.Start))}, "session": {s.ID},
			"rev": f["rev"], "trainee": s.Trainees, "instructor": s.Instructors, "rescuer": s.Rescuers}
		return v.proposal(http.StatusUnprocessableEntity, q, proposalOf(q), done.Refused, not+v.firstStop(done.Refused), nil)
	}
	return v.goTo("/sessions/"+string(sid), yes)
}
