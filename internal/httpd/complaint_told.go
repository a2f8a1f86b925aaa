package httpd

import (
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/complaint"
	"rungbook/internal/complaints"
	"rungbook/internal/id"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// openAppeals says that appeals are open against a session or a certificate, with the
// way to each for those who see complaints.
func (v *visit) openAppeals(m complaint.Matter, against string) ([]ui.Link, error) {
	list, err := v.Complaints.OpenAppeals(v.r.Context(), v.actor, m)
	var out []ui.Link
	for _, of := range list {
		link := ui.Link{Text: "An appeal is open against " + against}
		if access.May(v.actor, access.SeeComplaints) {
			link.Href = "/complaints/" + string(of)
		}
		if !slices.Contains(out, link) { // of several that can't be opened one line says enough
			out = append(out, link)
		}
	}
	return out, err
}

// toldFacts say whether whoever filed it was told what was decided.
func (v *visit) toldFacts(one complaints.Page, d complaint.Decision) []ui.Fact {
	switch {
	case d.Told != nil:
		return []ui.Fact{fact("Told whoever filed it", web.FullDay(d.Told.On)+", by "+wayWords[d.Told.How]+", by "+orID(one.Names[d.Told.By], d.Told.By))}
	case one.ToTell:
		return []ui.Fact{fact("Told whoever filed it", "not yet: they have no account")}
	}
	return nil
}

// toldAction notes that whoever filed it was told; ok is false where nobody can be, or
// they have been.
func (v *visit) toldAction(s sent, one complaints.Page) (a page.Action, ok bool) {
	d, decided := one.Complaint.Decision()
	if !decided || d.Told != nil || one.Complaint.Unnamed() {
		return a, false
	}
	how := ui.Field{Name: "how", Label: "How", Kind: ui.Radio}
	for _, w := range complaint.WrittenDown() {
		how.Options = append(how.Options, ui.Option{Value: string(w), Label: capital(wayWords[w])})
	}
	note := "They have an account and read it on their own page. Note it where they were told otherwise too."
	if one.ToTell {
		note = "They have no account, and so read it nowhere. Tell them, and note it here."
	}
	a = v.action(s, "told", "Tell whoever filed it", note, "/complaints/"+string(one.Complaint.ID)+"/told", "Note that they were told",
		ui.Field{Name: "on", Label: "Told on", Kind: ui.Date, Short: true, Required: true, Value: v.today.String()}, how)
	a.Form.Hidden = append(a.Form.Hidden, ui.Value{Name: "rev", Value: complaintRev(s, one)})
	return a, true
}

func tellOfComplaint(v *visit) error {
	return v.actOnComplaint("told", "Noted.", func(a answers, of id.Complaint, rev int64) error {
		return v.Complaints.Tell(v.r.Context(), v.actor, of, rev, a.day("on"), complaint.Way(a.text("how")), v.key())
	})
}
