package httpd

import (
	"context"
	"errors"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"net/url"
	"strings"
	"testing"

	"rungbook/internal/access"
	"rungbook/internal/demo"
	"rungbook/internal/store"
)

// behind serves a copy of the demo's yard behind a proxy at 198.51.100.1.
func behind(t testing.TB, f Front) *site {
	t.Helper()
	f.Proxies = []netip.Prefix{netip.MustParsePrefix("198.51.100.1/32"), netip.MustParsePrefix("2001:db8:1::/48")}
	return open(t).with(f)
}

// with serves the same yard with another front.
func (s *site) with(f Front) *site {
	other := *s
	j := s.journeys
	if f.Readable == nil {
		f.Readable = func(ctx context.Context) error { return s.store.Read(ctx, func(*store.View) error { return nil }) }
	}
	j.Front = f
	other.handler = New(j, s.log)
	return &other
}

func TestOnlyATrustedProxyIsBelievedWhereARequestCameFrom(t *testing.T) {
	s := behind(t, Front{})
	a := demo.Accounts()[0]
	wrong := url.Values{"email": {a.Email}, "password": {"not the password of it"}}
	try := func(peer string, header http.Header) int {
		r := s.visitor()
		r.from = peer
		h := http.Header{"Sec-Fetch-Site": {"same-origin"}}
		for name, value := range header {
			h[name] = value
		}
		return r.do("POST", "/sign-in", wrong, h).Code
	}
	claims := func(address string) http.Header {
		return http.Header{"X-Forwarded-For": {address}, "X-Real-Ip": {address}, "True-Client-Ip": {address}, "Forwarded": {"for=" + address}}
	}
	// A stranger who names another address each time is one place all the same.
	for i := range failuresAllowed {
		if got := try("192.0.2.9:1000", claims("203.0.113."+string(rune('1'+i)))); got != http.StatusUnprocessableEntity {
			t.Fatalf("failure %d of a stranger: %d", i+1, got)
		}
	}
	if got := try("192.0.2.9:2000", claims("203.0.113.99")); got != http.StatusTooManyRequests {
		t.Errorf("a stranger chose their own address: %d, want to wait", got)
	}
	// Behind the proxy the client is who the proxy saw, whatever the client wrote before.
	for i := range failuresAllowed {
		if got := try("198.51.100.1:443", claims("10.9.9."+string(rune('1'+i))+", 203.0.113.50")); got != http.StatusUnprocessableEntity {
			t.Fatalf("failure %d behind the proxy: %d", i+1, got)
		}
	}
	for name, c := range map[string]struct {
		peer, said string
		want       int
	}{
		"the same client":                      {"198.51.100.1:444", "10.9.9.200, 203.0.113.50", http.StatusTooManyRequests},
		"the same through two proxies":         {"198.51.100.1:444", "203.0.113.50, 2001:db8:1::7", http.StatusTooManyRequests},
		"the same as IPv6 writes it":           {"[::ffff:198.51.100.1]:444", "::ffff:203.0.113.50", http.StatusTooManyRequests},
		"another client":                       {"198.51.100.1:444", "203.0.113.50, 203.0.113.51", http.StatusUnprocessableEntity},
		"what stands before rubbish is unsaid": {"198.51.100.1:444", "203.0.113.50, rubbish", http.StatusUnprocessableEntity},
	} {
		if got := try(c.peer, http.Header{"X-Forwarded-For": {c.said}}); got != c.want {
			t.Errorf("%s: %d, want %d", name, got, c.want)
		}
	}
}

func TestANetworkOfIPv6IsOnePlace(t *testing.T) {
	for peer, want := range map[string]string{"[2001:db8::1]:1": "2001:db8::", "[2001:db8::ffff:1]:2": "2001:db8::", "192.0.2.7:3": "192.0.2.7", "[::ffff:192.0.2.7]:4": "192.0.2.7"} {
		r := httptest.NewRequest("GET", "/", nil)
		r.RemoteAddr = peer
		var got string
		Front{}.clients()(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) { got = place(r) })).ServeHTTP(httptest.NewRecorder(), r)
		if got != want {
			t.Errorf("%s is at the place %q, want %q", peer, got, want)
		}
	}
}

func TestOnlyATrustedProxyIsBelievedThatTLSIsSpokenAndWithWhom(t *testing.T) {
	s := behind(t, Front{})
	said := http.Header{"X-Forwarded-Proto": {"https"}, "X-Forwarded-Host": {"yard.example:8443"}}
	a := demo.Accounts()[0]
	for name, c := range map[string]struct {
		peer    string
		header  http.Header
		private bool
		origin  string
	}{
		"the proxy":                {"198.51.100.1:1", said, true, "https://yard.example:8443"},
		"a stranger":               {"192.0.2.7:1", said, false, "http://yard.example"},
		"the proxy says nothing":   {"198.51.100.1:1", nil, false, "http://yard.example"},
		"the proxy says rubbish":   {"198.51.100.1:1", http.Header{"X-Forwarded-Proto": {"gopher"}, "X-Forwarded-Host": {"evil.example/x@y"}}, false, "http://yard.example"},
		"the client before it too": {"198.51.100.1:1", http.Header{"X-Forwarded-Proto": {"http", "https"}, "X-Forwarded-Host": {"evil.example, yard.example:8443"}}, true, "https://yard.example:8443"},
	} {
		t.Run(name, func(t *testing.T) {
			r := s.visitor()
			r.from = c.peer
			h := http.Header{"Sec-Fetch-Site": {"same-origin"}}
			for k, v := range c.header {
				h[k] = v
			}
			w := r.do("POST", "/sign-in", url.Values{"email": {a.Email}, "password": {a.Password}}, h)
			if w.Code != http.StatusSeeOther || r.cookies["rungbook"].Secure != c.private {
				t.Fatalf("%d with a cookie for TLS alone: %t, want %t", w.Code, r.cookies["rungbook"].Secure, c.private)
			}
			if got := w.Header().Get("Strict-Transport-Security"); (got != "") != c.private {
				t.Errorf("Strict-Transport-Security is %q", got)
			}
			q := httptest.NewRequest("GET", "http://yard.example/", nil)
			q.RemoteAddr = c.peer
			q.Header = c.header.Clone()
			if q.Header == nil {
				q.Header = http.Header{}
			}
			sv := &server{Journeys: s.journeys}
			sv.Front = Front{Proxies: []netip.Prefix{netip.MustParsePrefix("198.51.100.1/32")}}
			sv.fronted(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) {
				if got := (&visit{server: sv, r: r}).origin(); got != c.origin {
					t.Errorf("links begin with %s, want %s", got, c.origin)
				}
				for _, name := range forwarded {
					if r.Header.Get(name) != "" {
						t.Errorf("%s is passed on", name)
					}
				}
			})).ServeHTTP(httptest.NewRecorder(), q)
		})
	}
}

func TestARequestsIDIsOursUnlessTheProxyGaveAPlainOne(t *testing.T) {
	s := behind(t, Front{LogRequests: true})
	for name, c := range map[string]struct {
		peer, given string
		kept        bool
	}{
		"the proxy's":            {"198.51.100.1:1", "of-the-proxy-4711", true},
		"one that forges a line": {"198.51.100.1:1", "a b\nlevel=INFO", false},
		"one that is too long":   {"198.51.100.1:1", strings.Repeat("a", 65), false},
		"a stranger's":           {"192.0.2.7:1", "of-the-stranger-4711", false},
	} {
		s.told.Reset()
		r := s.visitor()
		r.from = c.peer
		r.do("GET", "/sign-in", nil, http.Header{"X-Request-Id": {c.given}})
		if !strings.Contains(s.told.String(), "route=/sign-in") {
			t.Fatalf("%s: no line was written: %s", name, s.told)
		}
		if got := strings.Contains(s.told.String(), "request="+c.given+" "); got != c.kept {
			t.Errorf("%s: kept is %t; the log says %s", name, got, s.told)
		}
	}
}

func TestHealthSaysWhetherTheRecordCanBeReadAndNothingElse(t *testing.T) {
	s := open(t)
	var broken error
	watched := s.with(Front{Readable: func(context.Context) error { return broken }})
	for name, c := range map[string]struct {
		err  error
		want int
		says string
	}{
		"it can":   {nil, http.StatusOK, "ok\n"},
		"it can't": {errors.New("of Odalys Brannagh's row"), http.StatusServiceUnavailable, "the record can't be read\n"},
	} {
		broken = c.err
		w := watched.visitor().get("/healthz")
		if w.Code != c.want || w.Body.String() != c.says {
			t.Errorf("%s: %d %q, want %d %q", name, w.Code, w.Body, c.want, c.says)
		}
		if w := watched.visitor().do("HEAD", "/healthz", nil, nil); w.Code != c.want || w.Body.Len() > 0 {
			t.Errorf("%s, head alone: %d %q", name, w.Code, w.Body)
		}
	}
	w := httptest.NewRecorder()
	healthy(nil)(w, httptest.NewRequest("GET", "/healthz", nil))
	if w.Code != http.StatusServiceUnavailable {
		t.Errorf("where nobody can tell: %d, want %d", w.Code, http.StatusServiceUnavailable)
	}
	// A yard whose store is closed behind the server's back.
	closed := open(t).with(Front{})
	if w := closed.visitor().get("/healthz"); w.Code != http.StatusOK {
		t.Fatalf("a sound yard: %d", w.Code)
	}
	if err := closed.store.Close(); err != nil {
		t.Fatal(err)
	}
	if w := closed.visitor().get("/healthz"); w.Code != http.StatusServiceUnavailable {
		t.Errorf("a closed record: %d", w.Code)
	}
}

func TestFiguresCountByRouteAndHoldNothingOfAPerson(t *testing.T) {
	f := NewFigures("v1.2.3")
	readable := true
	f.Tell(func(context.Context) (Standing, error) {
		if !readable {
			return Standing{}, errors.New("closed")
		}
		return Standing{Entries: 4711, SignIns: 12, LastBackup: standing()}, nil
	})
	s := open(t).with(Front{Figures: f})
	r := s.as(access.Instructor)
	r.get("/people?q=Odalys")
	r.get("/people?q=Brannagh")
	r.get("/sessions/none")
	r.get("/no-such-page/odalys@yard.example")
	r.get(apiPath + "/no-such/odalys@yard.example")
	r.do("BREW", "/people", nil, nil)
	f.Waited(0)
	read := func() string {
		w := httptest.NewRecorder()
		f.Handler(func(context.Context) error { return nil }).ServeHTTP(w, httptest.NewRequest("GET", "/metrics", nil))
		if w.Code != http.StatusOK {
			t.Fatalf("/metrics: %d %s", w.Code, w.Body)
		}
		return w.Body.String()
	}
	text := read()
	for _, want := range []string{
		`rungbook_http_requests_total{method="GET",route="/people",status="200"} 2`,
		`rungbook_http_requests_total{method="GET",route="/sessions/{session}",status="404"} 1`,
		`rungbook_http_requests_total{method="GET",route="none",status="404"} 2`,
		`rungbook_http_requests_total{method="other",route="none",status="404"} 1`,
		`rungbook_http_requests_total{method="POST",route="/sign-in",status="303"} 1`,
		`rungbook_http_request_seconds_count{method="GET",route="/people"} 2`,
		`rungbook_writer_wait_seconds_count 1`,
		`rungbook_ledger_entries 4711`, `rungbook_sign_ins 12`, `rungbook_record_readable 1`,
		`rungbook_build_info{go="go`, `version="v1.2.3"} 1`, `rungbook_last_backup_timestamp_seconds 1.8`, `go_goroutines `,
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the figures lack %s", want)
		}
	}
	for _, person := range []string{"Odalys", "odalys", "Brannagh", "@"} {
		if strings.Contains(text, person) {
			t.Errorf("the figures hold %q", person)
		}
	}
	readable = false
	if text = read(); !strings.Contains(text, "rungbook_record_readable 0") || strings.Contains(text, "rungbook_ledger_entries 4") {
		t.Error("figures of a record that can't be read are told as if it could")
	}
	if w := s.visitor().get("/metrics"); w.Code != http.StatusNotFound {
		t.Errorf("figures at the yard's own address: %d, want not found", w.Code)
	}
}
