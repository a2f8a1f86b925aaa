package drafting_test

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"log/slog"
	"slices"
	"sync/atomic"
	"testing"
	"time"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/demo"
	"rungbook/internal/demo/demotest"
	"rungbook/internal/drafting"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

func TestMain(m *testing.M) {
	// Each random wish is searched and accepted in a yard of its own.
	if err := flag.Set("rapid.checks", "6"); err != nil {
		panic("rapid has no flag for the number of checks: " + err.Error())
	}
	demotest.Main(m, yard)
}

// monday is the day on which the tests' yard stands.
var (
	monday = civil.DayOf(2027, time.April, 12)
	zone   = demo.Zone()
	eight  = zone.At(monday, 8*60)
)

var yard = demotest.New(eight, 1)

// office is a desk over a yard of its own, with a clock that tests set.
type office struct {
	testing.TB
	*drafting.Desk
	store *store.Store
	dir   string
	now   atomic.Int64 // minutes
	keys  int
	end   func() // stops the runner and waits for it

	admin, instructor access.Actor
}

// open opens a copy of the demo's yard with a desk whose runner runs.
func open(t testing.TB) *office {
	t.Helper()
	o := &office{TB: t, dir: yard.Copy(t)}
	o.now.Store(int64(eight))
	o.start()
	t.Cleanup(o.close)
	return o
}

func (o *office) start() {
	o.Helper()
	s, err := store.Open(context.Background(), store.Options{Dir: o.dir, Clock: demotest.ClockAt(func() civil.Instant { return civil.Instant(o.now.Load()) })})
	if err != nil {
		o.Fatal(err)
	}
	o.store, o.Desk = s, drafting.New(s, drafting.Options{Version: "test", Log: slog.New(slog.NewTextHandler(testLog{o}, nil))})
	o.admin, o.instructor = demotest.Actor(o, s, access.Administrator), demotest.Actor(o, s, access.Instructor)
	o.run()
}

// patience is how long a test waits for what must come, on a busy machine too.
const patience = 5 * time.Minute

// testLog shows the desk's log as the test's.
type testLog struct{ *office }

func (l testLog) Write(line []byte) (int, error) {
	l.Logf("log: %s", bytes.TrimSpace(line))
	return len(line), nil
}

func (o *office) run() {
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- o.Run(ctx) }()
	o.end = func() {
		cancel()
		if err := <-ended; err != nil {
			o.Errorf("the runner ended: %v", err)
		}
		o.end = func() {}
	}
}

func (o *office) close() {
	o.end()
	if err := o.store.Close(); err != nil {
		o.Error(err)
	}
}

func (o *office) read(do func(*store.View) error) {
	o.Helper()
	if err := o.store.Read(context.Background(), do); err != nil {
		o.Fatal(err)
	}
}

// put writes records beside the desk, as other journeys would.
func (o *office) put(act string, records ...any) {
	o.Helper()
	cmd := store.Command{Key: o.key(), Actor: o.admin, Role: access.Administrator}
	_, err := o.store.Write(context.Background(), cmd, func(tx *store.Tx) (store.Outcome, error) {
		for _, r := range records {
			if _, err := tx.Put(act, tx.Today(), r); err != nil {
				return "", err
			}
		}
		return "", nil
	})
	if err != nil {
		o.Fatal(err)
	}
}

func (o *office) key() string {
	o.keys++
	return fmt.Sprintf("test %d", o.keys)
}

func (o *office) head() (h int64) {
	o.Helper()
	o.read(func(v *store.View) error { h = v.Head(); return nil })
	return h
}

func (o *office) reference() (ref *store.Reference) {
	o.Helper()
	o.read(func(v *store.View) (err error) { ref, err = v.Reference(); return err })
	return ref
}

// between are the sessions of some days, both counted.
func (o *office) between(from, until civil.Day) (list []session.Session) {
	o.Helper()
	o.read(func(v *store.View) (err error) {
		list, err = v.SessionsBetween(zone.StartOfDay(from), zone.StartOfDay(until+1))
		return err
	})
	return list
}

// ahead are the sessions to come that stand, by start.
func (o *office) ahead() (list []session.Session) {
	o.Helper()
	o.read(func(v *store.View) (err error) { list, err = v.BookedAfter(v.Now()); return err })
	return list
}

// standDown takes sessions off the board, so that their trainees need a place.
func (o *office) standDown(list ...session.Session) {
	o.Helper()
	var records []any
	for _, s := range list {
		s.State, s.Down = session.StoodDown, session.DownOther
		records = append(records, s)
	}
	o.put("stood-down", records...)
}

// draft returns a draft as the administrator sees it.
func (o *office) draft(of id.Draft) drafting.Draft {
	o.Helper()
	d, err := o.Draft(context.Background(), o.admin, of)
	if err != nil {
		o.Fatal(err)
	}
	return d
}

// accept accepts a draft, which must hold.
func (o *office) accept(of id.Draft) drafting.Outcome {
	o.Helper()
	out, err := o.Accept(context.Background(), o.admin, of, o.key())
	if err != nil {
		o.Fatal(err)
	}
	if out.Changed != nil {
		for _, f := range out.Changed.Findings {
			o.Errorf("%s: %v", f.Rule, f.Found)
		}
		o.Fatalf("the draft does not hold: %d findings, %d sessions changed", len(out.Changed.Findings), len(out.Changed.Sessions))
	}
	return out
}

// findings are all stops of the sessions that stand in some days, and of people.
func (o *office) findings(from, until civil.Day) (out []string) {
	o.Helper()
	o.read(func(v *store.View) error {
		var b planning.Builder
		s, err := b.Build(v, planning.Scope{From: from, Until: until, Everyone: true})
		if err != nil {
			return err
		}
		for _, f := range s.All().At(verdict.Stops) {
			about := slices.IndexFunc(f.Refs(), func(r verdict.Ref) bool { return r.Kind == verdict.Session })
			stand := slices.ContainsFunc(f.Refs(), func(r verdict.Ref) bool {
				x, ok := s.Session(r.ID)
				return ok && (x.State == session.Booked || x.State == session.Pencilled || x.State == session.UnderWay)
			})
			if about < 0 || stand { // not of what has happened
				out = append(out, f.Subject())
			}
		}
		return nil
	})
	return out
}

// usual is a wish for an intake that has something open.
func (o *office) usual() drafting.Wish {
	o.Helper()
	c, err := o.Choices(context.Background(), o.admin)
	if err != nil {
		o.Fatal(err)
	}
	w := c.Usual
	if len(w.Intakes) == 0 {
		o.Fatalf("no intake of the demo's yard has anything open: %+v", c.Intakes)
	}
	return w
}

// long is a wish whose search does not end by itself: everything is taken off the
// board and all intakes are to be planned anew in a week, which does not hold them.
func (o *office) long() drafting.Wish {
	o.Helper()
	o.standDown(o.ahead()...)
	c, err := o.Choices(context.Background(), o.admin)
	if err != nil {
		o.Fatal(err)
	}
	w := c.Usual
	w.Intakes, w.From, w.Until, w.Seconds = nil, monday, monday+6, drafting.MostSeconds
	for _, in := range c.Intakes {
		w.Intakes = append(w.Intakes, in.Intake)
	}
	return w
}

// made starts a wish and lets it be searched for a while.
func (o *office) made(w drafting.Wish) id.Draft {
	o.Helper()
	w.Seconds = drafting.MostSeconds
	of, err := o.Start(context.Background(), o.admin, w, o.key())
	if err != nil {
		o.Fatal(err)
	}
	o.searched(of)
	return of
}

// searched lets a draft be searched for two rounds, or until nothing better is
// possible, and stops it: by rounds, so that a busy machine finds as much.
func (o *office) searched(of id.Draft) {
	o.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	c, err := o.Watch(ctx, o.admin, of)
	if err != nil {
		o.Fatal(err)
	}
	for p := range c {
		if p.Rounds >= 2 {
			break
		}
	}
	if err := o.Stop(context.Background(), o.admin, of); err != nil && fault.Of(err) != fault.Conflict { // it has ended
		o.Fatal(err)
	}
	o.wait(of)
}

func (o *office) wait(of id.Draft) (last drafting.Progress) {
	o.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	c, err := o.Watch(ctx, o.admin, of)
	if err != nil {
		o.Fatal(err)
	}
	for p := range c {
		last = p
	}
	if !last.Ended() {
		o.Fatalf("the search did not end: %+v", last)
	}
	return last
}

func (o *office) kind(err error, want fault.Kind) {
	o.Helper()
	if fault.Of(err) != want || err == nil {
		o.Errorf("%v, want an error of kind %s", err, want)
	}
}

// untilSearching waits until a draft's search has begun.
func (o *office) untilSearching(of id.Draft) {
	o.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	c, err := o.Watch(ctx, o.admin, of)
	if err != nil {
		o.Fatal(err)
	}
	for p := range c {
		if p.State == drafting.Searching {
			return
		}
	}
	o.Fatal("the search did not begin")
}
