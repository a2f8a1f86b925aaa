// Package demotest gives tests the demo's yard: filled once for the tests of a
// package, and copied for each that writes to it. It knows nothing of what is tested,
// and no program imports it.
package demotest

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"testing"
	"time"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/demo"
	"rungbook/internal/store"
)

// seed is that of every yard, so that tests of different packages speak of the same
// people.
const seed = 11

// Yard is the demo's yard as it stands at a moment, which tests copy or only read.
type Yard struct {
	Years int // of records
	at    civil.Instant

	dir  string // set by Main
	once sync.Once
	err  error
}

// New describes a yard; it is filled when a test first asks for it. at, in the demo's
// zone, is the moment at which it stands.
func New(at civil.Instant, years int) *Yard { return &Yard{at: at, Years: years} }

// Main runs the tests of a package that use some yards, removes what these left and
// ends the program. It is all that a TestMain does, or the last of it.
func Main(m *testing.M, yards ...*Yard) {
	dir, err := os.MkdirTemp("", "rungbook-yards-")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	for i, y := range yards {
		y.dir = filepath.Join(dir, fmt.Sprint(i))
	}
	code := m.Run()
	if err := os.RemoveAll(dir); err != nil {
		fmt.Fprintln(os.Stderr, err)
		code = 1
	}
	os.Exit(code)
}

// Dir is the folder of the yard itself. Tests only read there.
func (y *Yard) Dir(t testing.TB) string {
	t.Helper()
	y.once.Do(func() { y.err = y.fill() })
	if y.err != nil {
		t.Fatal(y.err)
	}
	return y.dir
}

func (y *Yard) fill() error {
	if y.dir == "" {
		return errors.New("a yard that Main does not know has no folder")
	}
	ctx := context.Background()
	s, err := store.Open(ctx, store.Options{Dir: y.dir, Clock: ClockAt(func() civil.Instant { return y.at })})
	if err != nil {
		return err
	}
	err = demo.Fill(ctx, s, demo.Config{Today: demo.Zone().DayOf(y.at), Seed: seed, Years: y.Years})
	return errors.Join(err, s.Close())
}

// Copy copies the yard and returns the copy's folder.
func (y *Yard) Copy(t testing.TB) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "yard")
	y.CopyTo(t, dir)
	return dir
}

// CopyTo copies the yard into a folder that is empty or is made.
func (y *Yard) CopyTo(t testing.TB, dir string) {
	t.Helper()
	// A copy loses the key's mode, and a store refuses a key that others may read.
	if err := errors.Join(os.CopyFS(dir, os.DirFS(y.Dir(t))), os.Chmod(filepath.Join(dir, "rungbook.key"), 0o600)); err != nil {
		t.Fatal(err)
	}
}

// Open opens the store in a folder until the test ends.
func Open(t testing.TB, dir string, now func() civil.Instant) *store.Store {
	t.Helper()
	s, err := store.Open(context.Background(), store.Options{Dir: dir, Clock: ClockAt(now)})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	return s
}

// ClockAt is a clock that shows what now says.
func ClockAt(now func() civil.Instant) civil.Clock {
	return func() time.Time { return time.Unix(int64(now())*60, 0) }
}

// Actor is the demo's person of a role on the store's day, with what they are
// appointed for.
func Actor(t testing.TB, s *store.Store, role access.Role) (a access.Actor) {
	t.Helper()
	err := s.Read(context.Background(), func(v *store.View) error {
		ref, err := v.Reference()
		if err != nil {
			return err
		}
		day := v.Today()
		for _, x := range ref.Accounts.All(day) {
			if slices.Contains(x.Roles, role) {
				a = access.Actor{Account: x.ID, Person: x.Person, Roles: x.Roles, Today: day}
			}
		}
		for _, x := range ref.Appointments.All(day) {
			if x.Person == a.Person && x.On(day) {
				a.Appointments = append(a.Appointments, x)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if a.Person == "" {
		t.Fatalf("nobody of the demo's yard is %s", role)
	}
	return a
}
