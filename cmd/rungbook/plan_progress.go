package main

import (
	"fmt"
	"io"
	"os"
	"time"

	"rungbook/internal/plan/solve"
)

// progress shows how far planning has come: a live line on a terminal, elsewhere a
// plain line now and then. It only looks on: what it shows changes no plan.
type progress struct {
	w      io.Writer
	begun  time.Time
	live   bool
	shown  time.Time
	last   solve.Progress
	behind bool // last has not been shown
}

func newProgress(w io.Writer, begun time.Time) *progress {
	return &progress{w: w, begun: begun, live: isTerminal(w)}
}

func isTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	if !ok {
		return false
	}
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}

// round takes note of a round. On a terminal the line changes five times a second;
// elsewhere there is a line after 1 s, and then each time a tenth has been added.
func (p *progress) round(at solve.Progress) {
	p.last, p.behind = at, true
	now := time.Now()
	wait := 200 * time.Millisecond
	if !p.live {
		wait = max(time.Second, now.Sub(p.begun)/10)
	}
	since := p.shown
	if since.IsZero() {
		since = p.begun
	}
	if now.Sub(since) >= wait {
		p.show(now)
	}
}

func (p *progress) show(now time.Time) {
	p.shown, p.behind = now, false
	line := fmt.Sprintf("%5.1f s  effort %d  steps %d  cost %d  bound %d  gap %s  unplaced %d",
		now.Sub(p.begun).Seconds(), p.last.Effort, p.last.Steps, p.last.Cost, p.last.Bound, gap(p.last), p.last.Unplaced)
	if p.live {
		fmt.Fprintf(p.w, "\r\x1b[K%s", line)
		return
	}
	fmt.Fprintln(p.w, line)
}

// gap is (cost − bound) / cost, 0 at cost 0, in percent.
func gap(p solve.Progress) string {
	if p.Cost == 0 {
		return "0.0 %"
	}
	return fmt.Sprintf("%.1f %%", 100*float64(p.Cost-p.Bound)/float64(p.Cost))
}

// end shows the last round and leaves the line.
func (p *progress) end() {
	if p.behind {
		p.show(time.Now())
	}
	if p.live {
		fmt.Fprintln(p.w)
	}
}
