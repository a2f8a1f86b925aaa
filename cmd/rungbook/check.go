package main

import (
	"bufio"
	"fmt"
	"io"
	"os"

	"rungbook/internal/fault"
	"rungbook/internal/plan"
	"rungbook/internal/plan/check"
	"rungbook/internal/verdict"
)

// checkArgs are the arguments of `rungbook check`: paths of files.
type checkArgs struct {
	Problem string
	Plan    string
	From    string // the plan it was repaired from, "" = none
}

// runCheck judges a plan. Violations go to stdout, a line each; what was looked at
// goes to stderr. Errors: errFound where there are violations, and of kind
// fault.Invalid or fault.Unusable for a file that can't be used.
func runCheck(args checkArgs, stdout, stderr io.Writer) error {
	p, pl, options, err := readForCheck(args)
	if err != nil {
		return err
	}
	report := check.Plan(p, pl, options)
	if err := writeViolations(stdout, report, verdict.PlainStyle(p.Zone)); err != nil {
		return fault.New(fault.Unusable, "the violations can't be written: %w", plainCause(err))
	}
	summary(stderr, p, pl, options, len(report.Findings))
	if len(report.Findings) > 0 {
		return errFound
	}
	return nil
}

func writeViolations(w io.Writer, report verdict.Report, style verdict.Style) error {
	out := bufio.NewWriter(w)
	for _, f := range report.Findings {
		fmt.Fprintf(out, "%s  %s  %s, %s\n", f.Rule, whoOf(f), f.Found.In(style), f.Required.In(style))
	}
	return out.Flush() // reports the first write that failed, too
}

// whoOf returns the id of the session or person; the plan as a whole is "plan".
func whoOf(f verdict.Finding) string {
	if f.Who.ID == "" {
		return string(f.Who.Kind)
	}
	return f.Who.ID
}

// summary says what was judged, and the cost worked out anew.
func summary(w io.Writer, p *plan.Problem, pl *plan.Plan, o check.Options, violations int) {
	var old []plan.Session
	if o.Old != nil {
		old = o.Old.Sessions
	}
	fmt.Fprintf(w, "sessions: %d\nneeds unplaced: %d\ncost worked out anew: %d\nviolations: %d\n",
		len(pl.Sessions), len(p.Missing(pl.Sessions)), p.Cost(pl.Sessions, old), violations)
	if !check.CostJudged(pl, o) {
		fmt.Fprintln(w, "cost and bound not judged: the plan was made with --from and is checked without it")
	}
}

// readForCheck reads the files and refuses what can't be judged.
func readForCheck(args checkArgs) (*plan.Problem, *plan.Plan, check.Options, error) {
	var o check.Options
	p, err := readProblem(args.Problem)
	if err != nil {
		return nil, nil, o, err
	}
	pl, err := readPlan(args.Plan, p)
	if err != nil {
		return nil, nil, o, err
	}
	if err := p.Knows(pl); err != nil {
		return nil, nil, o, unusable(args.Plan, err)
	}
	if args.From != "" {
		// OLD may name people and stations that have gone since.
		if o.Old, err = readPlan(args.From, p); err != nil {
			return nil, nil, o, err
		}
	}
	return p, pl, o, nil
}

// readProblem reads a PROBLEM that a plan can be asked of.
func readProblem(path string) (*plan.Problem, error) {
	data, err := read(path)
	if err != nil {
		return nil, err
	}
	p, err := plan.DecodeProblem(data)
	if err == nil {
		err = check.Usable(p)
	}
	if err != nil {
		return nil, unusable(path, err)
	}
	return p, nil
}

// readPlan reads a PLAN with times of the problem's zone.
func readPlan(path string, p *plan.Problem) (*plan.Plan, error) {
	data, err := read(path)
	if err != nil {
		return nil, err
	}
	pl, err := plan.DecodePlan(data, p.Zone)
	if err != nil {
		return nil, unusable(path, err)
	}
	return pl, nil
}

// mostBytes is the longest problem or plan that is read: some 200,000 trainees.
// Beyond it memory would run out before anything could be said.
const mostBytes = 64 << 20

func read(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, fault.New(fault.Unusable, "%s can't be read: %w", path, plainCause(err))
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, mostBytes+1))
	if err != nil {
		return nil, fault.New(fault.Unusable, "%s can't be read: %w", path, plainCause(err))
	}
	if len(data) > mostBytes {
		return nil, fault.New(fault.Invalid, "%s: is longer than the %d bytes that are read: give each yard, or each half-year, a file of its own", path, mostBytes)
	}
	return data, nil
}

// unusable names the file before what is wrong in it.
func unusable(path string, err error) error { return fault.New(fault.Invalid, "%s: %w", path, err) }
