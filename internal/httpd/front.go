package httpd

import (
	"context"
	"net"
	"net/http"
	"net/netip"
	"regexp"
	"slices"
	"strings"

	"github.com/go-chi/chi/v5/middleware"
	"github.com/go-chi/httprate"
)

// Front is how requests reach the yard, and what is told of them.
type Front struct {
	// Proxies are the networks whose word is taken for where a request came from. Of
	// everybody else X-Forwarded-For, -Proto and -Host and X-Request-Id are dropped:
	// who could choose their own address could try passwords without end.
	Proxies []netip.Prefix
	// Readable tells why the record can't be read, nil when it can.
	Readable func(context.Context) error
	// Figures counts what is asked; nil counts nothing.
	Figures *Figures
	// LogRequests writes a line for each request, not only for those that fail.
	LogRequests bool
}

// forwarded are the headers a proxy tells of a request with, and those that
// others use for the same; nothing behind this reads them.
var forwarded = []string{"X-Forwarded-For", "X-Forwarded-Proto", "X-Forwarded-Host", "Forwarded", "X-Real-Ip", "True-Client-Ip"}

const requestIDHeader = "X-Request-Id"

// fronted makes a request what the reader's browser sent: from here on its Host and
// URL.Scheme are the reader's.
func (s *server) fronted(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		r.URL.Scheme = "http"
		if r.TLS != nil {
			r.URL.Scheme = "https"
		}
		if s.Front.trusts(r.RemoteAddr) {
			believe(r)
		} else {
			r.Header.Del(requestIDHeader)
		}
		for _, name := range forwarded {
			r.Header.Del(name)
		}
		next.ServeHTTP(w, r)
	})
}

// secure says whether the reader's browser speaks TLS.
func secure(r *http.Request) bool { return r.URL.Scheme == "https" }

func (f Front) trusts(peer string) bool {
	a, err := netip.ParseAddrPort(peer)
	// IPv4 written as IPv6 is that of IPv4.
	from := a.Addr().Unmap().WithZone("")
	return err == nil && slices.ContainsFunc(f.Proxies, func(p netip.Prefix) bool { return p.Contains(from) })
}

// clients finds out each request's client: the peer, or behind trusted proxies the
// nearest address in X-Forwarded-For that is no proxy. What stands before that one
// the client could have written itself.
func (f Front) clients() func(http.Handler) http.Handler {
	if len(f.Proxies) == 0 {
		return middleware.ClientIPFromRemoteAddr
	}
	var networks []string
	for _, p := range f.Proxies {
		networks = append(networks, p.String())
	}
	return middleware.ClientIPFromXFF(networks...)
}

// place is where a request comes from, as far as failed sign-ins are counted. A
// household with IPv6 has 2^64 addresses: its network is one place.
func place(r *http.Request) string {
	if client := middleware.GetClientIP(r.Context()); client != "" {
		return httprate.CanonicalizeIP(client)
	}
	host, _, err := net.SplitHostPort(r.RemoteAddr) // a proxy that named nobody: all behind it are one place
	if err != nil {
		return r.RemoteAddr
	}
	return host
}

// plainID is what is taken for a request's id: nothing that a line of a log could
// be forged with.
var plainID = regexp.MustCompile(`^[A-Za-z0-9._:/+=-]{1,64}$`)

// plainHost is a name or address with or without a port.
var plainHost = regexp.MustCompile(`^([A-Za-z0-9]([A-Za-z0-9.-]*[A-Za-z0-9])?|\[[0-9A-Fa-f:.]+\])(:[0-9]{1,5})?$`)

// believe takes the word of a trusted peer. What is not of the right form is as if
// it had not been said.
func believe(r *http.Request) {
	if said := last(r, "X-Forwarded-Proto"); said == "http" || said == "https" {
		r.URL.Scheme = said
	}
	if said := last(r, "X-Forwarded-Host"); plainHost.MatchString(said) {
		r.Host = said
	}
	if !plainID.MatchString(r.Header.Get(requestIDHeader)) {
		r.Header.Del(requestIDHeader)
	}
}

// last returns the last of a header's values, the one that the nearest proxy
// wrote or added.
func last(r *http.Request, name string) string {
	all := strings.Split(strings.Join(r.Header.Values(name), ","), ",")
	return strings.ToLower(strings.TrimSpace(all[len(all)-1]))
}

// healthy answers whether the yard's record can be read, for whoever watches the
// server. It tells nothing else.
func healthy(readable func(context.Context) error) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/plain; charset=utf-8")
		w.Header().Set("Cache-Control", "no-store")
		says := "ok\n"
		if readable == nil || readable(r.Context()) != nil {
			w.WriteHeader(http.StatusServiceUnavailable)
			says = "the record can't be read\n"
		}
		if r.Method != http.MethodHead {
			_, _ = w.Write([]byte(says)) // whoever asked may have left
		}
	}
}
