package main

import (
	"fmt"
	"log/slog"
	"sync/atomic"
	"time"

	"rungbook/internal/civil"
	"rungbook/internal/demo"
	"rungbook/internal/fault"
	"rungbook/internal/store"
)

type demoCommand struct {
	Data   string `help:"Folder that holds the demo's records; made once, kept on later starts. Default: a folder under your data directory." placeholder:"DIR"`
	Listen string `help:"Address to listen on; port 0 picks a free one and prints it." default:"127.0.0.1:8080" placeholder:"ADDR"`
	Today  string `help:"Day on which the demo's clock starts. Default: the real day." placeholder:"DATE"`
}

// demoHour is the local time at which a demo started with --today begins: a
// morning's sessions are under way.
const demoHour = 9*60 + 40

// Run makes the demo yard if the folder is empty and serves it.
func (c *demoCommand) Run(s *surroundings) error {
	dir, err := dataFolder(c.Data, "rungbook-demo")
	if err != nil {
		return err
	}
	clock := &demoClock{}
	if c.Today != "" {
		day, err := civil.ParseDay(c.Today)
		if err != nil {
			return fault.New(fault.Invalid, "--today: %w", err)
		}
		clock.startAt(demo.Zone().At(day, demoHour))
	}
	log := slog.New(slog.NewTextHandler(s.stderr, nil))
	st, err := store.Open(s.ctx, store.Options{Dir: dir, Clock: clock.now, Log: log})
	if err != nil {
		return err
	}
	defer st.Close()
	var last civil.Instant
	err = st.Read(s.ctx, func(v *store.View) (err error) {
		last, err = v.LastRecorded()
		return err
	})
	if err != nil {
		return err
	}
	if last == 0 {
		fmt.Fprintln(s.stdout, "Making the demo yard (once) …")
		if err := demo.Fill(s.ctx, st, demo.Config{Today: demo.Zone().Today(clock.now()), Seed: 1, Years: 2}); err != nil {
			return err
		}
	} else if last > civil.InstantOf(clock.now()) {
		clock.startAt(last) // the record never goes back in time
	}
	return serve(s, st, log, c.Listen, func(url string) {
		fmt.Fprintf(s.stdout, "Rungbook demo listens on %s\n", url)
		fmt.Fprintln(s.stdout, "Demo-only accounts of an invented yard; role, e-mail, password:")
		for _, a := range demo.Accounts() {
			fmt.Fprintf(s.stdout, "  %-14s %-36s %s\n", a.Role, a.Email, a.Password)
		}
		fmt.Fprintf(s.stdout, "Records are kept in %s\n", dir)
	})
}

// demoClock is the real clock, moved to a chosen start.
type demoClock struct{ shift atomic.Int64 }

func (c *demoClock) startAt(t civil.Instant) {
	c.shift.Store(int64(time.Unix(int64(t)*60, 0).Sub(civil.Real())))
}

func (c *demoClock) now() time.Time { return civil.Real().Add(time.Duration(c.shift.Load())) }
