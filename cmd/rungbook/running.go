package main

import (
	"context"
	_ "embed" // the files in running
	"fmt"
	"io"
	"net/http"
	"time"

	"rungbook/internal/fault"
)

// runningCommand prints what it takes to run a yard for real. The files are
// written to be read: each line that is not plain says why.
type runningCommand struct {
	Systemd         printsUnit      `cmd:"" help:"Print a systemd unit with as few rights as it needs."`
	Settings        printsSettings  `cmd:"" help:"Print the file of settings that the unit names."`
	Container       printsContainer `cmd:"" help:"Print a container file: one static program, no root, a volume, a health check."`
	Litestream      printsStream    `cmd:"" help:"Print settings for Litestream, which replicates the database continuously."`
	LitestreamGuide printsGuide     `cmd:"" help:"Print how to replicate with Litestream, and how to bring a yard back."`
	Health          healthCommand   `cmd:"" help:"Ask a running server whether it can read its record; for health checks."`
}

// Help tells what the files are for.
func (runningCommand) Help() string {
	return `Prints files to begin with, commented, for running a yard where others reach it. They name the paths /usr/local/bin/rungbook, /etc/rungbook/rungbook.settings and /var/lib/rungbook; change them to yours.

Examples:

  rungbook running systemd > /etc/systemd/system/rungbook.service
  rungbook running settings > /etc/rungbook/rungbook.settings
  rungbook running litestream > /etc/litestream.yml
  rungbook running litestream-guide`
}

var (
	//go:embed running/rungbook.service
	unitFile string
	//go:embed running/rungbook.settings
	settingsFile string
	//go:embed running/Containerfile
	containerFile string
	//go:embed running/litestream.yml
	streamFile string
	//go:embed running/litestream.md
	streamGuide string
)

type printsUnit struct{}

// Run prints the systemd unit.
func (printsUnit) Run(s *surroundings) error { return prints(s, unitFile) }

type printsSettings struct{}

// Run prints the file of settings.
func (printsSettings) Run(s *surroundings) error { return prints(s, settingsFile) }

type printsContainer struct{}

// Run prints the container file.
func (printsContainer) Run(s *surroundings) error { return prints(s, containerFile) }

type printsStream struct{}

// Run prints the settings of Litestream.
func (printsStream) Run(s *surroundings) error { return prints(s, streamFile) }

type printsGuide struct{}

// Run prints the guide to replication.
func (printsGuide) Run(s *surroundings) error { return prints(s, streamGuide) }

func prints(s *surroundings, text string) error {
	_, err := io.WriteString(s.stdout, text)
	return err
}

type healthCommand struct {
	URL string `arg:"" optional:"" name:"url" help:"What to ask. Default: http://127.0.0.1:8080/healthz." default:"http://127.0.0.1:8080/healthz"`
}

// Help tells how the command ends.
func (healthCommand) Help() string {
	return `Exit codes: 0 the server answers and can read its record; 1 it answers that it can't; 2 nobody answers.

A server that speaks TLS by its own certificate is asked at its --metrics-listen address, which is plain HTTP.`
}

// healthWithin is how long a server may think about its health.
const healthWithin = 5 * time.Second

// Run asks once.
func (c *healthCommand) Run(s *surroundings) error {
	ctx, cancel := context.WithTimeout(s.ctx, healthWithin)
	defer cancel()
	q, err := http.NewRequestWithContext(ctx, http.MethodGet, c.URL, nil)
	if err != nil {
		return fault.New(fault.Invalid, "%q is no address to ask, such as http://127.0.0.1:8080/healthz", c.URL)
	}
	answer, err := http.DefaultClient.Do(q)
	if err != nil {
		return fault.New(fault.Unusable, "nobody answers at %s: %w", c.URL, plainCause(err))
	}
	defer answer.Body.Close()
	if answer.StatusCode != http.StatusOK {
		fmt.Fprintf(s.stderr, "rungbook: %s answers %s\n", c.URL, answer.Status)
		return errFound
	}
	fmt.Fprintln(s.stdout, "ok")
	return nil
}
