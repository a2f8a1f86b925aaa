package main

import (
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"sync/atomic"
	"time"

	"rungbook/internal/civil"
	"rungbook/internal/demo"
	"rungbook/internal/fault"
	"rungbook/internal/safekeeping"
	"rungbook/internal/store"
)

type demoCommand struct {
	Data   string `help:"Folder that holds the demo's records; made once, kept on later starts. Default: rungbook-demo in your data directory." placeholder:"DIR"`
	Listen string `help:"Address to listen on, HOST:PORT. Port 0 picks a free one. Default: 127.0.0.1:8080." default:"127.0.0.1:8080" placeholder:"ADDR"`
	Today  string `help:"Day on which the demo's clock starts, such as 2027-03-02. Default: of a new demo the real day, or the Friday before a weekend." placeholder:"DATE"`
}

// Help tells what is made and what a later start does.
func (demoCommand) Help() string {
	return `The first start makes an invented yard with two years of records behind the day it is made on and a fortnight of sessions ahead; a later start keeps what was entered. Prints the address and one account for each role, with its password: they are for looking around, so put nothing real into a demo. It answers until it is interrupted (Ctrl-C or SIGTERM). The data directory is $XDG_DATA_HOME, or .local/share in your home.

A new demo's clock starts at 09:40 of its day, when one session is under way and another ready to start; a later start of it shows the real time, or with --today that day. The record never goes back in time: where it holds entries of a later moment, the clock starts there. To begin anew, give another folder or remove this one.

Files in the folder: rungbook.db, rungbook.key and signin.db, and the folder evidence; see rungbook serve --help. In backups stand its scheduled backups, one a day.

Exit codes: 0 it was interrupted while it served; 2 the day, the folder, the database, its key or the address can't be used.

Examples:

  rungbook demo
  rungbook demo --data ./demo --listen 127.0.0.1:0 --today 2027-03-02`
}

// demoSeed draws the demo's people and sessions; demoYears is how far its past
// reaches.
const (
	demoSeed  = 1
	demoYears = 2
)

// demoStart is the local time of day at which a new demo, and one started with
// --today, begins: the morning's sessions are under way. At lunch or at night there
// would be nothing to see run.
const demoStart civil.Minutes = 9*60 + 40

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
		clock.startAt(demo.Zone().At(day, demoStart))
	}
	listener, err := listen("--listen", c.Listen)
	if err != nil {
		return err
	}
	defer listener.Close()
	log := slog.New(slog.NewTextHandler(s.stderr, nil))
	return withStore(s.ctx, store.Options{Dir: dir, Clock: clock.now, Log: log}, func(st *store.Store) error {
		if err := prepare(s, st, clock, dir); err != nil {
			return err
		}
		said := fmt.Sprintf("Rungbook demo listens on %s\nDemo-only accounts of an invented yard; role, e-mail, password:\n", urlOf(listener, false))
		for _, a := range demo.Accounts() {
			said += fmt.Sprintf("  %-14s %-36s %s\n", a.Role, a.Email, a.Password)
		}
		fmt.Fprint(s.stdout, said, "Records are kept in ", dir, "\n") // at once: whoever reads the address has the rest
		backups, err := demoBackups(dir, clock.now)
		if err != nil {
			return err
		}
		return serve(s.ctx, st, house{listener: listener, log: log, backups: backups})
	})
}

// demoBackups keeps backups of the demo in its own folder, so that their page shows
// what it shows for a real yard.
func demoBackups(dir string, clock civil.Clock) (safekeeping.Plan, error) {
	to := filepath.Join(dir, "backups")
	if err := os.MkdirAll(to, 0o700); err != nil {
		return safekeeping.Plan{}, fault.New(fault.Unusable, "%s can't be made: %w", to, plainCause(err))
	}
	return safekeeping.Plan{Data: dir, To: to, Key: true, Version: version, Clock: clock, Schedule: safekeeping.Schedule{Every: 24 * 60, Kept: 3, LoudAfter: safekeeping.LateBackup}}, nil
}

// prepare makes the demo in an empty store, ends a making that was broken off,
// and sets the clock to where the record stands. Error: fault.Unusable for a
// record that is not the demo's.
func prepare(s *surroundings, st *store.Store, clock *demoClock, dir string) error {
	var made demo.Made
	var ours bool
	var last civil.Instant
	err := st.Read(s.ctx, func(v *store.View) (err error) {
		if last, err = v.LastRecorded(); err != nil {
			return err
		}
		made, ours, err = demo.MadeIn(v)
		return err
	})
	if err != nil {
		return err
	}
	day := demo.Zone().Today(clock.now())
	switch {
	case last == 0:
		fmt.Fprintln(s.stdout, "Making the demo yard (once) …")
		if !clock.moved() {
			day -= civil.Day(max(0, day.Weekday()-5)) // the yard teaches from Monday to Friday
			clock.startAt(demo.Zone().At(day, demoStart))
			fmt.Fprintf(s.stdout, "The demo's clock starts at %s, when sessions run.\n", demo.Zone().Stamp(civil.InstantOf(clock.now())))
		}
	case !ours:
		return fault.New(fault.Unusable, "%s holds a yard that is not the demo's, and it was left as it is; start it with rungbook serve, or give the demo another --data DIR", dir)
	case !made.Whole:
		fmt.Fprintln(s.stdout, "Making the rest of the demo yard: the first time was broken off …")
		day = made.Day
		clock.startAt(last)
	default:
		if last > civil.InstantOf(clock.now()) {
			clock.startAt(last)
			fmt.Fprintf(s.stdout, "The record holds entries of a later moment: the demo's clock starts at %s\n", demo.Zone().Stamp(last))
		}
		return nil
	}
	return demo.Fill(s.ctx, st, demo.Config{Today: day, Seed: demoSeed, Years: demoYears})
}

// demoClock is the real clock, moved to a chosen start.
type demoClock struct{ shift atomic.Int64 }

func (c *demoClock) startAt(t civil.Instant) {
	c.shift.Store(int64(time.Unix(int64(t)*60, 0).Sub(civil.Real())))
}

// moved reports whether the clock shows another time than the real one.
func (c *demoClock) moved() bool { return c.shift.Load() != 0 }

func (c *demoClock) now() time.Time { return civil.Real().Add(time.Duration(c.shift.Load())) }
