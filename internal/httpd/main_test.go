package httpd

import (
	"bytes"
	"context"
	"crypto/rand"
	"io"
	"log/slog"
	"maps"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"golang.org/x/net/html"

	"rungbook/internal/access"
	"rungbook/internal/archive"
	"rungbook/internal/arriving"
	"rungbook/internal/booking"
	"rungbook/internal/bringing"
	"rungbook/internal/circuits"
	"rungbook/internal/civil"
	"rungbook/internal/complaints"
	"rungbook/internal/completing"
	"rungbook/internal/coverage"
	"rungbook/internal/demo"
	"rungbook/internal/demo/demotest"
	"rungbook/internal/dossiers"
	"rungbook/internal/drafting"
	"rungbook/internal/founding"
	"rungbook/internal/id"
	"rungbook/internal/incidents"
	"rungbook/internal/keeping"
	"rungbook/internal/readings"
	"rungbook/internal/records"
	"rungbook/internal/running"
	"rungbook/internal/safekeeping"
	"rungbook/internal/signin"
	"rungbook/internal/signing"
	"rungbook/internal/store"
	"rungbook/internal/yardday"
)

func TestMain(m *testing.M) { demotest.Main(m, yard, tenYears) }

// monday is the day on which the tests' yard stands, eight its moment.
var (
	monday = civil.DayOf(2027, time.April, 12)
	eight  = demo.Zone().At(monday, 8*60)
)

func standing() time.Time { return time.Unix(int64(eight)*60, 0) }

// The yards by years of records; only measuring asks for the second.
var (
	yard     = demotest.New(eight, 1)
	tenYears = demotest.New(eight, 10)
)

// site is the program over a yard of its own.
type site struct {
	testing.TB
	handler http.Handler
	store   *store.Store
	drafts  *drafting.Desk // that searches nothing until search is called
	tray    *bringing.Tray

	dir      string // of its records
	journeys Journeys
	log      *slog.Logger
	told     *bytes.Buffer // what the log said
}

// open serves a copy of the demo's yard.
func open(t testing.TB) *site {
	t.Helper()
	return serve(t, yard.Copy(t))
}

func serve(t testing.TB, dir string) *site { return serveAt(t, dir, "") }

func serveAt(t testing.TB, dir, address string) *site {
	t.Helper()
	s := demotest.Open(t, dir, func() civil.Instant { return eight })
	drafts := drafting.New(s, drafting.Options{Version: "test"})
	tray := bringing.NewTray(bringing.New(s), id.NewMaker(rand.Reader))
	t.Cleanup(tray.Close) // before the store
	j := Journeys{Door: signin.New(s), Desk: booking.New(s), Yard: yardday.New(s), Coverage: coverage.New(s),
		Records: records.New(s), Signing: signing.New(s), Running: running.New(s), Keeper: keeping.New(s), Drafts: drafts, Founder: founding.New(s), Bringing: bringing.New(s), Tray: tray, Archive: archive.New(s, civil.Real, "test"), SignIns: s.SignIns(), Address: address,
		Backups: safekeeping.New(safekeeping.Plan{Clock: standing}),

		Incidents: incidents.New(s), Readings: readings.New(s),
		Arriving: arriving.New(s),
		Circuits: circuits.New(s),

		Completing: completing.New(s),
		Dossiers:   dossiers.New(s),
		Complaints: complaints.New(s),
	}
	told := &bytes.Buffer{}
	log := slog.New(slog.NewTextHandler(told, nil))
	return &site{TB: t, handler: New(j, log), store: s, drafts: drafts, tray: tray, dir: dir, journeys: j, log: log, told: told}
}

func (s *site) head() (n int64) {
	s.Helper()
	if err := s.store.Read(context.Background(), func(v *store.View) error { n = v.Head(); return nil }); err != nil {
		s.Fatal(err)
	}
	return n
}

func (s *site) reference() (ref *store.Reference) {
	s.Helper()
	err := s.store.Read(context.Background(), func(v *store.View) (err error) { ref, err = v.Reference(); return err })
	if err != nil {
		s.Fatal(err)
	}
	return ref
}

// reader is a browser: it keeps cookies and follows nothing by itself.
type reader struct {
	*site
	cookies map[string]*http.Cookie
	from    string // its address
}

func (s *site) visitor() *reader {
	return &reader{site: s, cookies: map[string]*http.Cookie{}, from: "192.0.2.7:4711"}
}

// as signs in with the demo's account of a role.
func (s *site) as(role access.Role) *reader {
	s.Helper()
	r := s.visitor()
	for _, a := range demo.Accounts() {
		if a.Role == role {
			got := r.post("/sign-in", url.Values{"email": {a.Email}, "password": {a.Password}})
			if got.Code != http.StatusSeeOther {
				s.Fatalf("signing in as %s: %d", role, got.Code)
			}
			return r
		}
	}
	s.Fatalf("the demo has no account of an %s", role)
	return nil
}

func (r *reader) get(path string) *httptest.ResponseRecorder { return r.do("GET", path, nil, nil) }

func (r *reader) post(path string, form url.Values) *httptest.ResponseRecorder {
	return r.do("POST", path, form, http.Header{"Sec-Fetch-Site": {"same-origin"}})
}

func (r *reader) do(method, path string, form url.Values, header http.Header) *httptest.ResponseRecorder {
	r.Helper()
	if form != nil {
		typed := http.Header{"Content-Type": {"application/x-www-form-urlencoded"}}
		maps.Copy(typed, header)
		header = typed
	}
	return r.send(method, path, strings.NewReader(form.Encode()), header)
}

// send sends a request with any body.
func (r *reader) send(method, path string, body io.Reader, header http.Header) *httptest.ResponseRecorder {
	r.Helper()
	q := httptest.NewRequest(method, "http://yard.example"+path, body)
	q.RemoteAddr = r.from
	for name, values := range header {
		q.Header[name] = values
	}
	for _, c := range r.cookies {
		q.AddCookie(c)
	}
	w := httptest.NewRecorder()
	r.handler.ServeHTTP(w, q)
	for _, c := range w.Result().Cookies() {
		if c.MaxAge < 0 {
			delete(r.cookies, c.Name)
			continue
		}
		r.cookies[c.Name] = c
	}
	return w
}

// parse returns the page of an answer.
func parse(t testing.TB, w *httptest.ResponseRecorder) *html.Node {
	t.Helper()
	n, err := html.Parse(strings.NewReader(w.Body.String()))
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// find returns the first element that do accepts, nil for none.
func find(n *html.Node, do func(*html.Node) bool) *html.Node {
	for d := range n.Descendants() {
		if d.Type == html.ElementNode && do(d) {
			return d
		}
	}
	return nil
}

func attr(n *html.Node, name string) string {
	for _, a := range n.Attr {
		if a.Key == name {
			return a.Val
		}
	}
	return ""
}

func has(n *html.Node, name string) bool {
	for _, a := range n.Attr {
		if a.Key == name {
			return true
		}
	}
	return false
}

// text is what an element says, white space folded.
func text(n *html.Node) string {
	var b strings.Builder
	for d := range n.Descendants() {
		if d.Type == html.TextNode {
			b.WriteString(d.Data + " ")
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

// value is what a form's element holds as it is shown.
func value(n *html.Node) string {
	switch n.Data {
	case "textarea":
		return strings.TrimSpace(text(n))
	case "select":
		if o := find(n, func(o *html.Node) bool { return o.Data == "option" && has(o, "selected") }); o != nil {
			return attr(o, "value")
		}
		return ""
	}
	return attr(n, "value")
}
