package httpd

import (
	"cmp"
	"context"
	"fmt"
	"log/slog"
	"net/http"
	"regexp"
	"runtime/debug"
	"slices"
	"strings"
	"time"

	"github.com/go-chi/chi/v5"
	"github.com/go-chi/chi/v5/middleware"

	"rungbook/internal/civil"
)

// What the log says of a request is the pattern of its route, never the address:
// an address can carry a name that was searched for, an e-mail address or a link
// that lets somebody in. Where a reader sits is personal data too.

// noRoute stands for what no route answers.
const noRoute = "none"

// routeOf returns the pattern that a request came by, once it was answered.
func routeOf(ctx context.Context) string {
	if c := chi.RouteContext(ctx); c != nil {
		if p := c.RoutePattern(); p != "" && p != "/*" && p != apiPath+"/*" {
			return p
		}
	}
	return noRoute
}

// methodOf returns the method, "other" for one that no route has: a client may
// write what it likes there.
func methodOf(r *http.Request) string {
	switch r.Method {
	case http.MethodGet, http.MethodHead, http.MethodPost, http.MethodPut, http.MethodPatch, http.MethodDelete, http.MethodOptions:
		return r.Method
	}
	return "other"
}

// logged counts each request and writes a line for each that failed, and for the
// others where that is wished.
func (s *server) logged(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		began := civil.Real()
		r.Body = http.MaxBytesReader(w, r.Body, bodyLimit(r))
		ww := middleware.NewWrapResponseWriter(w, r.ProtoMajor)
		defer func() { // also when an answer is broken off
			took := civil.Real().Sub(began)
			s.Front.Figures.asked(methodOf(r), routeOf(r.Context()), ww.Status(), took)
			s.line(r, ww.Status(), took)
		}()
		next.ServeHTTP(ww, r)
	})
}

// line writes what became of a request. Status 0 is no answer: the reader left.
func (s *server) line(r *http.Request, status int, took time.Duration) {
	level, says := slog.LevelInfo, "request"
	switch {
	case status >= http.StatusInternalServerError:
		level, says = slog.LevelError, "request failed"
	case !s.Front.LogRequests:
		return
	}
	s.log.LogAttrs(r.Context(), level, says, slog.String("request", middleware.GetReqID(r.Context())), slog.String("method", methodOf(r)),
		slog.String("route", routeOf(r.Context())), slog.Int("status", status), slog.Float64("ms", float64(took.Microseconds())/1000))
}

// recovered answers a request whose handler panicked, and logs where.
func (s *server) recovered(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer func() {
			what := recover()
			if what == nil {
				return
			}
			if what == http.ErrAbortHandler {
				panic(what) // net/http ends the answer
			}
			s.log.Error("panic", "request", middleware.GetReqID(r.Context()), "route", routeOf(r.Context()),
				"err", unsaid(fmt.Sprint(what), r), "stack", string(debug.Stack()))
			w.WriteHeader(http.StatusInternalServerError)
		}()
		next.ServeHTTP(w, r)
	})
}

// failed logs an internal error of a visit.
func (v *visit) failed(what string, err error) {
	v.log.Error(what, "request", middleware.GetReqID(v.r.Context()), "route", routeOf(v.r.Context()), "err", unsaid(err.Error(), v.r))
}

// address finds e-mail addresses.
var address = regexp.MustCompile(`[^\s"'<>]+@[^\s"'<>]+`)

// unsaid takes out of an error's text whatever the request brought: what was typed
// or stood in the address. Errors should not repeat it; this makes sure.
func unsaid(text string, r *http.Request) string {
	var brought []string
	take := func(values map[string][]string) {
		for _, all := range values {
			brought = append(brought, all...)
		}
	}
	take(r.URL.Query())
	take(r.Form)
	if c := chi.RouteContext(r.Context()); c != nil {
		brought = append(brought, c.URLParams.Values...)
	}
	if m := r.MultipartForm; m != nil {
		take(m.Value)
		for _, files := range m.File {
			for _, f := range files {
				brought = append(brought, f.Filename)
			}
		}
	}
	// The longest first: a name goes before the half of it.
	slices.SortFunc(brought, func(a, b string) int { return cmp.Or(cmp.Compare(len(b), len(a)), cmp.Compare(a, b)) })
	for _, value := range brought {
		if value = strings.TrimSpace(value); len(value) >= 3 { // shorter ones are in any word
			text = strings.ReplaceAll(text, value, "…")
		}
	}
	return address.ReplaceAllString(text, "…")
}
