package planning_test

import (
	"context"
	"flag"
	"fmt"
	"os"
	"sync"
	"testing"
	"time"

	"rungbook/internal/civil"
	"rungbook/internal/demo"
	"rungbook/internal/store"
)

// The demo's yard is filled once for all tests that only read it.

var demoDir string

func TestMain(m *testing.M) {
	// Each random question builds a slice of the demo's yard: fewer than usual.
	if err := flag.Set("rapid.checks", "40"); err != nil {
		panic("rapid has no flag for the number of checks: " + err.Error())
	}
	dir, err := os.MkdirTemp("", "rungbook-planning-")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	demoDir = dir
	code := m.Run()
	if err := os.RemoveAll(dir); err != nil {
		fmt.Fprintln(os.Stderr, err)
		code = 1
	}
	os.Exit(code)
}

// demoDay is a Monday in term time.
var demoDay = civil.DayOf(2027, time.April, 12)

var fillDemo = sync.OnceValue(func() error {
	s, err := store.Open(context.Background(), demoOptions())
	if err != nil {
		return err
	}
	err = demo.Fill(context.Background(), s, demo.Config{Today: demoDay, Seed: 11, Years: 1})
	if closed := s.Close(); err == nil {
		err = closed
	}
	return err
})

func demoOptions() store.Options {
	at := time.Unix(int64(demo.Zone().At(demoDay, 8*60))*60, 0)
	return store.Options{Dir: demoDir, Clock: func() time.Time { return at }}
}

func openDemo(t testing.TB) *store.Store {
	t.Helper()
	if err := fillDemo(); err != nil {
		t.Fatal(err)
	}
	s, err := store.Open(t.Context(), demoOptions())
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
