package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"rungbook/internal/fault"
	"rungbook/internal/plan"
	"rungbook/internal/plan/check"
	"rungbook/internal/plan/solve"
	"rungbook/internal/plan/solve/bound"
)

// errUnplaced is an error that only carries exit code 3: the plan is written, and
// it says of each need that has no place why.
var errUnplaced = errors.New("needs were left without a place")

// defaultSeconds is how long a plan may take if nothing is said.
const defaultSeconds = 10

// runPlan makes a plan and writes it. Errors: errUnplaced, and of kind
// fault.Invalid or fault.Unusable for files and arguments that can't be used.
func runPlan(c *planCommand, s *surroundings) error {
	seconds, err := c.limits()
	if err != nil {
		return err
	}
	begun := time.Now()
	job, err := readJob(c)
	if err != nil {
		return err
	}
	asked, err := readNeed(c.Explain, job.problem)
	if err != nil {
		return err
	}
	if err := writable(c.Output); err != nil {
		return err
	}
	tellContradictions(s.stderr, solve.Contradictions(job.problem))
	stop := func() bool { return s.ctx.Err() != nil }
	effort := int64(-1)
	if c.Effort != nil {
		effort = *c.Effort
	} else {
		deadline := begun.Add(time.Duration(seconds * float64(time.Second)))
		stop = func() bool { return s.ctx.Err() != nil || !time.Now().Before(deadline) }
	}
	show := newProgress(s.stderr, begun)
	made := solve.Plan(job.problem, solve.Options{Seed: c.Seed, Effort: effort, Old: job.sessions(), Prove: proven, Stop: stop, Tell: show.round})
	show.end()
	if made.Owed > 0 {
		return fault.New(fault.Invalid, "%s: no plan was found in which what must come before the fixed sessions has a place: %d needs are left out", c.Problem, made.Owed)
	}
	pl := job.plan(&made, c.Seed)
	if err := judged(job, pl); err != nil {
		return err
	}
	if c.Output != "" {
		if err := writePlan(c.Output, pl, job.problem); err != nil {
			return err
		}
	}
	fmt.Fprintf(s.stderr, "sessions: %d\nneeds unplaced: %d\ncost: %d\nbound: %d\neffort: %d\n",
		len(pl.Sessions), len(pl.Unplaced), made.Cost, made.Bound, made.Effort)
	if job.old != nil {
		tellMoves(s.stderr, job.problem.Zone, job.old.Sessions, pl.Sessions)
	}
	if c.Explain != "" {
		explain(s.stdout, job.problem, pl.Sessions, asked)
		return nil
	}
	if len(pl.Unplaced) > 0 {
		return errUnplaced
	}
	return nil
}

// limits checks the arguments and returns the seconds that a run may take. The error
// is of kind fault.Invalid.
func (c *planCommand) limits() (float64, error) {
	seconds := float64(defaultSeconds)
	switch {
	case c.Seconds != nil && c.Effort != nil:
		return 0, fault.New(fault.Invalid, "--effort stands in place of --seconds: give one of them")
	case c.Effort != nil && *c.Effort < 0:
		return 0, fault.New(fault.Invalid, "--effort is %d, must be 0 or more", *c.Effort)
	case c.Seconds != nil:
		seconds = *c.Seconds
	}
	if !(seconds >= 0 && seconds <= 1e7) {
		return 0, fault.New(fault.Invalid, "--seconds is %v, must be from 0 to 10000000", seconds)
	}
	if c.Output == "" && c.Explain == "" {
		return 0, fault.New(fault.Invalid, "say with -o where the plan goes, or with --explain which need to explain")
	}
	return seconds, nil
}

// proven begins to prove a bound.
func proven(p *plan.Problem, old []plan.Session) solve.Prover { return bound.New(p, old) }

// job is what is to be planned.
type job struct {
	problem     *plan.Problem
	old         *plan.Plan // nil = none
	sha, oldSHA string
}

func readJob(c *planCommand) (*job, error) {
	var j job
	data, err := read(c.Problem)
	if err != nil {
		return nil, err
	}
	j.sha = shaOf(data)
	if j.problem, err = plan.DecodeProblem(data); err == nil {
		err = check.Usable(j.problem)
	}
	if err != nil {
		return nil, unusable(c.Problem, err)
	}
	if n := len(j.problem.Trainees); n > solve.MostTrainees {
		return nil, unusable(c.Problem, fault.Field("/trainees", "lists %d trainees, at most %d can be planned at once: plan intakes that don't meet apart from each other", n, solve.MostTrainees))
	}
	if c.From == "" {
		return &j, nil
	}
	if data, err = read(c.From); err != nil {
		return nil, err
	}
	j.oldSHA = shaOf(data)
	if j.old, err = plan.DecodePlan(data, j.problem.Zone); err != nil {
		return nil, unusable(c.From, err)
	}
	return &j, nil
}

func shaOf(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// sessions are those of the plan to repair; not nil if there is one.
func (j *job) sessions() []plan.Session {
	if j.old == nil {
		return nil
	}
	return append([]plan.Session{}, j.old.Sessions...)
}

// plan writes what the search made as a plan that says how it came about.
func (j *job) plan(made *solve.Result, seed int64) *plan.Plan {
	return &plan.Plan{
		Sessions: made.Sessions, Unplaced: made.Unplaced, Cost: &made.Cost, Bound: &made.Bound,
		Made: &plan.Made{Version: version, Seed: seed, Effort: made.Effort, ProblemSHA256: j.sha, FromSHA256: j.oldSHA},
	}
}

// judged lets the judge, who shares no code with the search, look at the plan. A
// plan that breaks a rule is never written.
func judged(j *job, pl *plan.Plan) error {
	if err := j.problem.Knows(pl); err != nil {
		return fmt.Errorf("the plan made is unusable and was not written: %w", err)
	}
	report := check.Plan(j.problem, pl, check.Options{Old: j.old})
	if len(report.Findings) == 0 {
		return nil
	}
	f := report.Findings[0]
	return fmt.Errorf("the plan made breaks %d rules and was not written; the first: %s %s", len(report.Findings), f.Rule, whoOf(f))
}

// writable finds out before the search what would keep the plan from being written
// after it. An empty path is fine.
func writable(path string) error {
	if path == "" {
		return nil
	}
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		return fault.New(fault.Unusable, "%s can't be written: it is a folder", path)
	}
	f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*")
	if err != nil {
		return fault.New(fault.Unusable, "%s can't be written: %w", path, plainCause(err))
	}
	return errors.Join(f.Close(), os.Remove(f.Name()))
}

// writePlan writes the file whole or not at all: a file beside it takes its name
// when it is complete.
func writePlan(path string, pl *plan.Plan, p *plan.Problem) (err error) {
	data, err := plan.EncodePlan(pl, p.Zone)
	if err != nil {
		return err
	}
	cannot := func(err error) error {
		return fault.New(fault.Unusable, "%s can't be written: %w", path, plainCause(err))
	}
	f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*")
	if err != nil {
		return cannot(err)
	}
	defer func() {
		if err != nil {
			os.Remove(f.Name())
		}
	}()
	_, err = io.Copy(f, bytes.NewReader(data))
	for _, step := range []func() error{func() error { return f.Chmod(0o644) }, f.Sync, f.Close, func() error { return os.Rename(f.Name(), path) }} {
		if err == nil {
			err = step()
		}
	}
	if err != nil {
		return cannot(err)
	}
	return nil
}
