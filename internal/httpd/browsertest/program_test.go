//go:build browser

package browsertest

import (
	"strings"
	"testing"
)

// These tests stand in for the program with a few lines of shell, to see how
// the harness starts, reads and ends one.

func TestAProgramIsStartedReadAndEnded(t *testing.T) {
	t.Parallel()
	p, err := start("sh", "-c", `
		trap 'exit 0' TERM
		echo 'Rungbook demo listens on http://127.0.0.1:43211/'
		echo '  instructor     okafor@yard.example   one-word'
		echo '  administrator  sato@yard.example     another'
		echo '  auditor        hall@yard.example     a-third'
		while :; do sleep 0.05; done`)
	if err != nil {
		t.Fatal(err)
	}
	if p.Base != "http://127.0.0.1:43211" {
		t.Errorf("the address is %q", p.Base)
	}
	if err := p.readAccounts(); err != nil {
		t.Fatal(err)
	}
	if got, want := p.Accounts["administrator"], (Account{"administrator", "sato@yard.example", "another"}); got != want {
		t.Errorf("the administrator is %v, want %v", got, want)
	}
	if got := p.Await(t, `auditor +(\S+)`)[1]; got != "hall@yard.example" {
		t.Errorf("the auditor is %q", got)
	}
	if err := p.stop(); err != nil {
		t.Error(err)
	}
}

func TestAProgramThatEndsBadlyIsReported(t *testing.T) {
	t.Parallel()
	_, err := start("sh", "-c", `echo 'the port is in use' >&2; exit 2`)
	if err == nil || !strings.Contains(err.Error(), "the port is in use") {
		t.Errorf("got %v", err)
	}
	p, err := start("sh", "-c", `trap 'exit 3' TERM; echo http://127.0.0.1:1/; while :; do sleep 0.05; done`)
	if err != nil {
		t.Fatal(err)
	}
	if err := p.stop(); err == nil || !strings.Contains(err.Error(), "exit status 3") {
		t.Errorf("got %v", err)
	}
}
