package main

import (
	"fmt"
	"io"
	"strings"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// tellMoves lists the people whose sessions a repair changes, one a line, with
// before and after.
func tellMoves(w io.Writer, z civil.Zone, old, now []plan.Session) {
	moves := plan.MovesBetween(old, now)
	fmt.Fprintf(w, "people whose sessions change: %d\n", len(moves))
	for _, m := range moves {
		fmt.Fprintf(w, "  %s  before: %s  after: %s\n", m.Person, inShort(z, m.Before), inShort(z, m.After))
	}
}

// inShort lists sessions on one line.
func inShort(z civil.Zone, list []plan.Session) string {
	if len(list) == 0 {
		return "-"
	}
	said := make([]string, len(list))
	for i := range list {
		s := &list[i]
		said[i] = fmt.Sprintf("%s %s on %s %s to %s", s.ID, s.Exercise, s.Station, z.Format(s.Start), z.Format(s.End))
	}
	return strings.Join(said, "; ")
}
