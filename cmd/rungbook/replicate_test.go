//go:build replicate

package main

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"math/rand/v2"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"rungbook/internal/civil"
	"rungbook/internal/demo"
	"rungbook/internal/store"
)

// This tries the guide to replication with the real Litestream: people write, the
// server is killed at random, Litestream after it as the unit does, every other time
// at once with it as on a machine that is lost; then the yard is brought back from
// the replica and looked at. make replicate runs it. SEED repeats a run's moments,
// ROUNDS sets their number.

const defaultRounds = 12

// farm is a yard that is replicated.
type farm struct {
	*testing.T
	dir, yard, config string
	random            *rand.Rand

	station, line string // an inspection that is recorded again and again
	acknowledged  int    // inspections that the server said it has
	keys          int
}

func TestReplicated(t *testing.T) {
	seed, rounds := uint64(time.Now().UnixNano()), defaultRounds
	for name, to := range map[string]any{"SEED": &seed, "ROUNDS": &rounds} {
		if said := os.Getenv(name); said != "" {
			if _, err := fmt.Sscan(said, to); err != nil {
				t.Fatalf("%s=%s: %v", name, said, err)
			}
		}
	}
	t.Logf("SEED=%d ROUNDS=%d", seed, rounds)
	f := &farm{T: t, dir: t.TempDir(), random: rand.New(rand.NewPCG(seed, 1))}
	f.found()
	for round := range rounds {
		lost := round%2 == 1
		before := f.entries(f.yard)
		stream := f.stream()
		f.sent()
		r, base := f.serve()
		done := f.writeUntilKilled(r, base, stream, lost)
		here := f.entries(f.yard)
		if len(here)-len(before) < done {
			f.Fatalf("round %d: %d facts were acknowledged and %d entries were added: a fact is lost", round+1, done, len(here)-len(before))
		}
		if lost { // nothing is left but the replica
			back := f.restore(fmt.Sprintf("lost-%d", round+1))
			f.beginning(back, here)
			f.Logf("round %d: server and Litestream killed; %d facts acknowledged since the start, %d of %d entries come back", round+1, done, len(back), len(here))
			continue
		}
		stream = f.stream()
		back := f.caughtUp(fmt.Sprintf("kept-%d", round+1), here)
		f.kill(stream)
		f.Logf("round %d: server killed, Litestream after it; %d facts acknowledged since the start, %d of %d entries come back", round+1, done, len(back), len(here))
	}
	f.end(rounds)
}

// end stops both in order; then the yard that comes back is the yard. It goes on
// elsewhere, to the same replica.
func (f *farm) end(rounds int) {
	f.Helper()
	inOrder := func(folder string) {
		stream := f.stream()
		r, base := f.serve()
		f.signIn(base)
		if err := r.end(syscall.SIGTERM); err != nil {
			f.Fatal(err)
		}
		here := f.entries(f.yard)
		f.caughtUp(folder+"-soon", here)
		if err := errors.Join(stream.Process.Signal(syscall.SIGTERM), stream.Wait()); err != nil {
			f.Fatalf("Litestream: %v", err)
		}
		if back := f.restore(folder); !slices.Equal(back, here) {
			f.Errorf("%s: both ended in order, and %d of %d entries come back", folder, len(back), len(here))
		}
	}
	inOrder("whole")
	f.rungbook("rebuild", "--data", filepath.Join(f.dir, "whole"))
	if err := errors.Join(os.Rename(f.yard, filepath.Join(f.dir, "old")), os.Rename(filepath.Join(f.dir, "whole"), f.yard)); err != nil {
		f.Fatal(err)
	}
	stream := f.stream()
	r, base := f.serve()
	f.writeUntilKilled(r, base, stream, false)
	inOrder("elsewhere")
	f.Logf("%d rounds, %d facts acknowledged: none was lost here, and what came back was a beginning of the ledger each time", rounds, f.acknowledged)
}

// found makes the yard, today, and the settings of Litestream: those that are
// printed, with other paths.
func (f *farm) found() {
	f.Helper()
	f.yard, f.config = filepath.Join(f.dir, "yard"), filepath.Join(f.dir, "litestream.yml")
	settings := strings.ReplaceAll(streamFile, "/var/lib/rungbook/", f.yard+"/")
	settings = strings.ReplaceAll(settings, "/mnt/replica/rungbook", filepath.Join(f.dir, "replica"))
	if err := os.WriteFile(f.config, []byte(settings), 0o600); err != nil {
		f.Fatal(err)
	}
	today := demo.Zone().Today(civil.Real())
	err := withStore(f.Context(), store.Options{Dir: f.yard, Clock: civil.Real}, func(st *store.Store) error {
		if err := demo.Fill(f.Context(), st, demo.Config{Today: today, Seed: demoSeed, Years: demoYears}); err != nil {
			return err
		}
		return st.Read(f.Context(), func(v *store.View) error {
			ref, err := v.Reference()
			if err != nil {
				return err
			}
			for _, s := range ref.Stations.All(today) {
				if len(s.Inspections) > 0 {
					f.station, f.line = string(s.ID), s.Inspections[0]
				}
			}
			return nil
		})
	})
	if err != nil || f.station == "" {
		f.Fatalf("a yard with a station that is inspected: %v", err)
	}
}

// sent waits until the replica has something: Litestream has seen the yard.
func (f *farm) sent() {
	f.Helper()
	for until := time.Now().Add(patience); time.Now().Before(until); time.Sleep(100 * time.Millisecond) {
		if whole, err := filepath.Glob(filepath.Join(f.dir, "replica", "ltx", "9", "*.ltx")); err == nil && len(whole) > 0 {
			return
		}
	}
	f.Fatal("Litestream sends nothing")
}

// stream starts Litestream after a snapshot, as its unit does.
func (f *farm) stream() *exec.Cmd {
	f.Helper()
	before := exec.Command(os.Getenv("LITESTREAM"), "replicate", "-once", "-force-snapshot", "-config", f.config)
	if said, err := before.CombinedOutput(); err != nil {
		f.Fatalf("a snapshot before the start: %v\n%s", err, said)
	}
	c := exec.Command(os.Getenv("LITESTREAM"), "replicate", "-config", f.config)
	if err := c.Start(); err != nil {
		f.Fatal(err)
	}
	f.Cleanup(func() { _ = c.Process.Kill() }) // it may have ended
	return c
}

// kill ends a Litestream at once.
func (f *farm) kill(stream *exec.Cmd) {
	f.Helper()
	if err := stream.Process.Kill(); err != nil {
		f.Fatal(err)
	}
	_ = stream.Wait() // it was killed
}

// serve starts a server.
func (f *farm) serve() (*process, string) {
	f.Helper()
	program, err := os.Executable()
	if err != nil {
		f.Fatal(err)
	}
	r := &process{cmd: &exec.Cmd{Path: program, Args: []string{"rungbook", "serve", "--data", f.yard, "--listen", "127.0.0.1:0"}}}
	base, err := r.run()
	if err != nil {
		f.Fatal(err)
	}
	f.Cleanup(func() { _ = r.cmd.Process.Kill() }) // it may have ended
	return r, base
}

// signIn returns a browser of somebody who may record inspections.
func (f *farm) signIn(base string) *http.Client {
	f.Helper()
	browser := newTerminal().browser
	account := demo.Accounts()[0]
	answer, err := browser.PostForm(base+"/sign-in", url.Values{"email": {account.Email}, "password": {account.Password}})
	if err != nil {
		f.Fatal(err)
	}
	if err := answer.Body.Close(); err != nil || answer.StatusCode != http.StatusSeeOther {
		f.Fatalf("sign in: %s, %v", answer.Status, err)
	}
	return browser
}

// writers is how many write at once.
const writers = 3

// writeUntilKilled lets people write and kills the server at a random moment of a
// few seconds, and Litestream with it where the machine is lost.
func (f *farm) writeUntilKilled(r *process, base string, stream *exec.Cmd, lost bool) (done int) {
	f.Helper()
	browser := f.signIn(base)
	var mu sync.Mutex
	var all sync.WaitGroup
	for range writers {
		f.keys += 1_000_000
		first := f.keys
		all.Go(func() {
			for n := first; ; n++ {
				answer, err := f.inspect(browser, base, n)
				if err != nil {
					return // it was killed
				}
				_ = answer.Body.Close() // the status was read
				if answer.StatusCode != http.StatusSeeOther {
					f.Errorf("recording an inspection: %s", answer.Status)
					return
				}
				mu.Lock()
				done++
				mu.Unlock()
			}
		})
	}
	time.Sleep(time.Duration(100+f.random.IntN(4000)) * time.Millisecond)
	if lost {
		f.kill(stream)
	}
	if err := r.end(os.Kill); err != nil {
		f.Fatal(err)
	}
	if !lost {
		time.Sleep(time.Duration(f.random.IntN(100)) * time.Millisecond) // until the unit's command runs
		f.kill(stream)
	}
	all.Wait()
	f.acknowledged += done
	return done
}

// inspect records an inspection.
func (f *farm) inspect(browser *http.Client, base string, key int) (*http.Response, error) {
	return browser.PostForm(base+"/inspections", url.Values{"key": {fmt.Sprintf("replicate-%d", key)}, "subject": {f.station}, "line": {f.line},
		"done": {demo.Zone().Today(civil.Real()).String()}, "result": {"passed"}, "note": {"looked at"}})
}

// entries reads the ledger of a folder: one line an entry, all of its row.
func (f *farm) entries(dir string) (out []string) {
	f.Helper()
	db, err := sql.Open("sqlite", "file:"+filepath.Join(dir, "rungbook.db")+"?mode=ro")
	if err != nil {
		f.Fatal(err)
	}
	defer db.Close()
	rows, err := db.QueryContext(context.Background(), `SELECT * FROM entry ORDER BY idx`)
	if err != nil {
		f.Fatal(err)
	}
	defer rows.Close()
	columns, err := rows.Columns()
	if err != nil {
		f.Fatal(err)
	}
	for rows.Next() {
		row, into := make([]any, len(columns)), make([]any, len(columns))
		for i := range row {
			into[i] = &row[i]
		}
		if err := rows.Scan(into...); err != nil {
			f.Fatal(err)
		}
		out = append(out, fmt.Sprintf("%x", row))
	}
	if err := rows.Err(); err != nil {
		f.Fatal(err)
	}
	return out
}

// restore brings the yard back into a new folder, by the steps of the guide, and
// lets the doctor look at it. It returns the ledger that came back.
func (f *farm) restore(folder string) []string {
	f.Helper()
	to := filepath.Join(f.dir, folder)
	key, err := os.ReadFile(filepath.Join(f.yard, "rungbook.key"))
	if err := errors.Join(err, os.Mkdir(to, 0o700), os.WriteFile(filepath.Join(to, "rungbook.key"), key, 0o600)); err != nil {
		f.Fatal(err)
	}
	c := exec.Command(os.Getenv("LITESTREAM"), "restore", "-config", f.config, "-o", filepath.Join(to, "rungbook.db"), filepath.Join(f.yard, "rungbook.db"))
	if said, err := c.CombinedOutput(); err != nil {
		f.Fatalf("restore: %v\n%s", err, said)
	}
	if err := os.Chmod(filepath.Join(to, "rungbook.db"), 0o600); err != nil {
		f.Fatal(err)
	}
	f.rungbook("doctor", "--data", to)
	return f.entries(to)
}

// caughtUp restores until all of the ledger comes back: Litestream runs.
func (f *farm) caughtUp(name string, here []string) (back []string) {
	f.Helper()
	for n, until := 0, time.Now().Add(patience); time.Now().Before(until); n++ {
		if back = f.restore(fmt.Sprintf("%s-%d", name, n)); len(back) >= len(here) {
			break
		}
		time.Sleep(500 * time.Millisecond)
	}
	f.beginning(back, here)
	if len(back) < len(here) {
		f.Fatalf("%d of %d entries come back, and it stays so", len(back), len(here))
	}
	return back
}

// beginning wants what came back to be how the ledger begins.
func (f *farm) beginning(back, here []string) {
	f.Helper()
	if len(back) > len(here) || !slices.Equal(back, here[:len(back)]) {
		f.Fatalf("%d entries come back, and they are not how the ledger of %d begins", len(back), len(here))
	}
}

// rungbook runs a command that must end with 0.
func (f *farm) rungbook(args ...string) {
	f.Helper()
	var out bytes.Buffer
	if code := run(args, &out, &out); code != exitOK {
		f.Fatalf("rungbook %s ended with %d:\n%s", strings.Join(args, " "), code, &out)
	}
}
