package main

import (
	"fmt"
	"text/tabwriter"

	"rungbook/internal/civil"
	"rungbook/internal/safekeeping"
)

type doctorCommand struct {
	Data    string `help:"Folder that holds the yard's records." placeholder:"DIR" required:""`
	Backups string `help:"Folder that backups are written to, to see whether they are whole and how old the last good one is; the server's --backups." env:"RUNGBOOK_BACKUPS" placeholder:"DIR"`
}

// Help tells what is looked at and how the command ends.
func (doctorCommand) Help() string {
	return `Looks at a folder of records and changes nothing: who may read it, size, SQLite's own checks, schema, the ledger replayed against its signed head and every table, this machine's clock, free disk, backups. Every file of the folder of backups is read: one that is not encrypted is opened and its sums compared; of an encrypted one the hash is compared with what its sidecar states. It may run beside a server.

Each line begins with how it stands: well; look, which asks for attention; bad, which says what to do.

Exit codes: 0 nothing is bad; 1 something is; 2 there is no database, or nothing can be looked at.

Example:

  rungbook doctor --data /srv/yard --backups /mnt/backups`
}

// Run examines a folder of records.
func (c *doctorCommand) Run(s *surroundings) error {
	dir, err := dataFolder(c.Data, "rungbook")
	if err != nil {
		return err
	}
	lines, err := safekeeping.Examine(s.ctx, safekeeping.Checkup{Dir: dir, Backups: c.Backups, Version: version, Clock: civil.Real})
	if err != nil {
		return err
	}
	table := tabwriter.NewWriter(s.stdout, 0, 0, 2, ' ', 0)
	for _, l := range lines {
		fmt.Fprintf(table, "%s\t%s\t%s\n", l.Grade, l.What, l.Found)
	}
	if err := table.Flush(); err != nil {
		return err
	}
	if safekeeping.Worst(lines) == safekeeping.Bad {
		return errFound
	}
	return nil
}
