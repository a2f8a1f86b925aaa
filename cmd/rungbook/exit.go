package main

import (
	"errors"
	"fmt"
	"io"

	"rungbook/internal/fault"
)

// Exit codes of every subcommand.
const (
	exitOK       = 0
	exitFound    = 1 // check found violations; rebuild found a difference
	exitUnusable = 2 // a file, folder, port or argument can't be used
)

// exitCode is an error that only carries an exit code: what there was to say has
// been printed.
type exitCode int

func (e exitCode) Error() string { return fmt.Sprintf("exit code %d", int(e)) }

// fail prints one clear line and returns the exit code of an error.
func fail(stderr io.Writer, err error) int {
	var code exitCode
	if errors.As(err, &code) {
		return int(code)
	}
	if m := fault.Message(err); m != "" {
		var f *fault.Error
		if errors.As(err, &f) && f.Field != "" {
			m = f.Field + ": " + m
		}
		fmt.Fprintln(stderr, "rungbook: "+m)
		return exitUnusable
	}
	fmt.Fprintln(stderr, "rungbook: "+err.Error())
	return exitUnusable
}

func usageError(stderr io.Writer, err error) int {
	fmt.Fprintf(stderr, "rungbook: %v. See rungbook --help.\n", err)
	return exitUnusable
}
