package httpd

import (
	"net/http"
	"strconv"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/completing"
	"rungbook/internal/id"
	"rungbook/internal/records"
	"rungbook/internal/verdict"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// reportRoutes are completions of which the scheme is to be told.
func reportRoutes() []route {
	return []route{
		{get, "/reports", access.SeeCertificates, reportsPage},
		{post, "/reports/{certificate}", access.RecordCertificate, noteReport},
	}
}

func reportsPage(v *visit) error { return v.reportsSheet(http.StatusOK, sent{}) }

func (v *visit) reportsSheet(status int, s sent) error {
	list, err := v.Completing.ToReport(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	v.ref = list.Ref
	p := page.Reports{Shell: v.page("To report to the scheme", "certificates"), Finding: reportsFinding(list)}
	for _, r := range list.Reports {
		p.Rows = append(p.Rows, v.reportRow(s, r))
	}
	p.Shell.TakeOut = v.takeOut("reports")
	return v.show(status, page.ReportsPage(p))
}

func reportsFinding(list completing.ToReport) string {
	n, late := len(list.Reports), list.Late()
	if n == 0 {
		return ""
	}
	out := web.Count(n, "completion is to be reported", "completions are to be reported")
	if late > 0 {
		out += "; of " + strconv.Itoa(late) + " the last day has passed"
	}
	return out + "."
}

func (v *visit) reportRow(s sent, r completing.Report) page.ReportRow {
	c, name := r.Certificate, orID(r.Name, r.Certificate.Person)
	out := page.ReportRow{Name: ui.Link{Text: name + ", " + v.certificateName(c), Href: "/certificates/" + string(c.ID)}, Due: v.reportDue(r)}
	if r.Late(v.today) {
		out.Level = verdict.Stops
	}
	number := r.Number
	if number == "" {
		number = "not on record"
	}
	out.Facts = []ui.Fact{fact("Number at the scheme", number), fact("Programme", v.programmeName(c.Programme)), fact("Completed", web.FullDay(c.Completed))}
	if r.Was != 0 {
		out.Facts = append(out.Facts, fact("Renews one valid to", web.FullDay(r.Was)))
	}
	out.Facts = append(out.Facts, ui.Fact{Label: "Rests on", Value: ui.Link{Text: web.Count(r.Sessions, "signed session", "signed sessions"), Href: "/people/" + string(c.Person)}})
	if lacks := reportLacks(r); lacks != "" {
		out.Lacks = "Not on record: " + lacks + "."
	}
	if access.May(v.actor, access.RecordCertificate) {
		form := "reported-" + string(c.ID)
		a := v.action(s, form, "Note the report of "+name, "", "/reports/"+string(c.ID), "Note that it was reported",
			dayAnswer("on", "Reported on", v.today), ui.Field{Name: "reference", Label: "Reference that the scheme gave", Required: true})
		a.Form.Label = "Report of " + name
		out.Action = &a
	}
	return out
}

func (v *visit) reportDue(r completing.Report) string {
	switch {
	case r.Due == 0:
		return "the rule book or the yard’s hours state no last day: report it at once"
	case r.Late(v.today):
		return "was due by " + v.words.Day(r.Due)
	}
	return "due by " + v.words.Day(r.Due)
}

func reportLacks(r completing.Report) string {
	var out []string
	for _, l := range r.Lacks {
		out = append(out, string(l))
	}
	return web.List(out)
}

// noteOfReports puts a line above a page where completions wait to be reported, loud
// where the last day of one has passed.
func (v *visit) noteOfReports() error {
	if !access.May(v.actor, access.SeeCertificates) {
		return nil
	}
	list, err := v.Completing.Unreported(v.r.Context(), v.actor)
	if err != nil || len(list.Reports) == 0 {
		return err
	}
	n := ui.Notice{Plain: true, Text: reportsFinding(list), Link: ui.Link{Text: "Open what is to be reported", Href: "/reports"}}
	if list.Late() > 0 {
		n.Plain, n.Level, n.Word = false, verdict.Stops, "Overdue"
	}
	v.shell.Notices = append(v.shell.Notices, n)
	return nil
}

func noteReport(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	a := answersOf(f)
	t := completing.Told{Certificate: id.Certificate(v.param("certificate")), On: a.day("on"), Reference: a.text("reference")}
	if err = a.bad.Err(); err == nil {
		err = v.Completing.Reported(v.r.Context(), v.actor, t, v.key())
	}
	if fields, ok := formErrors(err); ok {
		return v.reportsSheet(http.StatusUnprocessableEntity, sent{form: "reported-" + string(t.Certificate), values: f, bad: fields})
	}
	if err != nil {
		return err
	}
	return v.goTo("/reports", "Noted.")
}

// reportFacts says when and by whom the scheme was told of a certificate.
func (v *visit) reportFacts(of id.Certificate) ([]ui.Fact, error) {
	r, ok, err := v.Completing.ReportOf(v.r.Context(), v.actor, of)
	if err != nil || !ok {
		return nil, err
	}
	text := web.FullDay(r.On)
	if r.By != "" {
		text += " by " + r.By
	}
	if r.Reference != "" {
		text += ", reference " + r.Reference
	}
	return []ui.Fact{fact("Reported to the scheme", text)}, nil
}

func reportList(v *visit, t *taking) error {
	list, err := v.Completing.ToReport(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	return v.plain(t, []string{"Name", "Number at the scheme", "Programme", "Completed", "Renews one valid to", "Report by", "State", "Not on record", "Signed sessions", "Certificate"}, func(*records.Lists) error {
		return each(t, list.Reports, func(r completing.Report) []any {
			state := "due"
			if r.Late(v.today) {
				state = "overdue"
			}
			return []any{r.Name, r.Number, v.programmeName(r.Certificate.Programme), r.Certificate.Completed, r.Was, r.Due, state, strings.TrimSpace(reportLacks(r)), r.Sessions, string(r.Certificate.ID)}
		})
	})
}
