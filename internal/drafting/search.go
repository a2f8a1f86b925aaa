package drafting

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/plan"
	"rungbook/internal/plan/check"
	"rungbook/internal/plan/solve"
	"rungbook/internal/plan/solve/bound"
	"rungbook/internal/store"
)

const (
	// keepEvery is how often the best plan so far is kept while a search runs. There
	// is one writer: more often would make bookings wait.
	keepEvery = 5 * time.Second
	// tellEvery is how often those who watch are told.
	tellEvery = 250 * time.Millisecond
	// mostPoints is how many points the chart of a search has at most.
	mostPoints = 200
)

// Run searches the drafts that wait, one after another, until the context ends.
// What is being searched then is kept as far as it came. Drafts that a program
// before this one left unfinished are marked first. It returns nil at the end of
// the context, or why the store can't be used.
func (d *Desk) Run(ctx context.Context) error {
	defer d.dismiss()
	if err := d.recover(ctx); err != nil {
		return endOf(ctx, err)
	}
	for {
		next, err := d.next(ctx)
		if err != nil {
			return endOf(ctx, err)
		}
		if next == nil {
			select {
			case <-d.queued:
				continue
			case <-ctx.Done():
				return nil
			}
		}
		if err := d.search(ctx, *next); err != nil {
			return endOf(ctx, err)
		}
	}
}

// endOf drops an error that only says that the context ended.
func endOf(ctx context.Context, err error) error {
	if ctx.Err() != nil && errors.Is(err, ctx.Err()) {
		return nil
	}
	return err
}

// recover marks what was being searched when the program ended without a word.
// The best plan kept then stays.
func (d *Desk) recover(ctx context.Context) error {
	var left []store.Draft
	err := d.store.Read(ctx, func(v *store.View) (err error) {
		left, err = v.DraftsIn(string(Searching))
		return err
	})
	for _, x := range left {
		if err == nil {
			err = d.store.ChangeDraft(ctx, x.ID, func(c *store.DraftChange) error {
				c.State, c.Why = string(Stopped), string(Restart)
				return nil
			})
			d.publish(x.ID, Progress{State: Stopped, Why: Restart, Rounds: x.Rounds, Steps: x.Steps, Cost: x.Cost, Bound: x.Bound, Unplaced: x.Unplaced}, true)
		}
	}
	return err
}

// next returns the draft that has waited longest, nil when none waits.
func (d *Desk) next(ctx context.Context) (next *store.Draft, err error) {
	err = d.store.Read(ctx, func(v *store.View) error {
		waiting, err := v.DraftsIn(string(Queued))
		if len(waiting) > 0 {
			next = &waiting[0]
		}
		return err
	})
	return next, err
}

// search is one search under way.
type search struct {
	id      id.Draft
	row     store.Draft
	memo    memo
	problem *plan.Problem
	old     []plan.Session
	oldPlan *plan.Plan

	desk   *Desk
	begun  time.Time
	kept   time.Time
	told   time.Time
	points []store.DraftPoint
	every  int64 // a point each so many rounds; doubled whenever there are too many
	stop   context.CancelFunc
	by     id.Person // who stopped it, "" for nobody; guarded by desk.mu
}

// search takes one draft through its search. The error is of the store.
func (d *Desk) search(ctx context.Context, row store.Draft) error {
	s := &search{id: row.ID, row: row, desk: d, begun: d.clock(), every: 1}
	s.kept, s.told = s.begun, s.begun
	var searching context.Context
	if row.Effort < 0 {
		searching, s.stop = context.WithTimeout(ctx, time.Duration(row.Seconds)*time.Second)
	} else {
		searching, s.stop = context.WithCancel(ctx)
	}
	defer s.stop()
	d.setRunning(s)
	defer d.setRunning(nil)
	began := false
	err := d.store.ChangeDraft(ctx, row.ID, func(c *store.DraftChange) error {
		if began = c.State == string(Queued); began {
			c.State = string(Searching)
		}
		return nil
	})
	if err != nil || !began { // taken back meanwhile
		return err
	}
	if err := s.open(ctx); err != nil {
		d.log.Error("a draft can't be searched", "draft", s.id, "error", err)
		return s.fail()
	}
	made := solve.Plan(s.problem, solve.Options{Seed: row.Seed, Effort: row.Effort, Old: s.old, Prove: proven, Tell: s.tell,
		Stop: func() bool { return searching.Err() != nil }})
	state, why := Done, Why("")
	switch {
	case s.stoppedBy() != "":
		state, why = Stopped, ByPerson
	case ctx.Err() != nil:
		state, why = Stopped, Restart
	}
	return s.end(&made, state, why)
}

func (d *Desk) setRunning(s *search) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.running = s
}

func (s *search) stoppedBy() id.Person {
	s.desk.mu.Lock()
	defer s.desk.mu.Unlock()
	return s.by
}

func proven(p *plan.Problem, old []plan.Session) solve.Prover { return bound.New(p, old) }

// open reads the draft's files.
func (s *search) open(ctx context.Context) error {
	return s.desk.store.Read(ctx, func(v *store.View) error {
		files, err := v.DraftFiles(s.id)
		if err != nil {
			return err
		}
		if s.memo, err = readMemo(s.row.Wish); err != nil {
			return err
		}
		if s.problem, err = plan.DecodeProblem(files.Problem); err != nil {
			return err
		}
		if files.From == nil {
			return nil
		}
		if s.oldPlan, err = plan.DecodePlan(files.From, s.problem.Zone); err == nil {
			s.old = append([]plan.Session{}, s.oldPlan.Sessions...)
		}
		return err
	})
}

// tell is called after each round of a search.
func (s *search) tell(p solve.Progress) {
	now := s.desk.clock()
	s.note(store.DraftPoint{Tenths: now.Sub(s.begun).Milliseconds() / 100, Steps: p.Steps, Cost: int64(p.Cost), Bound: int64(p.Bound), Unplaced: p.Unplaced}, p.Effort)
	if now.Sub(s.told) >= tellEvery {
		s.told = now
		s.desk.publish(s.id, s.progress(p.Effort), false)
	}
	if now.Sub(s.kept) >= keepEvery {
		s.kept = now
		so := p.SoFar()
		if err := s.keep(&so, Searching, ""); err != nil {
			s.desk.log.Error("the best plan so far was not kept", "draft", s.id, "error", err)
		}
	}
}

// note adds a point to the chart; where there are too many, every second goes.
func (s *search) note(p store.DraftPoint, round int64) {
	if round%s.every != 0 {
		return
	}
	s.points = append(s.points, p)
	if len(s.points) < mostPoints {
		return
	}
	s.every *= 2
	for i := 1; 2*i < len(s.points); i++ {
		s.points[i] = s.points[2*i]
	}
	s.points = s.points[:(len(s.points)+1)/2]
}

// end keeps the last plan and says how the search ended. A plan that does not hold
// is no plan: the draft is stopped, and what was kept before stays.
func (s *search) end(made *solve.Result, state State, why Why) error {
	err := s.keep(made, state, why)
	if bad := (*unsound)(nil); errors.As(err, &bad) {
		s.desk.log.Error("a draft was left without its last plan", "draft", s.id, "error", err)
		return s.fail()
	}
	last := s.progress(made.Effort)
	last.State, last.Why = state, why
	s.desk.publish(s.id, last, true)
	return err
}

// fail ends a draft whose search came to nothing.
func (s *search) fail() error {
	err := s.change(func(c *store.DraftChange) error {
		c.State, c.Why, c.EndedAt = string(Stopped), string(Failed), s.desk.now()
		return nil
	})
	s.desk.publish(s.id, Progress{State: Stopped, Why: Failed}, true)
	return err
}

// keep judges a plan and keeps it with the chart.
func (s *search) keep(made *solve.Result, state State, why Why) error {
	file, err := s.judged(made)
	if err != nil {
		return err
	}
	by := s.stoppedBy()
	return s.change(func(c *store.DraftChange) error {
		c.State, c.Why = string(state), string(why)
		c.Rounds, c.Steps, c.Cost, c.Bound, c.Unplaced = made.Effort, made.Steps, int64(made.Cost), int64(made.Bound), len(made.Unplaced)
		if state != Searching {
			c.EndedAt, c.EndedBy = s.desk.now(), by
		}
		c.Plan, c.Points = file, slices.Clone(s.points)
		return nil
	})
}

// change keeps what became of the draft even while the program ends.
func (s *search) change(fn func(*store.DraftChange) error) error {
	return s.desk.store.ChangeDraft(context.Background(), s.id, fn)
}

// unsound is a plan that is not to be shown.
type unsound struct{ say string }

func (u *unsound) Error() string { return u.say }

// judged writes a plan as the planner's own file, after the judge, who shares no
// code with the search, has found nothing against it.
func (s *search) judged(made *solve.Result) ([]byte, error) {
	if made.Owed > 0 {
		return nil, &unsound{"what must come before the fixed sessions found no place"}
	}
	pl := &plan.Plan{Sessions: made.Sessions, Unplaced: made.Unplaced, Cost: &made.Cost, Bound: &made.Bound,
		Made: &plan.Made{Version: s.desk.version, Seed: s.row.Seed, Effort: made.Effort, ProblemSHA256: s.row.ProblemSHA, FromSHA256: s.row.FromSHA}}
	if err := s.problem.Knows(pl); err != nil {
		return nil, &unsound{fault.Message(err)}
	}
	if report := check.Plan(s.problem, pl, check.Options{Old: s.oldPlan}); len(report.Findings) > 0 {
		f := report.Findings[0]
		return nil, &unsound{fmt.Sprintf("the plan breaks %d rules; the first: %s %s", len(report.Findings), f.Rule, f.Who.ID)}
	}
	return plan.EncodePlan(pl, s.problem.Zone)
}
