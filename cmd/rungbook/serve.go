package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"runtime"
	"time"

	"rungbook/internal/booking"
	"rungbook/internal/civil"
	"rungbook/internal/coverage"
	"rungbook/internal/fault"
	"rungbook/internal/httpd"
	"rungbook/internal/keeping"
	"rungbook/internal/records"
	"rungbook/internal/signin"
	"rungbook/internal/store"
	"rungbook/internal/yardday"
)

type serveCommand struct {
	Data   string `help:"Folder that holds the yard's records; made if absent. Default: a folder under your data directory." placeholder:"DIR"`
	Listen string `help:"Address to listen on; port 0 picks a free one and prints it." default:"127.0.0.1:8080" placeholder:"ADDR"`
}

// Run serves a yard until it is interrupted.
func (c *serveCommand) Run(s *surroundings) error {
	dir, err := dataFolder(c.Data, "rungbook")
	if err != nil {
		return err
	}
	log := slog.New(slog.NewTextHandler(s.stderr, nil))
	st, err := store.Open(s.ctx, store.Options{Dir: dir, Clock: civil.Real, Log: log})
	if err != nil {
		return err
	}
	defer st.Close()
	code, err := st.SetupCode(s.ctx)
	if err != nil {
		return err
	}
	return serve(s, st, log, c.Listen, func(url string) {
		fmt.Fprintf(s.stdout, "Rungbook listens on %s\nRecords are kept in %s\n", url, dir)
		if code != "" {
			fmt.Fprintf(s.stdout, "\nNo administrator yet. Open %sfirst-administrator and give this code once:\n\n  %s\n\n", url, code)
		}
	})
}

// serve listens, announces the address and answers until the context ends; then
// it lets running requests finish.
func serve(s *surroundings, st *store.Store, log *slog.Logger, addr string, announce func(url string)) error {
	listener, err := net.Listen("tcp", addr)
	if err != nil {
		return fault.New(fault.Unusable, "can't listen on %s: %w. Is another program there? --listen 127.0.0.1:0 picks a free port", addr, plainCause(err))
	}
	server := &http.Server{
		Handler:           httpd.New(journeys(st), log),
		ReadHeaderTimeout: 10 * time.Second, ReadTimeout: time.Minute, WriteTimeout: time.Minute, IdleTimeout: 2 * time.Minute,
		ErrorLog: slog.NewLogLogger(log.Handler(), slog.LevelWarn),
	}
	announce("http://" + listener.Addr().String() + "/")
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(listener) }()
	select {
	case err := <-ended:
		return fmt.Errorf("serve: %w", err)
	case <-s.ctx.Done():
	}
	grace, cancel := context.WithTimeout(context.WithoutCancel(s.ctx), 10*time.Second)
	defer cancel()
	if err := server.Shutdown(grace); err != nil {
		return fmt.Errorf("stop: %w", err)
	}
	if err := <-ended; !errors.Is(err, http.ErrServerClosed) {
		return fmt.Errorf("serve: %w", err)
	}
	return nil
}

// plainCause returns the innermost cause, which is the words people know
// ("address already in use").
func plainCause(err error) error {
	for {
		inner := errors.Unwrap(err)
		if inner == nil {
			return err
		}
		err = inner
	}
}

// dataFolder returns the folder given, or one of that name under the user's data
// directory.
func dataFolder(given, name string) (string, error) {
	if given != "" {
		return filepath.Abs(given)
	}
	if base := os.Getenv("XDG_DATA_HOME"); base != "" {
		return filepath.Join(base, name), nil
	}
	if runtime.GOOS == "linux" {
		home, err := os.UserHomeDir()
		if err != nil {
			return "", fault.New(fault.Unusable, "no home folder is known; give --data DIR")
		}
		return filepath.Join(home, ".local", "share", name), nil
	}
	base, err := os.UserConfigDir()
	if err != nil {
		return "", fault.New(fault.Unusable, "no data folder is known; give --data DIR")
	}
	return filepath.Join(base, name), nil
}

// journeys wires every journey to the store.
func journeys(st *store.Store) httpd.Journeys {
	return httpd.Journeys{
		Door: signin.New(st), Desk: booking.New(st), Yard: yardday.New(st), Coverage: coverage.New(st),
		Records: records.New(st), Keeper: keeping.New(st), SignIns: st.SignIns(),
	}
}
