package main

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"rungbook/internal/plan/solve"
)

func TestProgressIsOneLiveLineOnATerminalAndPlainLinesElsewhere(t *testing.T) {
	for _, live := range []bool{true, false} {
		var out bytes.Buffer
		p := &progress{w: &out, begun: time.Now().Add(-time.Hour), live: live}
		p.round(solve.Progress{Effort: 1, Cost: 200, Bound: 150, Unplaced: 2})
		p.round(solve.Progress{Effort: 2, Cost: 160, Bound: 152}) // too soon to be shown by itself
		p.end()
		said := out.String()
		lines, redrawn := strings.Count(said, "\n"), strings.Count(said, "\r\x1b[K")
		if live && (lines != 1 || redrawn != 2 || !strings.HasSuffix(said, "\n")) || !live && (lines != 2 || redrawn != 0) {
			t.Errorf("live %t: %q", live, said)
		}
		if !strings.Contains(said, "cost 200  bound 150  gap 25.0 %  unplaced 2") || !strings.Contains(said, "cost 160  bound 152  gap 5.0 %  unplaced 0") {
			t.Errorf("live %t: the rounds are not told: %q", live, said)
		}
	}
}
