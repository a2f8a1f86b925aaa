// Command rungbook books training sessions on converted wind-turbine rigs under
// the centre's own rules and keeps the record that proves them.
package main

import (
	"context"
	"io"
	"os"
	"os/signal"
	"syscall"

	"github.com/alecthomas/kong"
)

// commands is the command line: one field a subcommand, one file each.
type commands struct {
	Demo     demoCommand     `cmd:"" help:"Make an invented yard once and serve it: the quickest way to see Rungbook."`
	Serve    serveCommand    `cmd:"" help:"Serve a yard of your own; the first visit sets up the first administrator."`
	Check    checkCommand    `cmd:"" help:"Judge a plan against a planning problem by every rule."`
	Plan     planCommand     `cmd:"" help:"Plan the needs of a planning problem, or repair a plan."`
	Import   importCommand   `cmd:"" help:"Bring in a list that the centre kept: people, papers, inspections, intakes, past sessions."`
	Backup   backupCommand   `cmd:"" help:"Save a yard's records to one file, checked after writing."`
	Restore  restoreCommand  `cmd:"" help:"Bring a backup back into a new folder, checked before it stands."`
	Archive  archiveCommand  `cmd:"" help:"Write the whole record as one documented file that other programs can read."`
	ReadBack readBackCommand `cmd:"" help:"Read an archive back into a new folder, compared before it stands."`
	Doctor   doctorCommand   `cmd:"" help:"Look at a folder of records and say how sound it is."`
	Rebuild  rebuildCommand  `cmd:"" help:"Replay the ledger into fresh tables and say whether they equal the live ones."`
	Running  runningCommand  `cmd:"" help:"Print what it takes to run a yard for real: systemd unit, container file, replication."`
	Version  versionCommand  `cmd:"" help:"Print the version, and those of the compiler and the time-zone data."`
}

const description = `Rungbook books training sessions on converted wind-turbine rigs under rig capacity, instructor ratios, rest rules and rescue cover, and keeps the record that proves them.

It supports, and never replaces, competent supervision, the centre's risk assessment and local law.`

func main() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }

// run parses the command line, runs one subcommand and returns its exit code.
func run(args []string, stdout, stderr io.Writer) int {
	helped := false
	var c commands
	var parser *kong.Kong
	parser, err := kong.New(&c,
		kong.Name("rungbook"),
		kong.Description(description),
		kong.Writers(stdout, stderr),
		kong.ValueFormatter(func(v *kong.Value) string { return withVariable(parser.Model, v) }),
		kong.Exit(func(int) { helped = true }), // called after --help, and parsing goes on
	)
	if err != nil {
		return fail(stderr, err)
	}
	parsed, err := parser.Parse(args)
	if helped {
		return exitOK
	}
	if err != nil {
		return usageError(stderr, err)
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	context.AfterFunc(ctx, stop) // a second signal ends the program at once
	if err := parsed.Run(&surroundings{ctx, stdout, stderr}); err != nil {
		return fail(stderr, err)
	}
	return exitOK
}

// surroundings are what a subcommand works in.
type surroundings struct {
	ctx            context.Context
	stdout, stderr io.Writer
}
