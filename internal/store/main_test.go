package store

import (
	"errors"
	"fmt"
	"os"
	"testing"
)

// benchDir holds the stores that benchmarks share.
var benchDir string

func TestMain(m *testing.M) {
	dir, err := os.MkdirTemp("", "rungbook-bench-")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	benchDir = dir
	code := m.Run()
	for _, b := range tenYears.of {
		err = errors.Join(err, b.Close())
	}
	if err = errors.Join(err, os.RemoveAll(dir)); err != nil {
		fmt.Fprintln(os.Stderr, err)
		code = 1
	}
	os.Exit(code)
}
