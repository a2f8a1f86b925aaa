package httpd

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"rungbook/internal/bringing"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/verdict"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// rowsShown is how many judged rows stand on a page.
const rowsShown = 100

func rowsPage(v *visit) error { return v.rows(http.StatusOK, nil) }

func (v *visit) rows(status int, bad fault.Fields) error {
	s, err := v.sentFile()
	if err != nil {
		return err
	}
	p := page.Rows{Shell: v.page("What each row would become", "set-up"), Drop: v.dropForm(),
		Line: s.File.Name + ": " + listNames[s.File.List], Columns: ui.Link{Text: "Set the columns again", Href: v.filePath()}}
	switch {
	case s.Judging:
		p.Done, p.All = s.Done, max(s.All, 1)
		p.Say = strconv.Itoa(s.Done) + " of " + web.Count(s.All, "row", "rows") + " judged"
		v.w.Header().Set("Refresh", "1")
		return v.show(status, page.RowsPage(p))
	case s.Err != nil:
		fields, ok := formErrors(s.Err)
		if !ok && fault.Of(s.Err) == fault.Invalid {
			fields, ok = fault.Fields{"": fault.Message(s.Err)}, true
		}
		if ok {
			return v.columns(http.StatusUnprocessableEntity, s, fields)
		}
		return s.Err
	case s.Judged == nil:
		return v.goTo(v.filePath(), "")
	}
	v.judged(&p, s.Judged, bad)
	return v.show(status, page.RowsPage(p))
}

// judged fills the page of a file whose rows were judged.
func (v *visit) judged(p *page.Rows, j *bringing.Judgement, bad fault.Fields) {
	seen := j.SeenOf()
	p.Line += ". " + strconv.Itoa(seen.Taken) + " of " + web.Count(len(j.Rows), "row", "rows") + " can be taken, " + strconv.Itoa(seen.Cautions) + " of them with caution; " + strconv.Itoa(seen.Refused) + " are refused."
	for _, c := range j.Changes {
		p.Changes = append(p.Changes, fact(capital(kindWords(c.Kind)), strconv.Itoa(c.Count)))
	}
	for _, b := range j.Before {
		p.Notices = append(p.Notices, ui.Notice{Level: verdict.Stops, Text: "This very file was brought in already.", Link: ui.Link{Text: "Open that batch", Href: "/import/batches/" + string(b.ID)}})
	}
	if seen.Taken == 0 {
		p.Notices = append(p.Notices, ui.Notice{Level: verdict.Stops, Text: "No row can be taken. Mend the file and send it again."})
	}
	if seen.Taken > 0 && len(j.Before) == 0 {
		p.Confirm = ui.Form{Action: v.filePath() + "/rows", Key: v.freshKey(), Button: "Bring in " + web.Count(seen.Taken, "row", "rows"), Hidden: []ui.Value{
			{Name: "taken", Value: strconv.Itoa(seen.Taken)}, {Name: "cautions", Value: strconv.Itoa(seen.Cautions)}, {Name: "refused", Value: strconv.Itoa(seen.Refused)}}}
		p.Vouch = ui.Field{Name: "vouch", Label: "What is taken is marked as not first-hand, with your name", Kind: ui.Checkboxes,
			Options: []ui.Option{{Value: "yes", Label: "I vouch for this file"}}, Error: bad["vouch"]}
		p.Confirm.Errors = ui.Errors([]ui.Field{p.Vouch})
		if bad[""] != "" {
			p.Confirm.Errors = append(p.Confirm.Errors, ui.FieldError{Text: bad[""]})
		}
	}
	q := v.r.URL.Query()
	show := q.Get("show")
	here := v.filePath() + "/rows"
	for _, f := range []struct {
		verdict bringing.Verdict
		label   string
		n       int
	}{{"", "All rows", len(j.Rows)}, {bringing.Refused, "Refused", seen.Refused}, {bringing.WithCaution, "Taken with caution", seen.Cautions}, {bringing.Taken, "Taken", seen.Taken - seen.Cautions}} {
		p.Filters = append(p.Filters, page.RowFilter{Link: ui.Link{Text: f.label, Href: here + "?show=" + string(f.verdict) + "#rows"}, Count: strconv.Itoa(f.n), Chosen: show == string(f.verdict)})
	}
	v.verdicts(p, j, show, here, q)
}

// verdicts lists the rows of one page. after is the last row of the page before.
func (v *visit) verdicts(p *page.Rows, j *bringing.Judgement, show, here string, q url.Values) {
	after, next := int(numberField(q, "after")), ""
	for _, r := range j.Rows {
		if r.Row <= after || show != "" && string(r.Verdict) != show {
			continue
		}
		if len(p.Rows) == rowsShown {
			next = strconv.Itoa(p.Rows[rowsShown-1].Row)
			break
		}
		row := page.RowVerdict{Row: r.Row, Says: r.Says, Answer: "taken"}
		switch r.Verdict {
		case bringing.Refused:
			row.Level, row.Answer = verdict.Stops, "refused"
		case bringing.WithCaution:
			row.Level, row.Answer = verdict.Cautions, "taken with caution"
		default:
			row.Level = verdict.Clear
		}
		for _, x := range r.Remarks {
			row.Remarks = append(row.Remarks, page.RowRemark{Cell: x.Cell, Text: x.Text})
		}
		p.Rows = append(p.Rows, row)
	}
	p.Pages = pages(here, url.Values{"show": {show}}, next, after > 0)
	p.Shown = "Rows by their number in the file"
	if n := len(p.Rows); n > 0 {
		p.Pages.Shown = "Row " + strconv.Itoa(p.Rows[0].Row) + " to " + strconv.Itoa(p.Rows[n-1].Row)
	}
}

func bringList(v *visit) error {
	s, err := v.sentFile()
	if err != nil {
		return err
	}
	f, err := v.form()
	if err != nil {
		return err
	}
	switch {
	case s.Judged == nil:
		return v.goTo(v.filePath(), "")
	case f.Get("vouch") != "yes":
		return v.rows(http.StatusUnprocessableEntity, fault.Fields{"vouch": "Say that you vouch for this file."})
	}
	seen := bringing.Seen{Taken: int(numberField(f, "taken")), Cautions: int(numberField(f, "cautions")), Refused: int(numberField(f, "refused"))}
	v.mayTakeLong()
	made, err := v.Bringing.Bring(v.r.Context(), v.actor, s.File, s.Judged.Mapping, seen, v.key())
	if fault.Of(err) == fault.Invalid {
		return v.rows(http.StatusUnprocessableEntity, fault.Fields{"": fault.Message(err)})
	}
	if err != nil {
		return err
	}
	if err := v.Tray.Drop(v.actor, v.now, v.param("file")); err != nil && fault.Of(err) != fault.NotFound {
		return err
	}
	return v.goTo("/import/batches/"+string(made), web.Count(seen.Taken, "row was", "rows were")+" brought in.")
}

func batchPage(v *visit) error {
	b, err := v.Bringing.Batch(v.r.Context(), v.actor, id.Batch(v.param("batch")))
	if err != nil {
		return err
	}
	p := page.Batch{Shell: v.page("Batch", "set-up"), Title: listNames[b.List] + ", from " + b.Name, Line: "brought in " + v.words.Moment(b.At)}
	if b.Back {
		p.Line += ", taken back since"
	}
	p.Facts = []ui.Fact{fact("Vouched for by", b.By), fact("Rows", batchRows(b)), fact("Taken with caution", strconv.Itoa(b.Cautions)), fact("SHA-256 of the file", b.File)}
	for _, c := range b.Counts {
		p.Facts = append(p.Facts, fact("Records: "+kindWords(c.Kind), strconv.Itoa(c.Count)))
	}
	for _, c := range b.Rests {
		p.Rests = append(p.Rests, kindWords(c.Kind)+": "+strconv.Itoa(c.Count)+" later "+map[bool]string{true: "record", false: "records"}[c.Count == 1])
	}
	if !b.Back && len(b.Rests) == 0 {
		p.Back = ui.Form{Action: "/import/batches/" + string(b.ID) + "/take-back", Key: v.freshKey(), Grave: true, Button: "Take the whole file back",
			Hidden: []ui.Value{{Name: "rev", Value: strconv.FormatInt(b.Rev, 10)}}}
	}
	return v.show(http.StatusOK, page.BatchPage(p))
}

func kindWords(kind string) string { return strings.ReplaceAll(kind, "-", " ") }

func takeBatchBack(v *visit) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	of := id.Batch(v.param("batch"))
	v.mayTakeLong()
	if err := v.Bringing.TakeBack(v.r.Context(), v.actor, of, numberField(f, "rev"), v.key()); err != nil {
		return err
	}
	return v.goTo("/import/batches/"+string(of), "The file was taken back as a whole.")
}
