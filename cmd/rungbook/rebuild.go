package main

import (
	"fmt"

	"rungbook/internal/civil"
	"rungbook/internal/store"
)

type rebuildCommand struct {
	Data string `help:"Folder that holds the yard's records." placeholder:"DIR" required:""`
}

// Run replays the ledger into fresh tables and compares them with the live ones.
func (c *rebuildCommand) Run(s *surroundings) error {
	dir, err := dataFolder(c.Data, "rungbook")
	if err != nil {
		return err
	}
	st, err := store.Open(s.ctx, store.Options{Dir: dir, Clock: civil.Real, MustExist: true})
	if err != nil {
		return err
	}
	defer st.Close()
	report, err := st.Rebuild(s.ctx)
	if err != nil {
		return err
	}
	fmt.Fprintln(s.stdout, report.String())
	if !report.Equal() {
		return exitCode(exitFound)
	}
	return nil
}
