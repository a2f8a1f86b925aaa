package httpd

import (
	"bytes"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/a-h/templ"
	"github.com/go-chi/chi/v5"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/verdict"
	"rungbook/web"
	"rungbook/web/ui"
)

// visit is one request with who makes it and how this yard's values read.
type visit struct {
	*server
	w     http.ResponseWriter
	r     *http.Request
	actor access.Actor
	shell ui.Shell
	words web.Words
	now   civil.Instant
	today civil.Day
	head  int64
	ref   *planning.Reference // slowly changing records: names of rigs, stations, exercises
}

// serve runs a route: find out who asks, check that they may, handle, answer.
func (s *server) serve(rt route) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		v := &visit{server: s, w: w, r: r}
		if err := v.open(rt); err != nil {
			v.problem(err)
			return
		}
		if err := readable(r); err != nil {
			v.problem(err)
			return
		}
		if err := rt.handle(v); err != nil {
			v.problem(err)
		}
	}
}

// keepHeader marks the requests by which a phone keeps the day's pages (worker.js).
const keepHeader = "Rungbook-Keep"

const accountKey, roundKey, flashKey = "account", "round", "flash"

// open fills the visit: the actor behind the cookie, the shell around the page.
func (v *visit) open(rt route) error {
	account := id.Account(v.sessions.GetString(v.r.Context(), accountKey))
	o, err := v.Door.Open(v.r.Context(), account, v.sessions.GetInt64(v.r.Context(), roundKey))
	if err != nil {
		return err
	}
	v.actor, v.now, v.today, v.head, v.ref = o.Actor, o.Now, o.Today, o.Head, o.Ref
	v.words = web.Words{Zone: o.Zone, Today: o.Today, Name: func(r verdict.Ref) string { return planning.Name(o.Ref, r, o.Today) }}
	v.shell = ui.Shell{Yard: o.Yard, Theme: v.theme(), Path: v.r.URL.RequestURI(),
		AsOf: ui.AsOf{Moment: v.words.Moment(v.now), Root: o.Root}}
	if v.head >= 0 {
		v.shell.AsOf.Entry = web.Number(v.head)
	}
	// What was done is told by the page that it led to. An answer to another form must
	// not tell it: while nothing can be written, what was told is not forgotten. Nor
	// must the copy that a phone keeps of a page: nobody reads it now.
	if v.r.Header.Get(keepHeader) == "" {
		if text := v.sessions.PopString(v.r.Context(), flashKey); text != "" && v.r.Method == http.MethodGet {
			v.shell.Flash = ui.Notice{Text: text, Plain: true}
		}
	}
	if v.actor.Account == "" {
		if account != "" {
			v.sessions.Remove(v.r.Context(), accountKey)
		}
		if rt.action != "" {
			return errSignIn
		}
		return nil
	}
	v.shell.Actor = ui.Actor{Name: o.Name, Roles: roleWords(v.actor)}
	if access.May(v.actor, access.ChangeOwnPassword) {
		v.shell.Actor.Href = "/account"
	}
	if access.May(v.actor, access.ReportIncident) {
		v.shell.Report = ui.Link{Text: "Report an incident", Href: "/incidents/new"}
	}
	if access.May(v.actor, access.FileComplaint) {
		v.shell.Complain = ui.Link{Text: "My complaints and appeals", Href: "/complaints/mine"}
	}
	if access.May(v.actor, access.SeeYard) {
		v.shell.Lists = []ui.Link{{Text: "all lists", Href: "/lists"}}
	}
	v.shell.Nav, v.shell.NoSearch = ui.Nav(v.mayOpen, ""), !access.May(v.actor, access.Search)
	if rt.action != "" {
		_, err = access.Require(v.actor, rt.action)
	}
	return err
}

func (v *visit) theme() string {
	if c, err := v.r.Cookie("theme"); err == nil && (c.Value == "light" || c.Value == "dark") {
		return c.Value
	}
	return ""
}

// errSignIn sends a visitor to the door.
var errSignIn = errors.New("sign in first")

// sections maps a place of the navigation to the action that opens it.
var sections = map[string]access.Action{
	"yard": access.SeeYard, "week": access.SeeWeek, "book": access.SeeOptions, "coverage": access.SeeCoverage,
	"plan": access.PlanIntake, "mend": access.RecordLoss, "people": access.SeePeople, "intakes": access.SeeIntakes, "certificates": access.SeeCertificates,
	"rule-book": access.SeeRuleBook, "attention": access.SeeAttention, "path": access.SeeOwnPath,
	"set-up": access.ChangeYard, "accounts": access.SeeAccounts, "backups": access.SeeBackups,
}

func (v *visit) mayOpen(section string) bool {
	action, ok := sections[section]
	if section == "path" && access.May(v.actor, access.SeePeople) {
		return false // staff find their own page among all others
	}
	return ok && access.May(v.actor, action)
}

func roleWords(a access.Actor) string {
	var words []string
	for _, r := range a.Roles {
		words = append(words, string(r))
	}
	for _, ap := range a.Appointments {
		words = append(words, "responsible for "+planning.FieldName(ap.Field))
	}
	return strings.Join(words, ", ")
}

// page titles the shell of the page that is about to be shown.
func (v *visit) page(title, section string) ui.Shell {
	v.shell.Title, v.shell.Section = title, section
	return v.shell
}

// show renders a whole page into a buffer, so that a failure shows as one, and
// sends it.
func (v *visit) show(status int, c templ.Component) error {
	var b bytes.Buffer
	if err := c.Render(v.r.Context(), &b); err != nil {
		return fmt.Errorf("draw %s: %w", v.r.URL.Path, err)
	}
	v.w.Header().Set("Content-Type", "text/html; charset=utf-8")
	v.w.WriteHeader(status)
	if _, err := v.w.Write(b.Bytes()); err != nil {
		v.log.Debug("the reader left", "path", v.r.URL.Path)
	}
	return nil
}

// goTo answers a command: see the result there. flash is what happened, in words.
func (v *visit) goTo(path, flash string) error {
	if flash != "" {
		v.sessions.Put(v.r.Context(), flashKey, flash)
	}
	http.Redirect(v.w, v.r, path, http.StatusSeeOther)
	return nil
}

// key returns the form's client key, a fresh one for a form not yet sent.
func (v *visit) key() string {
	if k := v.r.PostFormValue("key"); k != "" {
		return k
	}
	return v.ids.New()
}

func (v *visit) param(name string) string { return chi.URLParam(v.r, name) }

// form reads the request's fields, from the body of a POST or the address.
func (v *visit) form() (url.Values, error) {
	if err := v.r.ParseForm(); err != nil {
		var tooLarge *http.MaxBytesError
		if errors.As(err, &tooLarge) {
			return nil, fault.New(fault.Invalid, "The form is larger than %d kB. Send less text.", maxForm>>10)
		}
		return nil, fault.New(fault.Invalid, "The form could not be read: %w.", err)
	}
	if !utf8Values(v.r.Form) {
		return nil, errUnreadable
	}
	return v.r.Form, nil
}

var errUnreadable = fault.New(fault.Invalid, "What was sent is not readable as text. Open the page again and fill it in anew.")

// readable refuses an address that is not text: what is asked of the records is
// always UTF-8.
func readable(r *http.Request) error {
	if !utf8.ValidString(r.URL.Path) || !utf8Values(r.URL.Query()) {
		return errUnreadable
	}
	return nil
}

func utf8Values(f url.Values) bool {
	for name, values := range f {
		if !utf8.ValidString(name) || slices.ContainsFunc(values, func(s string) bool { return !utf8.ValidString(s) }) {
			return false
		}
	}
	return true
}

// dayField reads a day; an empty field is no day.
func dayField(f url.Values, name string, bad fault.Fields) civil.Day {
	text := f.Get(name)
	if text == "" {
		return 0
	}
	d, err := civil.ParseDay(text)
	if err != nil {
		bad.Add(name, "%s", sentence(err))
	} else if d < firstDay || d > lastDay {
		bad.Add(name, "%s is too far away. Give a day from %s to %s.", d, firstDay, lastDay)
	}
	return d
}

// Days that a form may name: no record of a yard reaches further.
var firstDay, lastDay = civil.DayOf(1950, time.January, 1), civil.DayOf(2199, time.December, 31)

// momentFields reads a day and a time of this yard; both empty is no moment.
func (v *visit) momentFields(f url.Values, day, clock string, bad fault.Fields) civil.Instant {
	d := dayField(f, day, bad)
	text := f.Get(clock)
	if d == 0 && text == "" {
		return 0
	}
	if d == 0 {
		bad.Add(day, "Give the day too.")
		return 0
	}
	m, err := civil.ParseClock(text)
	if err != nil {
		bad.Add(clock, "%s", sentence(err))
		return 0
	}
	return v.words.Zone.At(d, m)
}

func numberField(f url.Values, name string) int64 {
	n, err := strconv.ParseInt(f.Get(name), 10, 64)
	if err != nil {
		return 0
	}
	return n
}

// sentence turns an error of a small parser into one for a form.
func sentence(err error) string {
	s := err.Error()
	return strings.ToUpper(s[:1]) + s[1:] + "."
}
