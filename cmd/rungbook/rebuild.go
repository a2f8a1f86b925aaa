package main

import (
	"fmt"

	"rungbook/internal/civil"
	"rungbook/internal/store"
)

type rebuildCommand struct {
	Data string `help:"Folder that holds the yard's records." placeholder:"DIR" required:""`
}

// Help tells what is compared and how the command ends.
func (rebuildCommand) Help() string {
	return `The ledger is the record; every table that pages read is derived from it. This command derives them anew into a temporary file, which it removes, and compares: each entry with its row, the stored hashes and the signed head with the entries, each derived table with the one that stands. It mends nothing and changes no record. It may run beside a server; what is written meanwhile is not looked at.

Exit codes: 0 all is equal; 1 the ledger or a table differs, and the lines say where; 2 the folder holds no database or one that can't be used.

Example:

  rungbook rebuild --data /srv/yard`
}

// Run replays the ledger into fresh tables and compares them with the live ones.
func (c *rebuildCommand) Run(s *surroundings) error {
	dir, err := dataFolder(c.Data, "rungbook")
	if err != nil {
		return err
	}
	return withStore(s.ctx, store.Options{Dir: dir, Clock: civil.Real, MustExist: true}, func(st *store.Store) error {
		report, err := st.Rebuild(s.ctx)
		if err != nil {
			return err
		}
		fmt.Fprintln(s.stdout, report.String())
		if !report.Equal() {
			return errFound
		}
		return nil
	})
}
