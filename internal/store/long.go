package store

import (
	"context"
	"errors"
	"fmt"
	"sync/atomic"
	"time"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
)

// A longWrite is a write of so many facts that others are told of it, rather than
// left to wait.
type longWrite struct {
	what      string // in words: "A large list is being brought in"
	began     time.Time
	ids       *id.Series // of the records it makes
	all, done atomic.Int64
}

const (
	// patience is how long a write waits for a long one: what a person at a form
	// waits without doubting it (common practice, no source).
	patience = 5 * time.Second
	// lookAgain is how often one that waits asks whether a long write began.
	lookAgain = 200 * time.Millisecond
	// longFrom is from how many facts on a write is long: fewer take about a second.
	longFrom = 3000
	// usualFact is how long a fact takes, until the write itself tells (measured).
	usualFact = 100 * time.Microsecond
	// longCache is how many KiB of the database a long write holds in memory: its
	// rows go all over the indexes, and what does not fit is written twice.
	longCache = "24000"
)

// Long says what this write does, and that it will put about so many facts. Others
// are refused with fault.Busy, and told when to try again, instead of waiting.
func (tx *Tx) Long(what string, facts int) error {
	if facts < longFrom {
		return nil
	}
	tx.s.mu.Lock()
	ids := tx.s.maker.Series()
	tx.s.mu.Unlock()
	tx.long = &longWrite{what: what, began: civil.Real(), ids: ids}
	tx.long.all.Store(int64(facts))
	tx.s.long.Store(tx.long)
	return tx.c.exec(tx.ctx, `PRAGMA cache_size = -`+longCache)
}

// endLong gives back what a long write took, after it was committed or undone.
func (tx *Tx) endLong() error {
	if tx.long == nil {
		return nil
	}
	tx.s.long.Store(nil)
	ctx := context.WithoutCancel(tx.ctx) // who left after the commit is not told that it failed
	return errors.Join(tx.c.exec(ctx, `PRAGMA cache_size = -2000`), tx.c.exec(ctx, `PRAGMA shrink_memory`))
}

func (l *longWrite) wrote() {
	if l != nil {
		l.done.Add(1)
	}
}

// left estimates how long it will take yet, at least a second. What comes after the
// last fact, the disk above all, takes about a third of what the facts took.
func (l *longWrite) left() time.Duration {
	passed, done, each := civil.Real().Sub(l.began), l.done.Load(), time.Duration(usualFact)
	if done >= longFrom {
		each = passed / time.Duration(done)
	}
	whole := each * time.Duration(max(done, l.all.Load()))
	return max(time.Second, whole+whole/3-passed)
}

// busy is the error of a write that would wait too long.
func (l *longWrite) busy() error {
	left := int(l.left().Round(time.Second).Seconds())
	return &fault.Error{Kind: fault.Busy, After: left,
		Message: fmt.Sprintf("%s. Nothing of yours was saved; try again in about %d s.", l.what, left)}
}

// writer takes the writing connection; whoever takes it puts it back.
func (s *Store) writer(ctx context.Context) (*conn, error) {
	began := civil.Real()
	again := time.NewTicker(lookAgain)
	defer again.Stop()
	for {
		select {
		case c, open := <-s.write:
			return s.took(c, open, began)
		default:
		}
		if l := s.long.Load(); l != nil && l.left() > patience {
			return nil, l.busy()
		}
		select {
		case c, open := <-s.write:
			return s.took(c, open, began)
		case <-again.C:
		case <-ctx.Done():
			return nil, ctx.Err()
		}
	}
}

func (s *Store) took(c *conn, open bool, began time.Time) (*conn, error) {
	if !open {
		return nil, errors.New("the store is closed")
	}
	if s.options.Waited != nil {
		s.options.Waited(civil.Real().Sub(began))
	}
	return c, nil
}
