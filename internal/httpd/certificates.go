package httpd

import (
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/id"
	"rungbook/internal/records"
	"rungbook/internal/verdict"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

func certificatesPage(v *visit) error {
	q := v.r.URL.Query()
	f := records.CertificateFilter{Employer: id.Employer(q.Get("employer")), Programme: id.Programme(q.Get("programme")),
		Kind: credential.ForProgramme, UntilFrom: v.today, AfterKey: q.Get("after")}
	if q.Get("lapsed") == "yes" {
		f.UntilFrom = 0
	}
	rows, next, err := v.Records.Certificates(v.r.Context(), v.actor, f)
	if err != nil {
		return err
	}
	p := page.Certificates{Shell: v.page("Certificates", "certificates"), Filter: ui.Form{Action: "/certificates", Get: true, Button: "Show", Swap: "page"}}
	programmes := []ui.Option{{Label: "All programmes"}}
	for _, x := range v.ref.Programmes.All(v.today) {
		programmes = append(programmes, ui.Option{Value: string(x.ID), Label: v.ref.Text(x.Name), Chosen: x.ID == f.Programme})
	}
	p.Fields = []ui.Field{
		{Name: "employer", Label: "Employer", Kind: ui.Select, Options: v.employerOptions(string(f.Employer))},
		{Name: "programme", Label: "Programme", Kind: ui.Select, Options: programmes},
		{Name: "lapsed", Label: "Lapsed ones", Kind: ui.Select, Options: []ui.Option{{Label: "Left out"}, {Value: "yes", Label: "Shown too", Chosen: f.UntilFrom == 0}}},
	}
	soon := 0
	for _, r := range rows {
		c := r.Certificate
		row := page.CertificateRow{Number: ui.Link{Text: strconv.Itoa(c.Number), Href: "/certificates/" + string(c.ID)}, Person: personLink(c.Person, r.Name), Programme: v.certificateName(c),
			LastDay: web.FullDay(c.Until), Month: monthOf(c.Until), Left: v.words.DaysLeft(c.Until)}
		row.Level, row.Left = v.lasting(c, row.Left)
		if row.Level == verdict.Cautions {
			soon++
		}
		if e, ok := v.ref.Employers.On(r.Employer, v.today); ok {
			row.Employer = v.ref.Text(e.Name)
		}
		p.Rows = append(p.Rows, row)
	}
	shown := web.Count(len(rows), "certificate", "certificates")
	if next != "" {
		shown += ", more follow"
	}
	p.Finding = fmt.Sprintf("%s, by last valid day; %s within %d days.", capital(shown), web.Count(soon, "of these ends", "of these end"), nearEnd)
	p.Pages = pages("/certificates", q, next, f.AfterKey != "")
	if n := len(rows); n > 0 {
		p.Pages.Shown = web.FullDay(rows[0].Certificate.Until) + " to " + web.FullDay(rows[n-1].Certificate.Until)
	}
	p.Do = []ui.Link{{Text: "Certificates to give", Href: "/proposals"}, {Text: "To report to the scheme", Href: "/reports"}}
	if access.May(v.actor, access.SeeComplaints) {
		p.Do = append(p.Do, ui.Link{Text: "Complaints and appeals", Href: "/complaints"})
	}
	p.Shell.TakeOut = v.takeOut("certificates")
	return v.show(http.StatusOK, page.CertificatesPage(p))
}

// monthOf names a day's month, "2027-03".
func monthOf(d civil.Day) string {
	text := d.String()
	return text[:strings.LastIndex(text, "-")]
}
