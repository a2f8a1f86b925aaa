package complaints_test

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
	"rungbook/internal/complaints"
	"rungbook/internal/demo"
	"rungbook/internal/store"
)

// The demo's yard is filled once; each test works on a copy of its own.

var templates string

func TestMain(m *testing.M) {
	dir, err := os.MkdirTemp("", "rungbook-complaints-")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	templates = dir
	code := m.Run()
	if err := os.RemoveAll(dir); err != nil {
		fmt.Fprintln(os.Stderr, err)
		code = 1
	}
	os.Exit(code)
}

// tuesday is the day on which the tests' yard stands.
var (
	tuesday = civil.DayOf(2027, time.March, 2)
	nine    = demo.Zone().At(tuesday, 9*60)
	ctx     = context.Background()
)

var template = sync.OnceValues(func() (string, error) {
	dir := filepath.Join(templates, "yard")
	s, err := store.Open(ctx, store.Options{Dir: dir, Clock: func() time.Time { return time.Unix(int64(nine)*60, 0) }})
	if err != nil {
		return "", err
	}
	err = demo.Fill(ctx, s, demo.Config{Today: tuesday, Seed: 11, Years: 1})
	return dir, errors.Join(err, s.Close())
})

// office is a desk over a yard of its own.
type office struct {
	testing.TB
	*complaints.Desk
	store         *store.Store
	keys          int
	administrator access.Actor
	instructor    access.Actor // responsible for height and rescue
	trainee       access.Actor
	auditor       access.Actor
}

func open(t testing.TB) *office {
	t.Helper()
	from, err := template()
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(t.TempDir(), "yard")
	if err := errors.Join(os.CopyFS(dir, os.DirFS(from)), os.Chmod(filepath.Join(dir, "rungbook.key"), 0o600)); err != nil {
		t.Fatal(err)
	}
	s, err := store.Open(ctx, store.Options{Dir: dir, Clock: func() time.Time { return time.Unix(int64(nine)*60, 0) }})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	o := &office{TB: t, store: s, Desk: complaints.New(s)}
	o.administrator, o.instructor = o.actor(access.Administrator), o.actor(access.Instructor)
	o.trainee, o.auditor = o.actor(access.TraineeRole), o.actor(access.Auditor)
	return o
}

func (o *office) actor(role access.Role) (a access.Actor) {
	o.Helper()
	o.read(func(v *store.View) error {
		ref, err := v.Reference()
		if err != nil {
			return err
		}
		for _, x := range ref.Accounts.All(tuesday) {
			if slices.Contains(x.Roles, role) {
				a = access.Actor{Account: x.ID, Person: x.Person, Roles: x.Roles, Today: tuesday}
			}
		}
		for _, x := range ref.Appointments.All(tuesday) {
			if x.Person == a.Person && x.On(tuesday) {
				a.Appointments = append(a.Appointments, x)
			}
		}
		return nil
	})
	return a
}

func (o *office) read(do func(*store.View) error) {
	o.Helper()
	if err := o.store.Read(ctx, do); err != nil {
		o.Fatal(err)
	}
}

func (o *office) key() string {
	o.keys++
	return fmt.Sprintf("test %d", o.keys)
}
