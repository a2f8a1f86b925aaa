package httpd

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"rungbook/internal/access"
	"rungbook/internal/demo"
)

func TestEveryAnswerCarriesTheGuards(t *testing.T) {
	s := open(t)
	r := s.as(access.Instructor)
	for _, path := range []string{"/", "/sign-in", "/nowhere", "/static/enhance.js", "/alive", "/week/rubbish", "/people"} {
		h := r.get(path).Header()
		for name, want := range map[string]string{
			"X-Content-Type-Options": "nosniff", "Referrer-Policy": "no-referrer", "Cross-Origin-Opener-Policy": "same-origin",
		} {
			if got := h.Get(name); got != want {
				t.Errorf("%s: %s is %q, want %q", path, name, got, want)
			}
		}
		policy := h.Get("Content-Security-Policy")
		for _, part := range []string{"default-src 'none'", "script-src 'self'", "style-src 'self'", "form-action 'self'", "frame-ancestors 'none'", "base-uri 'none'"} {
			if !strings.Contains(policy, part) {
				t.Errorf("%s: the content policy %q lacks %s", path, policy, part)
			}
		}
		if strings.Contains(policy, "unsafe") {
			t.Errorf("%s: the content policy allows what is unsafe", path)
		}
	}
	if got := r.get("/").Header().Get("Cache-Control"); got != "no-store" {
		t.Errorf("a page is kept by caches: %q", got)
	}
}

func TestTheSignInCookieIsOutOfReachAndChangesAtSignIn(t *testing.T) {
	s := open(t)
	r := s.visitor()
	r.cookies["rungbook"] = &http.Cookie{Name: "rungbook", Value: "planted-by-somebody-else"}
	a := demo.Accounts()[0]
	w := r.post("/sign-in", url.Values{"email": {strings.ToUpper(a.Email) + " "}, "password": {a.Password}})
	c := r.cookies["rungbook"]
	if w.Code != http.StatusSeeOther || c.Value == "planted-by-somebody-else" {
		t.Fatalf("signing in: %d with the cookie %q", w.Code, c.Value)
	}
	if !c.HttpOnly || c.SameSite != http.SameSiteLaxMode {
		t.Errorf("cookie %+v, want it out of scripts' reach and not sent from other sites' forms", c)
	}
	before := c.Value
	if w := r.post("/sign-out", nil); w.Code != http.StatusSeeOther {
		t.Fatalf("signing out: %d", w.Code)
	}
	r.cookies["rungbook"] = &http.Cookie{Name: "rungbook", Value: before}
	if w := r.get("/"); w.Code != http.StatusSeeOther {
		t.Errorf("the old cookie after signing out: %d, want the door", w.Code)
	}
}

func TestFormsFromOtherSitesAreRefused(t *testing.T) {
	s := open(t)
	r := s.as(access.Instructor)
	path := "/stations/" + s.places()["{station}"] + "/shut"
	form := url.Values{"key": {"cross"}, "reason": {"fault"}, "from": {monday.String()}, "from_time": {"09:00"}}
	before := s.head()
	for name, header := range map[string]http.Header{
		"another site":             {"Sec-Fetch-Site": {"cross-site"}},
		"a sister site":            {"Sec-Fetch-Site": {"same-site"}},
		"an old browser elsewhere": {"Origin": {"http://elsewhere.example"}},
	} {
		if w := r.do("POST", path, form, header); w.Code != http.StatusForbidden {
			t.Errorf("from %s: %d, want forbidden", name, w.Code)
		}
	}
	if s.head() != before {
		t.Fatal("a form of another site was saved")
	}
	if w := r.do("POST", path, form, http.Header{"Origin": {"http://yard.example"}}); w.Code != http.StatusSeeOther || s.head() == before {
		t.Errorf("from the site itself: %d", w.Code)
	}
}

func TestFailedSignInsMustWait(t *testing.T) {
	s := open(t)
	a := demo.Accounts()[0]
	r := s.visitor()
	wrong := url.Values{"email": {a.Email}, "password": {"not the password of it"}}
	for i := range failuresAllowed {
		if w := r.post("/sign-in", wrong); w.Code != http.StatusUnprocessableEntity {
			t.Fatalf("failure %d: %d", i+1, w.Code)
		}
	}
	right := url.Values{"email": {a.Email}, "password": {a.Password}}
	for name, form := range map[string]url.Values{"again": wrong, "with the right password": right, "typed another way": {"email": {"  " + strings.ToUpper(a.Email)}, "password": {"x"}}} {
		if w := r.post("/sign-in", form); w.Code != http.StatusTooManyRequests {
			t.Errorf("%s: %d, want to wait", name, w.Code)
		}
	}
	elsewhere := s.visitor()
	elsewhere.from = "192.0.2.8:1"
	if w := elsewhere.post("/sign-in", right); w.Code != http.StatusSeeOther {
		t.Errorf("the person themselves, from another place: %d, want in", w.Code)
	}
	other := demo.Accounts()[1]
	if w := r.post("/sign-in", url.Values{"email": {other.Email}, "password": {other.Password}}); w.Code != http.StatusSeeOther {
		t.Errorf("another person from the same place: %d, want in", w.Code)
	}
}

func TestOnePlaceMayNotTryEveryAddress(t *testing.T) {
	limit := newLimit(3)
	for range 3 {
		limit.OnLimit(httptest.NewRecorder(), httptest.NewRequest("POST", "/", nil), "192.0.2.7")
	}
	if _, rate, err := limit.Status("192.0.2.7"); err != nil || rate < 3 {
		t.Errorf("after three failures the rate is %v (%v), want 3", rate, err)
	}
	if _, rate, err := limit.Status("192.0.2.8"); err != nil || rate != 0 {
		t.Errorf("another place has the rate %v (%v)", rate, err)
	}
}

func TestAfterSigningInNobodyIsSentToAnotherSite(t *testing.T) {
	for next, want := range map[string]string{
		"/week": "/week", "/people?q=a&b=c#d": "/people?q=a&b=c#d", "": "/", "/": "/", "week": "/", "//evil.example": "/", "///evil.example": "/",
		"/\\evil.example": "/", "\\\\evil.example": "/", "http://evil.example": "/", "javascript:alert(1)": "/", "/\t/evil.example": "/",
		"/\n/evil.example": "/", "/\x00/evil.example": "/", "/\u0085/evil.example": "/", " //evil.example": "/",
	} {
		if got := local(next); got != want {
			t.Errorf("%q leads to %q, want %q", next, got, want)
		}
	}
	s := open(t)
	a := demo.Accounts()[0]
	for _, next := range []string{"//evil.example", "/\t/evil.example", "https://evil.example/"} {
		w := s.visitor().post("/sign-in", url.Values{"email": {a.Email}, "password": {a.Password}, "next": {next}})
		if got := w.Header().Get("Location"); got != "/" {
			t.Errorf("sign-in with %q leads to %q", next, got)
		}
		w = s.visitor().post("/theme", url.Values{"theme": {"dark"}, "back": {next}})
		if got := w.Header().Get("Location"); got != "/" {
			t.Errorf("the theme with %q leads to %q", next, got)
		}
	}
}

func TestAFormTooLargeIsToldAndNotSaved(t *testing.T) {
	s := open(t)
	r := s.as(access.Instructor)
	path := "/stations/" + s.places()["{station}"] + "/shut"
	before := s.head()
	form := url.Values{"key": {"large"}, "reason": {"fault"}, "from": {monday.String()}, "from_time": {"09:00"}, "note": {strings.Repeat("a", maxForm)}}
	w := r.post(path, form)
	if w.Code != http.StatusUnprocessableEntity || !strings.Contains(text(parse(t, w)), "larger than 256 kB") {
		t.Errorf("%d, want a sentence that it is too large", w.Code)
	}
	if s.head() != before {
		t.Error("something was saved")
	}
}

func TestWhatIsNotThereIsNotFound(t *testing.T) {
	s := open(t)
	r := s.as(access.Administrator)
	for _, path := range []string{"/nowhere", "/week/2027-W99", "/week/rubbish", "/week/2027-W15x", "/day/2027-02-30", "/day/rubbish", "/rigs/none", "/stations/none", "/sessions/none",
		"/sessions/none/move", "/sessions/none/people", "/sessions/none/stand-down", "/people/none", "/intakes/none", "/certificates/none", "/day/0001-01-01", "/week/0001-W01"} {
		w := r.get(path)
		if w.Code != http.StatusNotFound {
			t.Errorf("%s: %d, want not found", path, w.Code)
		}
		if find(parse(t, w), func(n *html.Node) bool { return n.Data == "h1" }) == nil {
			t.Errorf("%s: the page has no heading", path)
		}
	}
	if w := r.do("DELETE", "/week", nil, nil); w.Code != http.StatusNotFound {
		t.Errorf("another method: %d", w.Code)
	}
	for _, path := range []string{"/rigs/none/state", "/stations/none/shut", "/shuts/none/open", "/rescue-plans/none", "/sessions/none/move", "/sessions/none/stand-down",
		"/sessions/none/reopen", "/sessions/none/book", "/sessions/none/accept"} {
		before := s.head()
		for _, role := range []access.Role{access.Administrator, access.Instructor} {
			w := s.as(role).post(path, url.Values{"key": {path + string(role)}, "state": {"in-service"}, "reason": {"fault"}, "from": {monday.String()}, "from_time": {"09:00"}, "start": {"30125280"}})
			if w.Code != http.StatusNotFound && w.Code != http.StatusForbidden && w.Code != http.StatusUnprocessableEntity {
				t.Errorf("POST %s as %s: %d", path, role, w.Code)
			}
		}
		if s.head() != before {
			t.Errorf("POST %s wrote something", path)
		}
	}
}
