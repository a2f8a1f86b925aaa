package booking_test

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"strings"
	"testing"
	"time"

	"rungbook/internal/access"
	"rungbook/internal/booking"
	"rungbook/internal/civil"
	"rungbook/internal/demo"
	"rungbook/internal/demo/demotest"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

func TestMain(m *testing.M) {
	// Each random history copies a yard and judges it whole after each act: fewer
	// and shorter ones than usual.
	for name, value := range map[string]string{"rapid.checks": "6", "rapid.steps": "20"} {
		if err := flag.Set(name, value); err != nil {
			panic("rapid has no flag " + name + ": " + err.Error())
		}
	}
	demotest.Main(m, yard, tenYears)
}

// monday is the day on which the tests' yard stands.
var (
	monday = civil.DayOf(2027, time.April, 12)
	eight  = demo.Zone().At(monday, 8*60)
)

// The yards by years of records; only measuring asks for the second.
var (
	yard     = demotest.New(eight, 1)
	tenYears = demotest.New(eight, 10)
)

// office is a desk over a yard of its own, with a clock that tests set.
type office struct {
	testing.TB
	*booking.Desk
	store *store.Store
	now   civil.Instant
	keys  int

	instructor, admin, auditor, trainee access.Actor
}

// newOffice opens a copy of the demo's yard in dir.
func newOffice(t testing.TB, dir string) *office {
	t.Helper()
	yard.CopyTo(t, dir)
	return openIn(t, dir)
}

// openIn opens a desk over the yard in a folder.
func openIn(t testing.TB, dir string) *office {
	t.Helper()
	o := &office{TB: t, now: eight}
	s, err := store.Open(context.Background(), store.Options{Dir: dir, Clock: demotest.ClockAt(func() civil.Instant { return o.now })})
	if err != nil {
		t.Fatal(err)
	}
	o.store, o.Desk = s, booking.New(s)
	for role, at := range map[access.Role]*access.Actor{access.Instructor: &o.instructor, access.Administrator: &o.admin,
		access.Auditor: &o.auditor, access.TraineeRole: &o.trainee} {
		*at = demotest.Actor(t, s, role)
	}
	return o
}

func openOffice(t testing.TB) *office {
	t.Helper()
	o := newOffice(t, t.TempDir())
	t.Cleanup(func() {
		if err := o.store.Close(); err != nil {
			t.Error(err)
		}
	})
	return o
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
	o.read(func(v *store.View) error { h = v.Head(); return nil })
	return h
}

func (o *office) send() booking.Send { return booking.Send{Key: o.key(), Seen: o.head()} }

func (o *office) reference() (ref *store.Reference) {
	o.Helper()
	o.read(func(v *store.View) (err error) { ref, err = v.Reference(); return err })
	return ref
}

func (o *office) session(sid id.Session) store.Row[session.Session] {
	o.Helper()
	var row store.Row[session.Session]
	o.read(func(v *store.View) (err error) { row, err = v.Session(sid); return err })
	return row
}

// ahead are the sessions to come, by start.
func (o *office) ahead() (list []session.Session) {
	o.Helper()
	o.read(func(v *store.View) (err error) { list, err = v.BookedAfter(o.now); return err })
	return list
}

func (o *office) kind(err error, want fault.Kind) {
	o.Helper()
	if fault.Of(err) != want || err == nil {
		o.Errorf("%v, want an error of kind %s", err, want)
	}
}

// offers asks for free times of some intake and exercise until there are at
// least two.
func (o *office) offers() booking.Options {
	o.Helper()
	ref := o.reference()
	for _, in := range ref.Intakes.All(monday) {
		if in.Until < monday+4 {
			continue
		}
		for _, e := range ref.Exercises.All(monday) {
			options, err := o.Options(context.Background(), o.instructor, booking.Ask{Exercise: e.ID, Intake: in.ID, From: max(monday+1, in.From), Until: min(in.Until, max(monday+1, in.From)+10)})
			if err == nil && len(options.Offers) >= 2 && len(options.Refused) > 0 {
				return options
			}
			if err != nil && fault.Of(err) != fault.Invalid {
				o.Fatal(err)
			}
		}
	}
	o.Fatal("the demo's yard has no exercise and intake with two free times")
	return booking.Options{}
}

func proposal(offer booking.Offer) booking.Proposal {
	s := offer.Session
	return booking.Proposal{Exercise: id.Exercise(s.Exercise), Station: id.Station(s.Station), Start: s.Start,
		Trainees: ids[id.Trainee](s.Trainees), Instructors: ids[id.Person](s.Instructors), Rescuers: ids[id.Person](s.Rescuers)}
}

func ids[T ~string](list []string) []T {
	out := make([]T, len(list))
	for i, s := range list {
		out[i] = T(s)
	}
	return out
}

func asProposal(r session.Session) booking.Proposal {
	return booking.Proposal{Session: r.ID, Exercise: r.Exercise, Station: r.Station, Start: r.Start, Trainees: r.Trainees, Instructors: r.Instructors, Rescuers: r.Rescuers}
}

// between are the sessions of some days, the last not counted.
func (o *office) between(from, until civil.Day) (list []session.Session) {
	o.Helper()
	z := demo.Zone()
	o.read(func(v *store.View) (err error) {
		list, err = v.SessionsBetween(z.StartOfDay(from), z.StartOfDay(until))
		return err
	})
	return list
}

// fieldOf is the field that an error speaks of.
func fieldOf(err error) string {
	var one *fault.Error
	if errors.As(err, &one) {
		return one.Field
	}
	return ""
}

var demoZone = demo.Zone()

func demoDay(t civil.Instant) civil.Day { return demoZone.DayOf(t) }

func words(s string) []string { return strings.Fields(s) }
