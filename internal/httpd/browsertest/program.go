//go:build browser

package browsertest

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"
)

// DemoDay is the day on which every demo's clock starts, a Tuesday.
const DemoDay = "2027-03-02"

// startPatience is how long the program may take until it prints what a test
// waits for; a first start makes two years of data on a busy machine.
const startPatience = 90 * time.Second

// An Account is one demo account as the program prints it.
type Account struct{ Role, Email, Password string }

// A Program is one running Rungbook.
type Program struct {
	Base     string             // "http://127.0.0.1:43211", without a final slash
	Accounts map[string]Account // by role; only a demo has them

	data   string // the folder of a fresh demo; "" of others
	cmd    *exec.Cmd
	output *transcript
	done   chan struct{} // closed when the program has ended
	ended  *error        // what it ended with; read after done

	mu      sync.Mutex
	cookies map[string]cookies // by role, so that As need not sign in each time
}

// transcript gathers what a program prints.
type transcript struct {
	mu   sync.Mutex
	text bytes.Buffer
}

func (tr *transcript) Write(b []byte) (int, error) {
	tr.mu.Lock()
	defer tr.mu.Unlock()
	return tr.text.Write(b)
}

func (tr *transcript) String() string {
	tr.mu.Lock()
	defer tr.mu.Unlock()
	return tr.text.String()
}

// Demo returns a demo that all tests share. Tests may only read from it.
func Demo(t testing.TB) *Program {
	t.Helper()
	programs.mu.Lock()
	defer programs.mu.Unlock()
	if programs.shared == nil {
		p, err := programs.startCopy()
		if err != nil {
			t.Fatalf("starting the demo: %v", err)
		}
		programs.shared = p
	}
	t.Cleanup(func() { programs.shared.logOnFailure(t) })
	return programs.shared
}

// FreshDemo returns a demo of this test's own, on a copy of the same data that
// every fresh demo starts with.
func FreshDemo(t testing.TB) *Program {
	t.Helper()
	programs.mu.Lock()
	p, err := programs.startCopy()
	programs.mu.Unlock()
	if err != nil {
		t.Fatalf("starting a demo: %v", err)
	}
	p.stopAfter(t)
	return p
}

// Later ends a fresh demo and starts it again at 09:40 of a later day, as what was
// planned or kept for that day is met. Pages of before are left behind: open another.
func (p *Program) Later(t testing.TB, day string) {
	t.Helper()
	if p.data == "" {
		t.Fatal("only a fresh demo can be started on another day")
	}
	if err := p.stop(); err != nil {
		t.Fatal(err)
	}
	programs.mu.Lock()
	defer programs.mu.Unlock()
	again, err := start(programs.binary, demoArgs(p.data, day)...)
	if err != nil {
		t.Fatalf("starting the demo on %s: %v", day, err)
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.Base, p.cmd, p.output, p.done, p.ended, p.cookies = again.Base, again.cmd, again.output, again.done, again.ended, map[string]cookies{}
}

// Start runs rungbook with args, which must make it listen, and waits until it
// prints its address.
func Start(t testing.TB, args ...string) *Program {
	t.Helper()
	programs.mu.Lock()
	binary, err := programs.build()
	programs.mu.Unlock()
	if err != nil {
		t.Fatal(err)
	}
	p, err := start(binary, args...)
	if err != nil {
		t.Fatal(err)
	}
	p.stopAfter(t)
	return p
}

// At returns a program that something else runs, such as an httptest server.
func At(base string) *Program {
	return &Program{Base: strings.TrimSuffix(base, "/"), output: &transcript{}, cookies: map[string]cookies{}}
}

var (
	addressLine = regexp.MustCompile(`http://[0-9a-z.:\[\]]+:[0-9]+`)
	accountLine = regexp.MustCompile(`(?m)^\s+(instructor|administrator|auditor|trainee)\s+(\S+@\S+)\s+(\S+)\s*$`)
)

// start runs the binary and returns when it has printed where it listens.
func start(binary string, args ...string) (*Program, error) {
	p := &Program{output: &transcript{}, done: make(chan struct{}), ended: new(error), cookies: map[string]cookies{}}
	p.cmd = exec.Command(binary, args...)
	p.cmd.Stdout, p.cmd.Stderr = p.output, p.output
	if err := p.cmd.Start(); err != nil {
		return nil, err
	}
	cmd, done, ended := p.cmd, p.done, p.ended // this program's own, whatever day it is started on again
	go func() {
		*ended = cmd.Wait()
		close(done)
	}()
	found, err := p.await(addressLine)
	if err != nil {
		return nil, errors.Join(err, p.stop())
	}
	p.Base = found[0]
	return p, nil
}

// await waits until the program has printed something that matches.
func (p *Program) await(pattern *regexp.Regexp) ([]string, error) {
	deadline := time.Now().Add(startPatience)
	for {
		if found := pattern.FindStringSubmatch(p.output.String()); found != nil {
			return found, nil
		}
		select {
		case <-p.done:
			return nil, fmt.Errorf("the program ended (%v) before it printed %s:\n%s", *p.ended, pattern, p.output)
		case <-time.After(20 * time.Millisecond):
		}
		if time.Now().After(deadline) {
			return nil, fmt.Errorf("the program did not print %s in %v:\n%s", pattern, startPatience, p.output)
		}
	}
}

// Await waits until the program has printed something that matches pattern, and
// returns the match and its groups.
func (p *Program) Await(t testing.TB, pattern string) []string {
	t.Helper()
	found, err := p.await(regexp.MustCompile(pattern))
	if err != nil {
		t.Fatal(err)
	}
	return found
}

// readAccounts waits for the accounts of the demo's three roles.
func (p *Program) readAccounts() error {
	p.Accounts = map[string]Account{}
	for _, role := range []string{"instructor", "administrator", "auditor"} {
		if _, err := p.await(regexp.MustCompile(`(?m)^\s+` + role + `\s+\S+@\S+\s+\S+\s*\n`)); err != nil {
			return err
		}
	}
	for _, found := range accountLine.FindAllStringSubmatch(p.output.String(), -1) {
		p.Accounts[found[1]] = Account{found[1], found[2], found[3]}
	}
	return nil
}

// stop ends the program as a service would, and reports if it did not end well.
func (p *Program) stop() error {
	select {
	case <-p.done:
		if *p.ended != nil {
			return fmt.Errorf("the program had ended by itself: %w", *p.ended)
		}
		return nil
	default:
	}
	if err := p.cmd.Process.Signal(syscall.SIGTERM); err != nil {
		return err
	}
	select {
	case <-p.done:
		if *p.ended != nil {
			return fmt.Errorf("the program did not end well when told to: %w", *p.ended)
		}
		return nil
	case <-time.After(15 * time.Second):
		return errors.Join(errors.New("the program did not end within 15 s of being told to"), p.cmd.Process.Kill())
	}
}

// kill ends the program as a loss of power would.
func (p *Program) kill() {
	err := p.cmd.Process.Kill()
	<-p.done
	*p.ended = err
}

// again starts the program once more with the arguments it had; whoever asks stops it.
func (p *Program) again() (*Program, error) {
	next, err := start(p.cmd.Path, p.cmd.Args[1:]...)
	if err == nil {
		next.Accounts = p.Accounts
	}
	return next, err
}

func (p *Program) stopAfter(t testing.TB) {
	t.Cleanup(func() {
		if err := p.stop(); err != nil {
			t.Error(err)
		}
		p.logOnFailure(t)
	})
}

// logOnFailure shows the last lines that the program printed.
func (p *Program) logOnFailure(t testing.TB) {
	if t.Failed() {
		lines := strings.Split(strings.TrimSpace(p.output.String()), "\n")
		t.Logf("the program's last lines:\n%s", strings.Join(lines[max(0, len(lines)-30):], "\n"))
	}
}

// programs holds what the tests of one run share. Its fields are made when
// first asked for.
var programs workshop

type workshop struct {
	mu       sync.Mutex
	folder   string
	binary   string
	template string             // data of a demo that was started once
	accounts map[string]Account // as its first start printed them
	shared   *Program
}

// build compiles the program once.
func (w *workshop) build() (string, error) {
	if w.binary != "" {
		return w.binary, nil
	}
	folder, err := os.MkdirTemp("", "rungbook-browsertest-")
	if err != nil {
		return "", err
	}
	w.folder = folder
	binary := filepath.Join(folder, "rungbook")
	if out, err := exec.Command("go", "build", "-o", binary, "rungbook/cmd/rungbook").CombinedOutput(); err != nil {
		return "", fmt.Errorf("building the program: %w\n%s", err, out)
	}
	w.binary = binary
	return binary, nil
}

func demoArgs(data, day string) []string {
	return []string{"demo", "--data", data, "--listen", "127.0.0.1:0", "--today", day}
}

// startCopy starts a demo on a copy of the template, which it makes first.
func (w *workshop) startCopy() (*Program, error) {
	binary, err := w.build()
	if err != nil {
		return nil, err
	}
	if w.template == "" {
		data := filepath.Join(w.folder, "template")
		p, err := start(binary, demoArgs(data, DemoDay)...)
		if err != nil {
			return nil, err
		}
		if err := errors.Join(p.readAccounts(), p.stop()); err != nil {
			return nil, err
		}
		w.template, w.accounts = data, p.Accounts
	}
	data, err := os.MkdirTemp(w.folder, "demo-")
	if err != nil {
		return nil, err
	}
	if err := copyFolder(w.template, data); err != nil {
		return nil, err
	}
	p, err := start(binary, demoArgs(data, DemoDay)...)
	if err != nil {
		return nil, err
	}
	p.Accounts, p.data = w.accounts, data
	return p, nil
}

// copyFolder copies files with their modes: the program refuses a key file that
// others can read.
func copyFolder(from, to string) error {
	return filepath.WalkDir(from, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		info, err := d.Info()
		if err != nil {
			return err
		}
		target := filepath.Join(to, strings.TrimPrefix(path, from))
		if d.IsDir() {
			return os.MkdirAll(target, info.Mode().Perm())
		}
		content, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		return os.WriteFile(target, content, info.Mode().Perm())
	})
}

// close ends the shared demo and removes what the run left.
func (w *workshop) close() {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.shared != nil {
		if err := w.shared.stop(); err != nil {
			fmt.Fprintln(os.Stderr, err)
		}
	}
	if w.folder != "" {
		if err := os.RemoveAll(w.folder); err != nil {
			fmt.Fprintln(os.Stderr, err)
		}
	}
}
