package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/alecthomas/kong"

	"rungbook/internal/fault"
)

// Exit codes of every subcommand.
const (
	exitOK       = 0
	exitFound    = 1 // check found violations; rebuild found a difference
	exitUnusable = 2 // a file, folder, port or argument can't be used
	exitUnplaced = 3 // the plan is written and leaves needs without a place
	exitBusy     = 4 // another program wrote to the record all the while; the same again is right later
)

// errFound is an error that only carries exit code 1: what there was to say has been
// printed.
var errFound = errors.New("violations or differences were found")

// fail prints one clear line and returns the exit code of an error.
func fail(stderr io.Writer, err error) int {
	if errors.Is(err, errFound) {
		return exitFound
	}
	if errors.Is(err, errUnplaced) {
		return exitUnplaced
	}
	said := fault.Message(err)
	switch {
	case errors.Is(err, context.Canceled):
		said = "interrupted before it was done"
	case said == "":
		said = err.Error()
	}
	fmt.Fprintln(stderr, "rungbook: "+oneLine(said))
	if fault.Of(err) == fault.Busy {
		return exitBusy
	}
	return exitUnusable
}

// usageError prints what is wrong with the command line and where help is.
func usageError(stderr io.Writer, err error) int {
	help := "rungbook --help"
	var parsing *kong.ParseError
	if errors.As(err, &parsing) {
		if command := parsing.Context.Selected(); command != nil {
			help = "rungbook " + command.Name + " --help"
		}
	}
	fmt.Fprintf(stderr, "rungbook: %s. See %s\n", strings.TrimSuffix(oneLine(err.Error()), "?"), help)
	return exitUnusable
}

// oneLine joins the lines of several errors.
func oneLine(said string) string {
	return strings.Join(strings.Split(strings.TrimSpace(said), "\n"), "; ")
}

// plainCause returns the innermost cause, which is the words people know
// ("address already in use").
func plainCause(err error) error {
	for {
		inner := errors.Unwrap(err)
		if inner == nil {
			return err
		}
		err = inner
	}
}
