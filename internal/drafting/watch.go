package drafting

import (
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/store"
)

// Progress is how far a draft has come.
type Progress struct {
	State    State
	Why      Why
	Tenths   int64 // of a second since its search began
	Seconds  int   // how long it may last; 0 = it repeats a search by its work
	Rounds   int64
	Steps    int64
	Unplaced int // needs without a place
	Better   Better
	Cost     int64 // of the best plan, by the problem's definition
	Bound    int64 // no plan costs less
	Ahead    int   // of a draft that waits: how many are searched before it
}

// Ended reports whether nothing more is going to be found.
func (p Progress) Ended() bool { return p.State != Queued && p.State != Searching }

// Better says in plain terms how much better than the best plan any plan could be.
type Better struct {
	Known bool // false before the first bound
	// MorePlaced is how many more needs could at most be placed.
	MorePlaced int
	// Permille is by how much, in thousandths and rounded up, days and hours could at
	// most be fewer with the same needs placed; −1 where that is not known, because
	// perhaps more could be placed. What is booked already and can't change is not
	// part of it.
	Permille int
}

// better reads a cost and its bound by what the cost is made of.
func (m memo) better(cost, lower int64) Better {
	if m.Unplaced <= 0 || cost <= 0 || lower < 0 {
		return Better{}
	}
	// All but unplaced needs costs less than one of them: see weigh.
	left, must := cost/m.Unplaced, lower/m.Unplaced
	out := Better{Known: true, MorePlaced: int(max(0, left-must)), Permille: -1}
	if out.MorePlaced > 0 {
		return out
	}
	rest, least := cost-left*m.Unplaced-m.Base, max(0, lower-left*m.Unplaced-m.Base)
	if rest <= 0 {
		out.Permille = 0
		return out
	}
	out.Permille = int((max(0, rest-least)*1000 + rest - 1) / rest)
	return out
}

func (s *search) progress(rounds int64) Progress {
	p := Progress{State: Searching, Seconds: s.row.Seconds, Rounds: rounds}
	if n := len(s.points); n > 0 {
		last := s.points[n-1]
		p.Tenths, p.Steps, p.Cost, p.Bound, p.Unplaced = last.Tenths, last.Steps, last.Cost, last.Bound, last.Unplaced
		p.Better = s.memo.better(last.Cost, last.Bound)
	}
	return p
}

// progressOf reads how far a draft has come from what is kept of it.
func progressOf(row store.Draft, points []store.DraftPoint) Progress {
	p := Progress{State: State(row.State), Why: Why(row.Why), Seconds: row.Seconds, Rounds: row.Rounds, Steps: row.Steps,
		Cost: row.Cost, Bound: row.Bound, Unplaced: row.Unplaced}
	if n := len(points); n > 0 {
		p.Tenths = points[n-1].Tenths
	}
	if m, err := readMemo(row.Wish); err == nil && row.HasPlan {
		p.Better = m.better(row.Cost, row.Bound)
	}
	return p
}

// Watch tells how a draft's search goes: at once how it stands, then a few times
// a second. The channel is closed when the search has ended, or the context, or Run.
// Who reads slowly misses steps between, never the last.
func (d *Desk) Watch(ctx context.Context, actor access.Actor, of id.Draft) (<-chan Progress, error) {
	if _, err := access.Require(actor, access.SeeDrafts); err != nil {
		return nil, err
	}
	c := make(chan Progress, 1)
	d.mu.Lock()
	defer d.mu.Unlock()
	now, err := d.progressLocked(ctx, of)
	if err != nil {
		return nil, err
	}
	c <- now
	if now.Ended() {
		close(c)
		return c, nil
	}
	d.watchers[of] = append(d.watchers[of], c)
	context.AfterFunc(ctx, func() { d.leave(of, c) })
	return c, nil
}

// progressLocked is the state of a draft; of the one being searched, the newest.
func (d *Desk) progressLocked(ctx context.Context, of id.Draft) (p Progress, err error) {
	err = d.store.Read(ctx, func(v *store.View) error {
		row, err := v.Draft(of)
		if err != nil {
			return err
		}
		points, err := v.DraftPoints(of)
		if err != nil {
			return err
		}
		p = progressOf(row, points)
		if p.State == Queued {
			waiting, err := v.DraftsIn(string(Queued))
			p.Ahead = slices.IndexFunc(waiting, func(x store.Draft) bool { return x.ID == of })
			if d.running != nil {
				p.Ahead++
			}
			return err
		}
		return nil
	})
	if last, ok := d.latest[of]; ok && p.State == Searching {
		return last, err
	}
	return p, err
}

// publish tells those who watch a draft; last ends it for them.
func (d *Desk) publish(of id.Draft, p Progress, last bool) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.latest[of] = p
	for _, c := range d.watchers[of] {
		select { // what was not read yet is out of date
		case <-c:
		default:
		}
		c <- p
		if last {
			close(c)
		}
	}
	if last {
		delete(d.watchers, of)
		delete(d.latest, of)
	}
}

// dismiss ends all watchers: nothing more is going to be found.
func (d *Desk) dismiss() {
	d.mu.Lock()
	defer d.mu.Unlock()
	for _, list := range d.watchers {
		for _, c := range list {
			close(c)
		}
	}
	clear(d.watchers)
}

// leave ends a watcher whose context ended, unless the search did first.
func (d *Desk) leave(of id.Draft, c chan Progress) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if i := slices.Index(d.watchers[of], c); i >= 0 {
		d.watchers[of] = slices.Delete(d.watchers[of], i, i+1)
		close(c)
	}
	if len(d.watchers[of]) == 0 {
		delete(d.watchers, of)
	}
}

// Stop ends a draft's search; the best plan so far is kept. One that waits is
// taken out of the queue. Error: fault.Conflict for one that has ended.
func (d *Desk) Stop(ctx context.Context, actor access.Actor, of id.Draft) error {
	if _, err := access.Require(actor, access.PlanIntake); err != nil {
		return err
	}
	d.mu.Lock()
	if s := d.running; s != nil && s.id == of {
		s.by = actor.Person
		s.stop()
		d.mu.Unlock()
		return nil
	}
	d.mu.Unlock()
	err := d.store.ChangeDraft(ctx, of, func(c *store.DraftChange) error {
		if c.State != string(Queued) {
			return fault.New(fault.Conflict, "Its search has ended already.")
		}
		c.State, c.Why, c.EndedAt, c.EndedBy = string(Stopped), string(ByPerson), d.now(), actor.Person
		return nil
	})
	if err == nil {
		d.publish(of, Progress{State: Stopped, Why: ByPerson}, true)
	}
	return err
}

func (d *Desk) now() civil.Instant { return d.store.Now() }
