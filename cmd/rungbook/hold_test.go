package main

import (
	"database/sql"
	"errors"
	"fmt"
	"os/exec"
	"time"

	"github.com/rogpeppe/go-internal/testscript"
)

func hold(ts *testscript.TestScript, neg bool, args []string) {
	plain(ts, neg, args, 1, "hold FILE")
	db, err := sql.Open("sqlite", "file:"+ts.MkAbs(args[0]))
	ts.Check(err)
	db.SetMaxOpenConns(1)
	_, err = db.Exec("BEGIN IMMEDIATE")
	ts.Check(err)
	terminalOf(ts).held = db
}

func release(ts *testscript.TestScript, neg bool, args []string) {
	plain(ts, neg, args, 1, "release AFTER")
	after, err := time.ParseDuration(args[0])
	ts.Check(err)
	db, ended := terminalOf(ts).held, make(chan error, 1)
	time.AfterFunc(after, func() {
		_, err := db.Exec("ROLLBACK")
		ended <- errors.Join(err, db.Close())
	})
	ts.Defer(func() { ts.Check(<-ended) })
}

func ends(ts *testscript.TestScript, neg bool, args []string) {
	plain(ts, neg, args, 2, "ends CODE rungbook ARG...")
	err := ts.Exec(args[1], args[2:]...)
	code := 0
	var ended *exec.ExitError
	switch {
	case errors.As(err, &ended):
		code = ended.ExitCode()
	case err != nil:
		ts.Fatalf("%v", err)
	}
	if fmt.Sprint(code) != args[0] {
		ts.Fatalf("it ended with %d", code)
	}
}
