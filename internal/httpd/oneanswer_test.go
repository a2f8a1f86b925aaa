package httpd

import (
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/alexedwards/scs/v2"

	"rungbook/internal/fault"
)

// full keeps no sign-in.
type full struct{}

func (full) Find(string) ([]byte, bool, error) { return nil, false, nil }
func (full) Delete(string) error               { return nil }
func (full) Commit(string, []byte, time.Time) error {
	return fault.New(fault.Unusable, "signin.db can't grow: the disk is full")
}

func TestASignInThatCannotBeKeptIsOneAnswer(t *testing.T) {
	s := &server{log: slog.New(slog.DiscardHandler), sessions: scs.New()}
	s.sessions.Store, s.sessions.ErrorFunc = full{}, s.unkept
	for name, answer := range map[string]http.HandlerFunc{
		"a page": func(w http.ResponseWriter, r *http.Request) { _, _ = io.WriteString(w, "<h1>Sign in</h1>") },
		"a page with a status": func(w http.ResponseWriter, r *http.Request) {
			w.WriteHeader(422)
			_, _ = io.WriteString(w, "<h1>Sign in</h1>")
		},
		"sent on": func(w http.ResponseWriter, r *http.Request) { http.Redirect(w, r, "/", http.StatusSeeOther) },
		"nothing": func(http.ResponseWriter, *http.Request) {},
	} {
		got := httptest.NewRecorder()
		s.signedIn(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			s.sessions.Put(r.Context(), "account", "somebody")
			answer(w, r)
		})).ServeHTTP(got, httptest.NewRequest(http.MethodGet, "/sign-in", nil))
		body := got.Body.String()
		if got.Code != http.StatusServiceUnavailable || !strings.Contains(body, "its disk is full") || strings.Contains(body, "<") || len(got.Result().Cookies()) > 0 {
			t.Errorf("%s: %d\n%s", name, got.Code, body)
		}
	}
}
