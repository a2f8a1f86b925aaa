package main

import (
	"context"
	"crypto/tls"
	"errors"
	"io"
	"log/slog"
	"net/netip"
	"os"
	"regexp"
	"strings"
	"sync"
	"time"

	"rungbook/internal/fault"
	"rungbook/internal/httpd"
	"rungbook/internal/safekeeping"
	"rungbook/internal/store"
)

// frontFlags say how requests reach the server and what it tells of itself.
type frontFlags struct {
	TLSCertificate string    `name:"tls-certificate" help:"File with the TLS certificate that this server shows, and its chain, PEM. It is read again when it changes." placeholder:"FILE"`
	TLSKey         string    `name:"tls-key" help:"File with that certificate's key, PEM." placeholder:"FILE"`
	TrustedProxy   []network `help:"Address of a proxy before this server, or its network: of these alone X-Forwarded-For, -Proto and -Host and X-Request-Id are believed. May be given again." placeholder:"CIDR"`
	MetricsListen  string    `help:"Address, HOST:PORT, for /metrics (Prometheus) and /healthz alone, over plain HTTP. Default: none." placeholder:"ADDR"`
	LogFormat      string    `help:"How the log on standard error is written, text or json. Default: text." enum:"text,json" default:"text"`
	LogRequests    bool      `help:"Log a line for each request, not only for those that failed: route, status, time taken; no names, no addresses, nothing that was typed."`
}

// A network is an address or a CIDR.
type network netip.Prefix

// UnmarshalText reads one. A network that holds every address is refused: to
// believe everybody is what the setting is there to prevent.
func (n *network) UnmarshalText(text []byte) error {
	said := string(text)
	p, err := netip.ParsePrefix(said)
	if a, bad := netip.ParseAddr(said); bad == nil && a.Zone() == "" {
		p, err = netip.PrefixFrom(a, a.BitLen()), nil
	}
	switch {
	case err != nil:
		return errors.New("it takes an address or a network, such as 127.0.0.1 or 10.1.0.0/24")
	case p.Bits() == 0:
		return errors.New("it holds every address; name the proxy's own")
	}
	*n = network(p.Masked())
	return nil
}

// logger writes the server's log.
func (f frontFlags) logger(to io.Writer) *slog.Logger {
	if f.LogFormat == "json" {
		return slog.New(slog.NewJSONHandler(to, nil))
	}
	return slog.New(slog.NewTextHandler(to, nil))
}

// proxies are the networks that are trusted.
func (f frontFlags) proxies() (all []netip.Prefix) {
	for _, n := range f.TrustedProxy {
		all = append(all, netip.Prefix(n))
	}
	return all
}

// standing reads what the figures tell of a yard.
func standing(st *store.Store, backups *safekeeping.Desk) func(context.Context) (httpd.Standing, error) {
	return func(ctx context.Context) (now httpd.Standing, err error) {
		err = st.Read(ctx, func(v *store.View) error { now.Entries = v.Head() + 1; return nil })
		if err != nil {
			return now, err
		}
		if last := backups.LastGood(); last != 0 {
			now.LastBackup = time.Unix(int64(last)*60, 0)
		}
		now.SignIns, err = st.SignIns().Count(ctx)
		return now, err
	}
}

// readable tells why a record can't be read.
func readable(st *store.Store) func(context.Context) error {
	return func(ctx context.Context) error {
		return st.Read(ctx, func(v *store.View) error { _, err := v.LastRecorded(); return err })
	}
}

// A pair is a TLS certificate with its key. Whenever one of the files has changed
// both are read again at the next connection; where they don't fit, as between the
// writing of the one and the other, the pair before goes on.
type pair struct {
	certificate, key string
	log              *slog.Logger

	mu   sync.Mutex
	seen [2]stamp
	held *tls.Certificate
}

// A stamp tells one state of a file from another.
type stamp struct {
	changed time.Time
	size    int64
}

// pairOf reads certificate and key; nil when neither is named. Errors: fault.Invalid
// for one without the other, fault.Unusable for files that can't be used.
func pairOf(f frontFlags, log *slog.Logger) (*pair, error) {
	if f.TLSCertificate == "" && f.TLSKey == "" {
		return nil, nil
	}
	if f.TLSCertificate == "" || f.TLSKey == "" {
		return nil, fault.New(fault.Invalid, "--tls-certificate and --tls-key belong together; give both, or neither for plain HTTP")
	}
	p := &pair{certificate: f.TLSCertificate, key: f.TLSKey, log: log}
	if err := p.read(p.look()); err != nil {
		return nil, fault.New(fault.Unusable, "the TLS certificate %s and the key %s can't be used: %w", p.certificate, p.key, err)
	}
	return p, nil
}

func (p *pair) look() (now [2]stamp) {
	for i, file := range []string{p.certificate, p.key} {
		if about, err := os.Stat(file); err == nil {
			now[i] = stamp{about.ModTime(), about.Size()}
		}
	}
	return now
}

func (p *pair) read(now [2]stamp) error {
	p.seen = now
	held, err := tls.LoadX509KeyPair(p.certificate, p.key)
	if err != nil {
		return err
	}
	p.held = &held
	return nil
}

// config is how the server speaks TLS.
func (p *pair) config() *tls.Config {
	return &tls.Config{MinVersion: tls.VersionTLS12, GetCertificate: func(*tls.ClientHelloInfo) (*tls.Certificate, error) {
		p.mu.Lock()
		defer p.mu.Unlock()
		if now := p.look(); now != p.seen {
			if err := p.read(now); err != nil {
				p.log.Warn("the TLS certificate changed and can't be used; the one before goes on", "err", err)
			} else {
				p.log.Info("the TLS certificate changed and was read again", "last_day", p.held.Leaf.NotAfter.UTC().Format(time.DateOnly))
			}
		}
		return p.held, nil
	}}
}

// quietly takes what net/http says, without where a client sits.
type quietly struct{ log *slog.Logger }

var clientAddress = regexp.MustCompile(`(\[[^\]]*\]|[0-9A-Fa-f.:]*[0-9A-Fa-f.]):\d+\b`)

func (q quietly) Write(line []byte) (int, error) {
	q.log.Warn(clientAddress.ReplaceAllString(strings.TrimSpace(string(line)), "a client"))
	return len(line), nil
}
