package main

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	stdlog "log"
	"log/slog"
	"net"
	"net/http"
	"net/url"
	"strings"
	"syscall"
	"time"

	"rungbook/internal/archive"
	"rungbook/internal/arriving"
	"rungbook/internal/booking"
	"rungbook/internal/bringing"
	"rungbook/internal/circuits"
	"rungbook/internal/civil"
	"rungbook/internal/complaints"
	"rungbook/internal/completing"
	"rungbook/internal/coverage"
	"rungbook/internal/dossiers"
	"rungbook/internal/drafting"
	"rungbook/internal/fault"
	"rungbook/internal/founding"
	"rungbook/internal/httpd"
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

type serveCommand struct {
	Settings string `help:"File of settings, a line name = value for each flag of this list." placeholder:"FILE"`
	Data     string `help:"Folder that holds the yard's records; made if absent. Default: rungbook in your data directory." placeholder:"DIR"`
	Listen   string `help:"Address to listen on, HOST:PORT. Port 0 picks a free one. Default: 127.0.0.1:8080." default:"127.0.0.1:8080" placeholder:"ADDR"`
	Address  string `help:"What people type to reach the yard, such as https://yard.example: links in invitations and calendars begin with it, and with https sign-ins travel over TLS alone." placeholder:"URL"`
	frontFlags
	backupFlags
}

// Help tells what is made, how it begins and how it ends.
func (serveCommand) Help() string {
	return `Prints its address and answers there until it is interrupted (Ctrl-C or SIGTERM); then it finishes the requests under way and ends. The data directory is $XDG_DATA_HOME, or .local/share in your home.

A folder without records begins a new yard: the terminal prints a one-time code, and the first visitor who gives it becomes the first administrator. Each start before that prints a new code, and only the newest is good.

Files in the folder, for its user only: rungbook.db (the record; rungbook.db-wal and rungbook.db-shm stand beside it while the server runs), rungbook.key (the key that signs the ledger: without it nothing more can be written), signin.db (who is signed in; losing it signs everybody out) and the folder evidence (files of rigs' dossiers). Back up all but signin.db together.

Each flag below can also be said by the environment variable in brackets, or in the file that --settings names: a line is name = value, such as "listen = 127.0.0.1:9000", a line that begins with # is a comment, and a name stands again where several values are taken. A flag goes before the environment, the environment before the file; an empty variable counts as absent. A name that is no setting is an error in both. Secrets are no settings: what is secret stands in a file of its own, which a setting names.

To reach it from other machines, speak TLS: by a certificate of your own (--tls-certificate and --tls-key, TLS 1.2 or newer, read again when they change), or by a proxy before it. Say with --address what people type, and with --trusted-proxy where the proxy sits: of nobody else is it believed where a request came from. rungbook running prints what is needed to run it for real: a systemd unit, a container file, continuous replication.

With --backups DIR it makes a backup of the record whenever the last good one in that folder is --backup-every old, while it serves; each is read back before it counts, and is tried again after minutes where it failed. The newest --backups-kept stay, and the last of each of the newest 5 weeks and 13 months that hold one (by UTC); nothing is taken away that it did not make, and the last good one never. The page /backups tells administrators how they stand, and is loud where none is good or none is asked for.

/healthz answers 200 while the record can be read, else 503. With --metrics-listen it and /metrics answer on an address of their own; keep that one from the outside.

Exit codes: 0 it was interrupted while it served; 2 the settings, the folder, the database, its key or the address can't be used.

Examples:

  rungbook serve
  rungbook serve --settings rungbook.settings
  rungbook serve --data /srv/yard --listen 127.0.0.1:9000`
}

// Run serves a yard until it is interrupted.
func (c *serveCommand) Run(s *surroundings) error {
	dir, err := dataFolder(c.Data, "rungbook")
	if err != nil {
		return err
	}
	address, err := publicAddress(c.Address)
	if err != nil {
		return err
	}
	log := c.logger(s.stderr)
	pair, err := pairOf(c.frontFlags, log)
	if err != nil {
		return err
	}
	// The port is taken before anything is made or a new code is drawn: a second
	// start by mistake leaves the first as it was.
	listener, err := listen("--listen", c.Listen)
	if err != nil {
		return err
	}
	defer listener.Close()
	h := house{listener: listener, pair: pair, address: address, log: log}
	if h.backups, err = c.backupFlags.plan(dir); err != nil {
		return err
	}
	h.front = httpd.Front{Proxies: c.proxies(), LogRequests: c.LogRequests}
	if c.MetricsListen != "" {
		if h.metrics, err = listen("--metrics-listen", c.MetricsListen); err != nil {
			return err
		}
		defer h.metrics.Close()
		h.front.Figures = httpd.NewFigures(version)
	}
	return withStore(s.ctx, store.Options{Dir: dir, Clock: civil.Real, Log: log, Waited: h.front.Figures.Waited}, func(st *store.Store) error {
		code, err := st.SetupCode(s.ctx)
		if err != nil {
			return err
		}
		at := urlOf(listener, pair != nil)
		said := fmt.Sprintf("Rungbook listens on %s\nRecords are kept in %s\n", at, dir)
		if h.metrics != nil {
			said += fmt.Sprintf("Figures are on %smetrics\n", urlOf(h.metrics, false))
		}
		if code != "" {
			said += fmt.Sprintf("\nNo administrator yet. Open %sfirst-administrator and give this code once:\n\n  %s\n\n", at, code)
		}
		fmt.Fprint(s.stdout, said) // at once: whoever reads the address has the rest
		return serve(s.ctx, st, h)
	})
}

// A house is what a yard is served with.
type house struct {
	listener, metrics net.Listener // metrics: nil = figures are not told
	pair              *pair        // nil = plain HTTP
	address           string       // what people type; "" = as each request names it
	front             httpd.Front
	log               *slog.Logger
	backups           safekeeping.Plan
}

// publicAddress checks an address that links are to begin with and returns it
// without a slash at its end; "" stays so. The error is of kind fault.Invalid.
func publicAddress(given string) (string, error) {
	if given == "" {
		return "", nil
	}
	u, err := url.Parse(given)
	if err != nil || u.Scheme != "http" && u.Scheme != "https" || u.Host == "" || u.User != nil || strings.Trim(u.Path, "/") != "" || u.RawQuery != "" || u.Fragment != "" {
		return "", fault.New(fault.Invalid, "--address is %q; it takes http:// or https:// and a host, such as https://yard.example", given)
	}
	return u.Scheme + "://" + u.Host, nil
}

// listen takes the address that a flag names. Errors: fault.Unusable with what is the matter with it.
func listen(flag, addr string) (net.Listener, error) {
	listener, err := net.Listen("tcp", addr)
	switch {
	case err == nil:
		return listener, nil
	case errors.Is(err, syscall.EADDRINUSE):
		return nil, fault.New(fault.Unusable, "%s is in use by another program; end that one, or give another %s ADDR (127.0.0.1:0 picks a free port)", addr, flag)
	case errors.Is(err, syscall.EACCES):
		return nil, fault.New(fault.Unusable, "this user may not listen on %s; give %s ADDR with a port above 1023", addr, flag)
	case errors.Is(err, syscall.EADDRNOTAVAIL):
		return nil, fault.New(fault.Unusable, "%s is not an address of this machine; give another %s ADDR", addr, flag)
	}
	return nil, fault.New(fault.Unusable, "can't listen on %s: %w; %s takes HOST:PORT, such as 127.0.0.1:8080", addr, plainCause(err), flag)
}

// urlOf returns the address that a browser on this machine takes.
func urlOf(listener net.Listener, tls bool) string {
	host, port, err := net.SplitHostPort(listener.Addr().String())
	if err != nil {
		panic("an address that is listened on has a port: " + err.Error())
	}
	if net.ParseIP(host).IsUnspecified() { // every address of the machine
		host = "localhost"
	}
	scheme := "http"
	if tls {
		scheme = "https"
	}
	return scheme + "://" + net.JoinHostPort(host, port) + "/"
}

// serve answers, and searches the drafts that wait, until the context ends; then it
// keeps the search as far as it came and lets running requests finish.
func serve(ctx context.Context, st *store.Store, h house) error {
	holdMemory()
	drafts := drafting.New(st, drafting.Options{Version: version, Log: h.log})
	ctx, stop := context.WithCancel(ctx)
	searched := make(chan error, 1)
	go func() {
		err := drafts.Run(ctx)
		if err != nil {
			h.log.Error("drafts are not searched any more", "err", err)
		}
		searched <- err
	}()
	tray := bringing.NewTray(bringing.New(st), id.NewMaker(rand.Reader))
	all := journeys(st, drafts, tray)
	watched := make(chan struct{})
	go func() {
		defer close(watched)
		all.Running.Watch(ctx, h.log)
	}()
	all.Address, all.Front = h.address, h.front
	all.Front.Readable = readable(st)
	waitForBackups := keepBackups(ctx, st, h.backups, h.log, &all)
	if h.front.Figures != nil {
		h.front.Figures.Tell(standing(st, all.Backups))
	}
	err := answer(ctx, h, all)
	tray.Close()
	stop()
	waitForBackups()
	<-watched
	if searchErr := <-searched; searchErr != nil {
		err = errors.Join(err, fmt.Errorf("search drafts: %w", searchErr))
	}
	return err
}

// answer serves pages and, where wished, figures until the context ends.
func answer(ctx context.Context, h house, j httpd.Journeys) error {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	told := make(chan error, 1)
	go func() {
		if h.metrics == nil {
			told <- nil
			return
		}
		told <- until(ctx, j.Front.Figures.Handler(j.Front.Readable), h.log, func(s *http.Server) error { return s.Serve(h.metrics) })
	}()
	err := until(ctx, httpd.New(j, h.log), h.log, func(s *http.Server) error {
		if h.pair == nil {
			return s.Serve(h.listener)
		}
		s.TLSConfig = h.pair.config()
		return s.ServeTLS(h.listener, "", "")
	})
	stop()
	return errors.Join(err, <-told)
}

// until serves until the context ends, and then lets running requests finish.
func until(ctx context.Context, handler http.Handler, log *slog.Logger, serve func(*http.Server) error) error {
	server := &http.Server{
		Handler:           handler,
		ReadHeaderTimeout: 10 * time.Second, ReadTimeout: time.Minute, WriteTimeout: time.Minute, IdleTimeout: 2 * time.Minute,
		ErrorLog: stdlog.New(quietly{log}, "", 0),
	}
	ended := make(chan error, 1)
	go func() { ended <- serve(server) }()
	select {
	case err := <-ended:
		return fmt.Errorf("serve: %w", err)
	case <-ctx.Done():
	}
	grace, cancel := context.WithTimeout(context.WithoutCancel(ctx), 10*time.Second)
	defer cancel()
	if err := server.Shutdown(grace); err != nil {
		return fmt.Errorf("stop: %w", err)
	}
	if err := <-ended; !errors.Is(err, http.ErrServerClosed) {
		return fmt.Errorf("serve: %w", err)
	}
	return nil
}

// journeys wires every journey to the store.
func journeys(st *store.Store, drafts *drafting.Desk, tray *bringing.Tray) httpd.Journeys {
	return httpd.Journeys{
		Door: signin.New(st), Desk: booking.New(st), Yard: yardday.New(st), Coverage: coverage.New(st),
		Records: records.New(st), Signing: signing.New(st), Running: running.New(st), Keeper: keeping.New(st), Drafts: drafts, Founder: founding.New(st), Bringing: bringing.New(st), Tray: tray, SignIns: st.SignIns(),
		Archive: archive.New(st, civil.Real, version),

		Incidents: incidents.New(st), Readings: readings.New(st),
		Arriving: arriving.New(st),
		Circuits: circuits.New(st),

		Completing: completing.New(st),
		Dossiers:   dossiers.New(st),
		Complaints: complaints.New(st),
	}
}
