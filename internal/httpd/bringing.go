package httpd

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/batch"
	"rungbook/internal/bringing"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// bringingRoutes are how a list that the centre kept elsewhere comes in.
func bringingRoutes() []route {
	return []route{
		{get, "/import", access.BringIn, bringInPage},
		{post, uploadPath, access.BringIn, sendList},
		{get, "/import/files/{file}", access.BringIn, columnsPage},
		{post, "/import/files/{file}", access.BringIn, judgeList},
		{get, "/import/files/{file}/rows", access.BringIn, rowsPage},
		{post, "/import/files/{file}/rows", access.BringIn, bringList},
		{post, "/import/files/{file}/drop", access.BringIn, dropList},
		{get, "/import/alike", access.ChangeRecords, alikePage},
		{post, "/import/alike", access.ChangeRecords, joinAlike},
		{post, "/import/alike/part", access.ChangeRecords, partAlike},
		{get, "/import/batches/{batch}", access.BringIn, batchPage},
		{post, "/import/batches/{batch}/take-back", access.BringIn, takeBatchBack},
	}
}

// uploadPath takes a list; it and takesFile say which bodies may be larger than maxForm.
const uploadPath = "/import"

// bodyLimit is how many bytes of a request's body are read.
func bodyLimit(r *http.Request) int64 {
	if r.Method == http.MethodPost && r.URL.Path == uploadPath {
		return bringing.MaxBytes + maxForm
	}
	if takesFile(r) {
		return rig.MaxFile + maxForm
	}
	return maxForm
}

// listNames say what a file lists.
var listNames = map[batch.List]string{
	batch.People: "People", batch.Qualifications: "Qualifications of staff", batch.Inspections: "Inspections done",
	batch.Intakes: "Intakes with their trainees", batch.Certificates: "Certificates", batch.Sessions: "Past sessions with attendance",
}

func bringInPage(v *visit) error { return v.bringIn(http.StatusOK, "", "") }

func (v *visit) bringIn(status int, chosen batch.List, bad string) error {
	p := page.BringIn{Shell: v.page("Bring in", "set-up"), Bad: bad, Largest: strconv.Itoa(bringing.MaxBytes>>20) + " MB"}
	p.Form = ui.Form{Action: uploadPath, Button: "Send the file"}
	if bad != "" {
		p.Form.Errors = []ui.FieldError{{Field: "file", Text: bad}}
	}
	p.List = ui.Field{Name: "list", Label: "What it lists", Kind: ui.Select, Required: true}
	for _, l := range batch.Lists() {
		p.List.Options = append(p.List.Options, ui.Option{Value: string(l), Label: listNames[l], Chosen: l == chosen})
	}
	list, err := v.Bringing.Batches(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	for _, b := range list {
		row := page.BatchRow{What: ui.Link{Text: listNames[b.List] + ", from " + b.Name, Href: "/import/batches/" + string(b.ID)}, When: v.words.Moment(b.At), By: b.By, Rows: batchRows(b)}
		if b.Back {
			row.Back = "taken back"
		}
		p.Batches = append(p.Batches, row)
	}
	p.Shell.TakeOut = v.takeOut("batches")
	return v.show(status, page.BringInPage(p))
}

func batchRows(b bringing.Batch) string {
	return strconv.Itoa(b.Taken) + " taken, " + strconv.Itoa(b.Refused) + " refused"
}

// sendList takes a file. Its parts are read as they come, so that nothing of it
// is put on a disk.
func sendList(v *visit) error {
	f, err := readList(v.r)
	if err == nil {
		var key string
		if key, err = v.Tray.Send(v.r.Context(), v.actor, v.now, f); err == nil {
			return v.goTo("/import/files/"+key, "")
		}
	}
	if kind := fault.Of(err); kind == fault.Invalid || kind == fault.Conflict {
		return v.bringIn(http.StatusUnprocessableEntity, f.List, fault.Message(err))
	}
	return err
}

// readList reads what is sent with a list.
func readList(r *http.Request) (f bringing.File, err error) {
	sent, file, err := readUpload(r)
	f = bringing.File{Name: file.name, List: batch.List(sent.Get("list")), Data: file.data}
	switch {
	case err != nil:
	case file.large:
		err = fault.New(fault.Invalid, "The file has more than %d MB. Split it, or take out what is not needed.", bringing.MaxBytes>>20)
	case f.Name == "" && len(f.Data) == 0:
		err = fault.New(fault.Invalid, "No file was sent. Choose one.")
	case listNames[f.List] == "":
		err = fault.New(fault.Invalid, "What the file lists was not said. Choose it.")
	}
	return f, err
}

// sentFile is the file that the address names.
func (v *visit) sentFile() (bringing.Sent, error) {
	return v.Tray.Look(v.actor, v.now, v.param("file"))
}

func (v *visit) filePath() string { return "/import/files/" + url.PathEscape(v.param("file")) }

func (v *visit) dropForm() ui.Form {
	return ui.Form{Action: v.filePath() + "/drop", Key: v.freshKey(), Button: "Drop the file"}
}

func dropList(v *visit) error {
	if err := v.Tray.Drop(v.actor, v.now, v.param("file")); err != nil {
		return err
	}
	return v.goTo("/import", "The file was dropped. Nothing was changed.")
}

func columnsPage(v *visit) error {
	s, err := v.sentFile()
	if err != nil {
		return err
	}
	var bad fault.Fields
	if q := v.r.URL.Query(); q.Has("draw") {
		err := v.Tray.Reread(v.r.Context(), v.actor, v.now, v.param("file"), mappingOf(s, q))
		if fault.Of(err) == fault.Invalid {
			bad = fault.Fields{"": fault.Message(err)}
		} else if err != nil {
			return err
		}
		if s, err = v.sentFile(); err != nil {
			return err
		}
	}
	return v.columns(http.StatusOK, s, bad)
}

// mappingOf reads the form of the columns. Another sheet, encoding or separator
// has other columns: they are guessed anew.
func mappingOf(s bringing.Sent, f url.Values) bringing.Mapping {
	m := bringing.Mapping{Sheet: f.Get("sheet"), Encoding: f.Get("encoding"), Separator: f.Get("separator"), Columns: map[string]string{},
		Habits: bringing.Habits{Order: f.Get("order"), Serial: f.Get("serial"), Decimal: f.Get("decimal")}}
	for _, field := range bringing.Fields(s.File.List) {
		m.Columns[field.Name] = f.Get("column_" + field.Name)
	}
	for _, p := range f["rest"] {
		m.Rest = append(m.Rest, id.Profile(p))
	}
	if m.Sheet != s.Mapping.Sheet || m.Encoding != s.Mapping.Encoding || m.Separator != s.Mapping.Separator {
		m.Columns = nil
	}
	return m
}

func judgeList(v *visit) error {
	s, err := v.sentFile()
	if err != nil {
		return err
	}
	f, err := v.form()
	if err != nil {
		return err
	}
	m := mappingOf(s, f)
	if m.Columns == nil {
		return v.goTo(v.filePath()+"?"+drawn(f).Encode(), "Another sheet, encoding or separator was chosen. Look at the columns again.")
	}
	if err := v.Tray.Judge(v.actor, v.now, v.param("file"), m); err != nil {
		return err
	}
	return v.goTo(v.filePath()+"/rows", "")
}

// drawn is the address that shows the columns page as a form was filled in.
func drawn(f url.Values) url.Values {
	out := url.Values{"draw": {"yes"}}
	for name, values := range f {
		if name != "key" && name != "draw" {
			out[name] = values
		}
	}
	return out
}

func (v *visit) columns(status int, s bringing.Sent, bad fault.Fields) error {
	p := page.Columns{Shell: v.page("Which column is which", "set-up"), Drop: v.dropForm()}
	p.Line = s.File.Name + ": " + listNames[s.File.List] + ", " + web.Count(s.Rows, "row", "rows") + " below the heads"
	p.Form = ui.Form{Action: v.filePath(), Key: v.freshKey(), Button: "Judge the rows", Lead: "Not judged. To mend:", Also: ui.Also{Text: "Show the file so", Action: v.filePath()}}
	for _, c := range s.Columns {
		row := page.ColumnRow{Letters: c.Letters, Head: c.Head, Examples: strings.Join(c.Examples, " · ")}
		if c.Hidden {
			row.Examples = "hidden"
		}
		p.Columns = append(p.Columns, row)
	}
	p.Groups = []page.FieldGroup{{Title: "Columns", Note: "Guessed from the heads, or as last time. Set what is wrong.", Fields: columnFields(s)}, readingFields(s)}
	if s.File.List == batch.Intakes {
		chosen := s.Mapping.Rest
		if chosen == nil {
			chosen = v.usualRest()
		}
		p.Groups = append(p.Groups, page.FieldGroup{Title: "Trainees", Fields: []ui.Field{v.restField(chosen)}})
	}
	for g := range p.Groups {
		for i := range p.Groups[g].Fields {
			f := &p.Groups[g].Fields[i]
			f.Error = bad[strings.TrimPrefix(f.Name, "column_")]
		}
	}
	p.Form.Errors = messages(p.Groups, leftOver(bad, s))
	return v.show(status, page.ColumnsPage(p))
}

// leftOver are the messages that no column shows.
func leftOver(bad fault.Fields, s bringing.Sent) fault.Fields {
	out := fault.Fields{}
	for name, m := range bad {
		if !slices.ContainsFunc(bringing.Fields(s.File.List), func(f bringing.Field) bool { return f.Name == name }) {
			out[name] = m
		}
	}
	return out
}

// columnFields ask which column holds each field, with what stands in it.
func columnFields(s bringing.Sent) []ui.Field {
	var out []ui.Field
	for _, f := range bringing.Fields(s.File.List) {
		one := ui.Field{Name: "column_" + f.Name, Label: f.Label, Kind: ui.Select, Options: []ui.Option{{Label: "none"}}}
		if f.Needed {
			one.Label += " (needed)"
		}
		for _, c := range s.Columns {
			if c.Hidden {
				continue
			}
			label := c.Letters
			if c.Head != "" {
				label += ": " + c.Head
			}
			chosen := c.Letters == s.Mapping.Columns[f.Name]
			if chosen && len(c.Examples) > 0 {
				one.Hint = "Such as " + strings.Join(c.Examples[:min(3, len(c.Examples))], " · ")
			}
			one.Options = append(one.Options, ui.Option{Value: c.Letters, Label: label, Chosen: chosen})
		}
		out = append(out, one)
	}
	return out
}

// readingFields ask how the file is to be read.
func readingFields(s bringing.Sent) page.FieldGroup {
	g := page.FieldGroup{Title: "How it is written", Note: "What is not set is not guessed: a day that can be two days is refused."}
	pick := func(name, label, now string, options ...[2]string) {
		f := ui.Field{Name: name, Label: label, Kind: ui.Select}
		for _, o := range options {
			f.Options = append(f.Options, ui.Option{Value: o[0], Label: o[1], Chosen: o[0] == now})
		}
		g.Fields = append(g.Fields, f)
	}
	h := s.Mapping.Habits
	pick("order", "Days such as 2/3/27", h.Order, [2]string{"", "refuse them"}, [2]string{bringing.DayFirst, "day first: 2 March 2027"}, [2]string{bringing.MonthFirst, "month first: 3 February 2027"})
	pick("serial", "Days such as 46083", h.Serial, [2]string{"", "refuse them"}, [2]string{bringing.Since1900, "counted from 1900"}, [2]string{bringing.Since1904, "counted from 1904"})
	if s.File.List == batch.Sessions {
		pick("decimal", "Hours such as 1,500", h.Decimal, [2]string{"", "refuse them"}, [2]string{",", "the comma stands before decimals"}, [2]string{".", "the point stands before decimals"})
	}
	if len(s.Sheets) > 0 {
		var options [][2]string
		for _, name := range s.Sheets {
			options = append(options, [2]string{name, name})
		}
		pick("sheet", "Sheet", s.Mapping.Sheet, options...)
		return g
	}
	var encodings [][2]string
	for _, e := range bringing.Encodings() {
		encodings = append(encodings, [2]string{e, strings.ToUpper(e)})
	}
	pick("encoding", "Encoding", s.Mapping.Encoding, encodings...)
	pick("separator", "Between values stands", s.Mapping.Separator, [2]string{",", "a comma"}, [2]string{";", "a semicolon"}, [2]string{"\t", "a tab"}, [2]string{"|", "a bar"})
	return g
}
