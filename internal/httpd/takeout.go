package httpd

import (
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/records"
	"rungbook/internal/sheets"
	"rungbook/internal/verdict"
	"rungbook/web/ui"
)

// takenList is a list that can be taken out as a file, under the rights of the page
// that shows it.
type takenList struct {
	name   string // of its address, /lists/NAME.FORMAT, where at is ""
	at     string // another address without its ending
	title  string
	action access.Action
	says   string   // what a row is, for the page of all lists
	asks   []string // fields of the address that narrow it
	write  func(*visit, *taking) error
}

func (l takenList) pattern() string {
	if l.at != "" {
		return l.at
	}
	return "/lists/" + l.name
}

// takenLists is every list that can be taken out, in the order of the page that
// names them all.
func takenLists() []takenList {
	return slices.Concat(peopleLists(), sessionLists(), yardLists(), taughtLists(), officeLists())
}

// takeOutRoutes are lists as files, under the rights of their pages, and calendars.
func takeOutRoutes() []route {
	out := []route{
		{get, "/lists", access.SeeYard, listsPage},
		{get, "/sessions", access.SeeWeek, sessionsPage},
		{get, "/week/{week}/calendar.ics", access.SeeWeek, weekCalendar},
		{get, "/stations/{station}/calendar.ics", access.SeeWeek, stationCalendar},
		{get, "/people/{person}/calendar.ics", access.SeePerson, func(v *visit) error { return v.personCalendar(id.Person(v.param("person"))) }},
		{get, "/path/calendar.ics", access.SeeOwnPath, func(v *visit) error { return v.personCalendar(v.actor.Person) }},
	}
	for _, l := range takenLists() {
		for _, format := range sheets.Formats() {
			out = append(out, route{get, l.pattern() + "." + format, l.action, func(v *visit) error { return v.takeList(l, format) }})
		}
	}
	return out
}

// taking is a list on its way into a file.
type taking struct {
	list   takenList
	format string
	title  string
	spool  spool
	out    sheets.Out
	by     string
}

// takeList writes a list whole, then sends it.
func (v *visit) takeList(l takenList, format string) error {
	t := &taking{list: l, format: format, by: v.shell.Actor.Name}
	defer v.closeSpool(&t.spool)
	if err := l.write(v, t); err != nil {
		return err
	}
	if err := t.out.Close(); err != nil {
		return fmt.Errorf("write %s as %s: %w", l.title, format, err)
	}
	v.sendFile(t.title, format, t.spool.size, t.spool.sendTo)
	return nil
}

// closeSpool ends a file that was sent, or failed to be written: nobody waits to hear
// how that went.
func (v *visit) closeSpool(s *spool) {
	if err := s.close(); err != nil {
		v.log.Error("a list's temporary file", "err", err)
	}
}

// begin names the file and says what it is about. v stands at the entry of its rows.
func (t *taking) begin(v *visit, title string, about ...string) (err error) {
	t.title = title
	lines := []string{"As of " + v.words.Moment(v.now) + ", entry " + strconv.FormatInt(v.head, 10), "Taken out by " + t.by}
	t.out, err = sheets.NewOut(&t.spool, t.format, title, append(lines, about...)...)
	return err
}

// heads begins the only list of a file.
func (t *taking) heads(heads ...string) error { return t.out.Part("", heads...) }

// standAt puts the visit where a list is read: names and numbers come from the same
// entry as its rows.
func (v *visit) standAt(entry int64, ref *planning.Reference) {
	v.head, v.ref = entry, ref
	v.words.Name = func(r verdict.Ref) string { return planning.Name(ref, r, v.today) }
}

// fromRecords reads a list of the records at one entry.
func (v *visit) fromRecords(t *taking, write func(*records.Lists) error) error {
	return v.Records.Lists(v.r.Context(), v.actor, t.list.action, func(l *records.Lists) error {
		v.now, v.today, v.words.Today = l.Now, l.Today, l.Today
		v.standAt(l.Entry, l.Ref)
		return write(l)
	})
}

// rows writes the rows of a list that is read a part at a time.
func rows[T any](t *taking, list func(func(T, error) bool), row func(T) []any) error {
	for r, err := range list {
		if err != nil {
			return err
		}
		if err := t.out.Row(row(r)...); err != nil {
			return err
		}
	}
	return nil
}

// contentTypes of what is taken out (IANA media types).
var contentTypes = map[string]string{
	"csv": "text/csv; charset=utf-8", "json": "application/json",
	"xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", "ics": "text/calendar; charset=utf-8", "zip": "application/zip",
}

// sendFile sends a file that was written whole.
func (v *visit) sendFile(title, format string, size int64, send func(io.Writer) error) {
	h := v.w.Header()
	h.Set("Content-Type", contentTypes[format])
	h.Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": fileName(title) + "." + format}))
	h.Set("Content-Length", strconv.FormatInt(size, 10))
	v.mayTakeLong()
	if err := send(v.w); err != nil {
		v.log.Debug("the reader left", "path", v.r.URL.Path)
	}
}

// mayTakeLong lets an answer take longer than a page's: a file, or what writes one.
// Who is gone is found out by the connection.
func (v *visit) mayTakeLong() {
	if err := http.NewResponseController(v.w).SetWriteDeadline(time.Time{}); err != nil && !errors.Is(err, http.ErrNotSupported) {
		v.log.Debug("an answer's deadline", "err", err)
	}
}

// fileName is a title without what folders don't take.
func fileName(title string) string {
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		if r < ' ' || strings.ContainsRune(`/\:*?"<>|`, r) {
			return '-'
		}
		return r
	}, title))
}

// takeOut lists the links to one of the lists as files, with the page's filters and
// more fields, in pairs.
func (v *visit) takeOut(name string, more ...string) []ui.Link {
	lists := takenLists()
	l := lists[slices.IndexFunc(lists, func(l takenList) bool { return l.name == name })]
	q := url.Values{}
	for _, field := range l.asks {
		if value := v.r.URL.Query().Get(field); value != "" {
			q.Set(field, value)
		}
	}
	for i := 0; i < len(more); i += 2 {
		q.Set(more[i], more[i+1])
	}
	return formatLinks(l.pattern(), q)
}

func formatLinks(at string, q url.Values) (out []ui.Link) {
	query := ""
	if len(q) > 0 {
		query = "?" + q.Encode()
	}
	for _, format := range sheets.Formats() {
		out = append(out, ui.Link{Text: strings.ToUpper(format), Href: at + "." + format + query})
	}
	return out
}

// filters names those in use, of pairs of a name and a value.
func filters(list ...string) (out []string) {
	for i := 0; i < len(list); i += 2 {
		if list[i+1] != "" {
			out = append(out, list[i]+": "+list[i+1])
		}
	}
	if len(out) == 0 {
		return []string{"No filter"}
	}
	return out
}

// orID is a name, or the id of what has none, so that a filter never goes unsaid.
func orID[T ~string](name string, of T) string {
	if name != "" || of == "" {
		return name
	}
	return "unknown (" + string(of) + ")"
}

func (v *visit) employerName(of id.Employer) string {
	e, _ := v.ref.Employers.On(of, v.today)
	return orID(v.ref.Text(e.Name), of)
}

func (v *visit) intakeName(of id.Intake) string {
	in, _ := v.ref.Intakes.On(of, v.today)
	return orID(v.ref.Text(in.Name), of)
}

func (v *visit) rigName(of id.Rig) string {
	r, _ := v.ref.Rigs.On(of, v.today)
	return orID(v.ref.Text(r.Name), of)
}

func (v *visit) stationName(of id.Station) string {
	st, _ := v.ref.Stations.On(of, v.today)
	return orID(v.ref.Text(st.Name), of)
}

func (v *visit) programmeName(of id.Programme) string {
	p, _ := v.ref.Programmes.On(of, civil.LastDay)
	return orID(v.ref.Text(p.Name), of)
}

// at is a moment of a list.
func (v *visit) at(t civil.Instant) sheets.Moment { return sheets.Moment{At: t, Zone: v.words.Zone} }

func yes(b bool) string {
	if b {
		return "yes"
	}
	return ""
}

// spaced writes a word of the records as people do: "signed off".
func spaced[T ~string](word T) string { return strings.ReplaceAll(string(word), "-", " ") }
