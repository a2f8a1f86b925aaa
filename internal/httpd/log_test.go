package httpd

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"rungbook/internal/access"
	"rungbook/internal/demo"
	"rungbook/internal/store"
)

// logsAll serves a copy of the demo's yard whose log has a line for each request.
func logsAll(t *testing.T) *site {
	s := open(t)
	s.told = &bytes.Buffer{}
	s.log = slog.New(slog.NewJSONHandler(s.told, nil))
	return s.with(Front{LogRequests: true})
}

// personal is what a log must not hold of a yard: everybody's names and addresses,
// as records and as what is typed below.
func (s *site) personal() (out []string) {
	s.Helper()
	err := s.store.Read(context.Background(), func(v *store.View) error {
		ref, err := v.Reference()
		if err != nil {
			return err
		}
		trainees, err := v.TraineesOfIntake(ref.Intakes.Keys()...)
		if err != nil {
			return err
		}
		everybody := ref.Staff.Keys()
		for _, t := range trainees {
			everybody = append(everybody, t.Person)
		}
		names, err := v.PersonNames(everybody...)
		for of, name := range names {
			out = append(out, name, string(of))
		}
		return err
	})
	if err != nil {
		s.Fatal(err)
	}
	for _, a := range demo.Accounts() {
		out = append(out, a.Email, a.Password)
	}
	if len(out) < 40 {
		s.Fatalf("only %d names and addresses are known", len(out))
	}
	return append(out, "Fionnuala", "Quigg", "fionnuala", "of-a-secret", "rungbook-", "198.51.100.77", "1987-03-04", "@")
}

func TestALogHoldsNoNameNoAddressNoSecretAndNothingThatWasTyped(t *testing.T) {
	s := logsAll(t)
	secrets := s.personal()
	places := s.places()
	admin := s.as(access.Administrator)
	admin.from = "198.51.100.77:4711"

	link, shown := admin.invites("fionnuala.quigg@yard.example", "instructor")
	secrets = append(secrets, strings.TrimPrefix(shown, "/once/"))
	u, err := url.Parse(link)
	if err != nil || len(u.Query().Get("link")) < 10 {
		t.Fatalf("the invitation's link is %q (%v)", link, err)
	}
	secrets = append(secrets, u.Query().Get("link"))
	s.visitor().get(link)
	s.arrives(link, "Fionnuala Quigg", "arrives")
	p := s.token(access.Administrator, access.ScopeBook)
	secrets = append(secrets, p.token)

	typed := url.Values{"key": {"of-a-secret"}, "name": {"Fionnuala Quigg"}, "email": {"fionnuala.quigg@yard.example"}, "born": {"1987-03-04"},
		"password": {"of-a-secret"}, "again": {"of-a-secret"}, "code": {"of-a-secret"}, "note": {"Fionnuala Quigg fell ill"}, "link": {"of-a-secret"}}
	journey := func() {
		s.visitor().post("/sign-in", typed)
		for _, rt := range routes() {
			if rt.pattern == "/sign-out" || strings.HasSuffix(rt.pattern, "sign-out") || strings.HasSuffix(rt.pattern, "/disable") || strings.HasSuffix(rt.pattern, "/roles") {
				continue // they would end the walk
			}
			at := fill(rt.pattern, places)
			if rt.method == get {
				admin.get(at + "?q=Fionnuala+Quigg&link=of-a-secret")
				continue
			}
			admin.post(at, typed)
		}
		admin.get("/people/fionnuala.quigg@yard.example")
		admin.do("FIONNUALA", "/people", nil, nil)
		p.get("/people?q=Fionnuala%20Quigg")
		p.get("/fionnuala")
		p.post("/sessions", map[string]string{"exercise": "Fionnuala Quigg"})
	}
	journey()
	// The same once more while every request fails.
	if err := s.store.Close(); err != nil {
		t.Fatal(err)
	}
	journey()

	lines, failed := 0, 0
	for line := range strings.Lines(s.told.String()) {
		var l map[string]any
		if err := json.Unmarshal([]byte(line), &l); err != nil {
			t.Fatalf("%v in %q", err, line)
		}
		switch l["msg"] {
		case "request failed":
			failed++
			fallthrough
		case "request":
			lines++
			for _, want := range []string{"request", "method", "route", "status", "ms"} {
				if l[want] == nil {
					t.Fatalf("a line lacks %s: %s", want, line)
				}
			}
		}
		for _, secret := range secrets {
			if strings.Contains(line, secret) {
				t.Errorf("the log holds %q: %s", secret, line)
			}
		}
	}
	if lines < 2*len(routes()) || failed < len(routes())/2 {
		t.Errorf("%d lines, %d of failures: the journey was not logged", lines, failed)
	}
}

func TestOnlyFailuresAreLoggedUnlessAllIsWished(t *testing.T) {
	s := open(t)
	s.as(access.Administrator).get("/people")
	if s.told.Len() > 0 {
		t.Errorf("the log says %s", s.told)
	}
	if err := s.store.Close(); err != nil {
		t.Fatal(err)
	}
	s.visitor().get("/sign-in")
	if got := s.told.String(); !strings.Contains(got, `msg="request failed"`) || !strings.Contains(got, "route=/sign-in status=500") {
		t.Errorf("a failure is logged as %q", got)
	}
}

func TestWhatARequestBroughtIsTakenOutOfAnErrorsText(t *testing.T) {
	r := httptest.NewRequest("POST", "/people?q=Brannagh&x=ab", strings.NewReader("name=Odalys+Brannagh&part=Odalys&one=a"))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	if err := r.ParseForm(); err != nil {
		t.Fatal(err)
	}
	for text, want := range map[string]string{
		"row of Odalys Brannagh: absent":         "row of …: absent",
		"Odalys and Brannagh":                    "… and …",
		"a table":                                "a table",
		"account of odalys@yard.example is gone": "account of … is gone",
	} {
		if got := unsaid(text, r); got != want {
			t.Errorf("%q is logged as %q, want %q", text, got, want)
		}
	}
}

func TestAPanicIsAnsweredAndLoggedWithItsPlace(t *testing.T) {
	s := open(t)
	sv := &server{Journeys: s.journeys, log: s.log}
	panics := func(what any) http.Handler {
		return sv.logged(sv.recovered(http.HandlerFunc(func(http.ResponseWriter, *http.Request) { panic(what) })))
	}
	w := httptest.NewRecorder()
	panics(errors.New("no such row: Brannagh")).ServeHTTP(w, httptest.NewRequest("GET", "/people?q=Brannagh", nil))
	if w.Code != http.StatusInternalServerError {
		t.Errorf("%d, want an internal error", w.Code)
	}
	said := s.told.String()
	for _, want := range []string{"msg=panic", `err="no such row: …"`, "log_test.go", `msg="request failed"`, "status=500"} {
		if !strings.Contains(said, want) {
			t.Errorf("the log lacks %s: %s", want, said)
		}
	}
	if strings.Contains(said, "Brannagh") {
		t.Errorf("the log holds a name: %s", said)
	}
	defer func() {
		if got := fmt.Sprint(recover()); got != http.ErrAbortHandler.Error() {
			t.Errorf("an answer that is broken off ends with %s", got)
		}
	}()
	panics(http.ErrAbortHandler).ServeHTTP(httptest.NewRecorder(), httptest.NewRequest("GET", "/", nil))
}
