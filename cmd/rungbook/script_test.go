package main

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"
	_ "modernc.org/sqlite" // the driver "sqlite"

	"rungbook/internal/civil"
	"rungbook/internal/demo"
	"rungbook/internal/store"
)

// The scripts in testdata run the command as its users do. Beside the words of
// testscript they have these:
//
//	yard DIR                    puts a demo yard of 2 March 2027 into a new folder
//	half DIR                    puts the beginnings of one there, as a start that was broken off leaves them
//	start NAME ARG...           runs rungbook until it prints its address, as $URL
//	end NAME TERM|INT|KILL      ends it; its output is then in NAME.out and NAME.err
//	visit PATH                  reads a page of $URL; wants status 200
//	send PATH FIELD=VALUE...    sends that page's form to $URL; wants to be sent on
//	sees PATTERN                the page read last matches
//	take NAME PATTERN           sets $NAME to the pattern's group in that page or in what the program started last printed
//	sql FILE STATEMENT          changes a database behind the program's back
//	hold FILE                   begins to write to a database, as another program does, until release
//	release AFTER               ends that after some time, while the script goes on
//	ends CODE rungbook ARG...   runs a command that must end with that code
//	cut FILE BYTES              cuts a file off
//	unprivileged rungbook ...   is exec without the right to pass over permissions
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"rungbook":              main,
		"rungbook-unprivileged": func() { giveUpPrivileges(); main() },
	})
}

func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "testdata",
		Setup: func(e *testscript.Env) error {
			e.Values[terminalKey{}] = newTerminal()
			e.Setenv("XDG_DATA_HOME", filepath.Join(e.WorkDir, "share"))
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"yard": yard, "half": half, "start": start, "end": end, "visit": visit, "send": send, "sees": sees, "take": take,
			"sql": tamper, "cut": cut, "unprivileged": unprivileged,
			"hold": hold, "release": release, "ends": ends,
		},
	})
}

// demoDay is the day the scripts' yard is made for, a Tuesday.
const demoDay = "2027-03-02"

// demoFiles makes one demo yard for all scripts and returns its files.
var demoFiles = sync.OnceValues(func() (map[string][]byte, error) {
	dir, err := os.MkdirTemp("", "rungbook-script-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	if err := fill(context.Background(), dir, func() {}); err != nil {
		return nil, err
	}
	files := map[string][]byte{}
	for _, name := range []string{"rungbook.db", "rungbook.key", "signin.db"} {
		if files[name], err = os.ReadFile(filepath.Join(dir, name)); err != nil {
			return nil, err
		}
	}
	return files, nil
})

// fill makes the demo yard in a folder and calls look whenever the clock is read.
func fill(ctx context.Context, dir string, look func()) error {
	day, err := civil.ParseDay(demoDay)
	if err != nil {
		return err
	}
	morning := time.Unix(int64(demo.Zone().At(day, demoStart))*60, 0)
	clock := func() time.Time {
		look()
		return morning
	}
	return withStore(context.WithoutCancel(ctx), store.Options{Dir: dir, Clock: clock}, func(st *store.Store) error {
		return demo.Fill(ctx, st, demo.Config{Today: day, Seed: demoSeed, Years: demoYears})
	})
}

// makeYard writes the demo yard into a new folder.
func makeYard(dir string) error {
	files, err := demoFiles()
	if err != nil {
		return err
	}
	if err := os.Mkdir(dir, 0o700); err != nil {
		return err
	}
	for name, data := range files {
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o600); err != nil {
			return err
		}
	}
	return nil
}

func yard(ts *testscript.TestScript, neg bool, args []string) {
	plain(ts, neg, args, 1, "yard DIR")
	ts.Check(makeYard(ts.MkAbs(args[0])))
}

func half(ts *testscript.TestScript, neg bool, args []string) {
	plain(ts, neg, args, 1, "half DIR")
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	readings := 0
	err := fill(ctx, ts.MkAbs(args[0]), func() {
		if readings++; readings == 60 {
			cancel()
		}
	})
	if !errors.Is(err, context.Canceled) {
		ts.Fatalf("making the yard was to be broken off, and ended with %v", err)
	}
}

// plain refuses a wrong use of a script's word.
func plain(ts *testscript.TestScript, neg bool, args []string, atLeast int, usage string) {
	if neg || len(args) < atLeast {
		ts.Fatalf("usage: %s", usage)
	}
}

func take(ts *testscript.TestScript, neg bool, args []string) {
	plain(ts, neg, args, 2, "take NAME PATTERN")
	text := terminalOf(ts).seen()
	found := regexp.MustCompile(args[1]).FindStringSubmatch(text)
	if len(found) != 2 {
		ts.Fatalf("%s is not in:\n%s", args[1], text)
	}
	ts.Setenv(args[0], found[1])
}

func sees(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) != 1 {
		ts.Fatalf("usage: sees PATTERN")
	}
	if page := terminalOf(ts).page; regexp.MustCompile(args[0]).MatchString(page) == neg {
		ts.Fatalf("the page is:\n%s", page)
	}
}

func tamper(ts *testscript.TestScript, neg bool, args []string) {
	plain(ts, neg, args, 2, "sql FILE STATEMENT")
	db, err := sql.Open("sqlite", "file:"+ts.MkAbs(args[0]))
	ts.Check(err)
	_, err = db.Exec(strings.Join(args[1:], " "))
	ts.Check(err)
	ts.Check(db.Close())
}

func cut(ts *testscript.TestScript, neg bool, args []string) {
	plain(ts, neg, args, 2, "cut FILE BYTES")
	var size int64
	_, err := fmt.Sscan(args[1], &size)
	ts.Check(err)
	ts.Check(os.Truncate(ts.MkAbs(args[0]), size))
}

func unprivileged(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) < 1 || args[0] != "rungbook" {
		ts.Fatalf("usage: unprivileged rungbook ARG...")
	}
	if err := ts.Exec("rungbook-unprivileged", args[1:]...); (err == nil) == neg {
		ts.Fatalf("it ended with %v", err)
	}
}
