package httpd

import (
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"rungbook/internal/access"
	"rungbook/internal/booking"
	"rungbook/internal/coverage"
	"rungbook/internal/records"
	"rungbook/internal/signin"
	"rungbook/internal/yardday"
)

// TestRubbishSentToTheInterfaceIsRefusedAndNothingIsWritten sends every operation
// what no sound program would.
func TestRubbishSentToTheInterfaceIsRefusedAndNothingIsWritten(t *testing.T) {
	s := open(t)
	paths := s.apiPaths()
	p := s.token(access.Administrator, access.ScopeBook)
	bodies := map[string]string{
		"nothing": "", "null": "null", "a list": "[]", "half": `{"exercise":`, "two": "{}{}", "deep": strings.Repeat("[", 20000), "not text": "{\"exercise\":\"\xff\xfe\"}",
		"a great number": `{"rev":99999999999999999999999}`, "a fraction": `{"rev":1.5}`, "nulls": `{"exercise":null,"trainees":null,"rev":null}`,
		"zero byte": `{"exercise":"a\u0000b","station":"x","start":"2027-04-13T09:00:00+01:00","trainees":["\u0000"],"instructors":[]}`,
		"far away":  `{"exercise":"x","station":"x","start":"9999-12-31T23:59:00+00:00","trainees":[],"instructors":[]}`,
		"long ago":  `{"exercise":"x","from":"0001-01-01","until":"9999-12-31"}`,
	}
	rubbish := []string{"%00", "%FF", "..%2F..", strings.Repeat("a", 3000), "%F0%9F%92%A9"}
	before := s.head()
	send := func(what, method, path, body string) {
		t.Helper()
		q := httptest.NewRequest(method, "http://yard.example"+apiPath+path, strings.NewReader(body))
		q.Header.Set("Authorization", "Bearer "+p.token)
		q.Header.Set("Content-Type", "application/json")
		q.Header.Set("Idempotency-Key", "rubbish-"+what)
		w := httptest.NewRecorder()
		s.handler.ServeHTTP(w, q)
		if w.Code >= 500 || w.Code == http.StatusTooManyRequests {
			t.Errorf("%s: %s %.80s: %d %.300s", what, method, path, w.Code, w.Body)
		}
	}
	for _, op := range apiOperations(s) {
		// Each operation has a minute's uses of its own, or the limit would answer.
		s.handler = New(Journeys{Door: signin.New(s.store), Desk: booking.New(s.store), Yard: yardday.New(s.store), Coverage: coverage.New(s.store),
			Records: records.New(s.store), SignIns: s.store.SignIns()}, slog.New(slog.DiscardHandler))
		if op.Method == "POST" {
			for what, body := range bodies {
				send(what, "POST", fill(op.Path, paths), body)
			}
		}
		for _, r := range rubbish {
			for name := range paths {
				if strings.Contains(op.Path, name) {
					send("path", op.Method, strings.ReplaceAll(op.Path, name, r), `{"rev":1,"reason":"weather","caution":"eA"}`)
				}
			}
			if op.Method == "GET" {
				for _, q := range []string{"after", "name", "employer", "intake", "programme", "rig", "without", "instructor", "until_from", "from", "until", "station", "subject", "version"} {
					send("query", "GET", fill(op.Path, paths)+"?"+q+"="+r, "")
				}
			}
		}
	}
	if s.head() != before {
		t.Error("something was written")
	}
}
