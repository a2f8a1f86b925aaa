package httpd

import (
	"crypto/rand"
	"log/slog"
	"net/http"
	"strings"
	"time"

	"github.com/alexedwards/scs/v2"
	"github.com/go-chi/chi/v5"
	"github.com/go-chi/chi/v5/middleware"
	"github.com/go-chi/httprate"

	"rungbook/internal/archive"
	"rungbook/internal/arriving"
	"rungbook/internal/booking"
	"rungbook/internal/bringing"
	"rungbook/internal/circuits"
	"rungbook/internal/complaints"
	"rungbook/internal/completing"
	"rungbook/internal/coverage"
	"rungbook/internal/dossiers"
	"rungbook/internal/drafting"
	"rungbook/internal/fault"
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
	"rungbook/internal/yardday"
	"rungbook/web"
)

// Journeys are what handlers call, and where sign-ins are kept.
type Journeys struct {
	Door     *signin.Door
	Desk     *booking.Desk
	Yard     *yardday.Yard
	Coverage *coverage.Yard
	Records  *records.Desk
	Keeper   *keeping.Keeper
	Drafts   *drafting.Desk
	Founder  *founding.Founder
	Bringing *bringing.Desk
	Tray     *bringing.Tray
	Archive  *archive.Desk
	Signing  *signing.Desk
	Running  *running.Desk
	Backups  *safekeeping.Desk
	SignIns  scs.Store
	// Address is what people type to reach the yard, such as https://yard.example:
	// links that travel begin with it. "" = as each request names it.
	Address string
	Front   Front

	Incidents *incidents.Desk
	Readings  *readings.Desk
	Arriving  *arriving.Desk
	Circuits  *circuits.Desk

	Completing *completing.Desk
	Dossiers   *dossiers.Desk
	Complaints *complaints.Desk
}

type server struct {
	Journeys
	sessions *scs.SessionManager
	ids      *id.Maker
	log      *slog.Logger

	throttle, throttlePlace limit         // failed sign-ins
	proving                 chan struct{} // holds the passwords that are being checked
	once                    onceOnly      // links and tokens until they are shown
	tokenUse                *httprate.RateLimiter
}

const (
	signInIdle = 12 * time.Hour // a working day with its evening
	signInLife = 7 * 24 * time.Hour
	// Failed sign-ins in a minute before one must wait: from one place to one
	// address, and from one place.
	failuresAllowed, placeFailuresAllowed = 8, 60
	// Passwords checked at once; each takes 64 MiB.
	provedAtOnce = 2
)

// New returns the handler of a yard's pages.
func New(j Journeys, log *slog.Logger) http.Handler {
	s := &server{Journeys: j, ids: id.NewMaker(rand.Reader), log: log,
		throttle: newLimit(failuresAllowed), throttlePlace: newLimit(placeFailuresAllowed), proving: make(chan struct{}, provedAtOnce)}
	s.tokenUse = newTokenLimit()
	s.sessions = scs.New()
	s.sessions.Store = j.SignIns
	s.sessions.IdleTimeout, s.sessions.Lifetime = signInIdle, signInLife
	s.sessions.Cookie.Name = "rungbook"
	s.sessions.Cookie.HttpOnly = true
	s.sessions.Cookie.Secure = strings.HasPrefix(j.Address, "https://")
	s.sessions.Cookie.SameSite = http.SameSiteLaxMode
	s.sessions.ErrorFunc = s.unkept
	return s.router()
}

// unkept answers where a sign-in can't be read or kept.
func (s *server) unkept(w http.ResponseWriter, r *http.Request, err error) {
	s.log.Error("sign-in session", "err", unsaid(err.Error(), r))
	says := "The sign-in could not be read. Try again."
	if fault.Of(err) == fault.Unusable {
		says = "The sign-in can't be kept: the server can't write, perhaps because its disk is full. Tell your administrator."
	}
	http.Error(w, says, status[fault.Of(err)])
	if a, ok := w.(*oneAnswer); ok {
		a.given = true
	}
}

func (s *server) router() chi.Router {
	r := chi.NewRouter()
	r.Use(s.Front.clients(), s.fronted, middleware.RequestID, s.logged, s.recovered, guarded)
	r.Handle("/static/*", web.Static())
	r.Handle("/worker.js", web.Worker())
	r.Handle("/favicon.ico", http.RedirectHandler(web.MarkPath(), http.StatusFound)) // asked for beside what is no page
	r.Get("/alive", func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(http.StatusNoContent) })
	r.Get("/healthz", healthy(s.Front.Readable))
	r.Head("/healthz", healthy(s.Front.Readable))
	r.Route(apiPath, s.apiRouter)
	r.Group(func(r chi.Router) {
		r.Use(http.NewCrossOriginProtection().Handler, middleware.Compress(5, "text/html"), s.signedIn)
		for _, rt := range routes() {
			r.Method(rt.method, rt.pattern, s.serve(rt))
		}
		r.NotFound(s.serve(route{handle: notFound}))
		r.MethodNotAllowed(s.serve(route{handle: notFound}))
	})
	return r
}

// guarded sets the headers every answer carries. The content policy allows no
// inline style or script.
func guarded(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' data:; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'")
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		if secure(r) {
			h.Set("Strict-Transport-Security", "max-age=31536000") // a year; RFC 6797
		}
		next.ServeHTTP(w, r)
	})
}

// maxForm is the largest form body read, in bytes.
const maxForm = 256 << 10

// signedIn loads and keeps the sign-in of a request. Where the browser speaks TLS
// the cookie is for TLS alone.
func (s *server) signedIn(next http.Handler) http.Handler {
	overTLS := *s.sessions
	overTLS.Cookie.Secure = true
	plain, private := s.sessions.LoadAndSave(next), overTLS.LoadAndSave(next)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method == http.MethodGet && r.Header.Get(keepHeader) != "" {
			s.lookedAt(next, w, r)
			return
		}
		w = &oneAnswer{ResponseWriter: w}
		if secure(r) {
			private.ServeHTTP(w, r)
			return
		}
		plain.ServeHTTP(w, r)
	})
}

// lookedAt answers a phone that keeps a page: the sign-in is read and not written
// back, lest it overwrite what a form sent meanwhile put there.
func (s *server) lookedAt(next http.Handler, w http.ResponseWriter, r *http.Request) {
	token := ""
	if cookie, err := r.Cookie(s.sessions.Cookie.Name); err == nil {
		token = cookie.Value
	}
	ctx, err := s.sessions.Load(r.Context(), token)
	if err != nil {
		s.sessions.ErrorFunc(w, r, err)
		return
	}
	w.Header().Add("Vary", "Cookie")
	next.ServeHTTP(w, r.WithContext(ctx))
}

// oneAnswer passes an answer on until one was given in its place: a sign-in that
// can't be kept is told as the page is about to be written, and no page follows.
type oneAnswer struct {
	http.ResponseWriter
	given bool
}

func (a *oneAnswer) WriteHeader(code int) {
	if !a.given {
		a.ResponseWriter.WriteHeader(code)
	}
}

func (a *oneAnswer) Write(b []byte) (int, error) {
	if a.given {
		return len(b), nil
	}
	return a.ResponseWriter.Write(b)
}

func (a *oneAnswer) Unwrap() http.ResponseWriter { return a.ResponseWriter }
