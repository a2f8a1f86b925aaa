package store

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"

	"golang.org/x/mod/sumdb/tlog"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/ledger"
)

// Command is one thing a person asks to be written.
type Command struct {
	Key        string // client key, random per fill-in of a form
	Content    any    // what was asked, never a password; its hash is kept for ever
	Actor      access.Actor
	Role       access.Role   // the role used
	HappenedAt civil.Instant // by the sender's clock, 0 = now
	After      []string      // keys of what the same sender wrote since the page was read; see Expect
	For        string        // an id or a word of ours: it stands in the ledger, so never typed text
}

// contentOptions encode what a command asks for, the same in every zone.
var contentOptions = writeOptions(utc)

// Outcome is what a journey answers a command with, usually the path to go to.
type Outcome string

// clockSlack is how far the clock may be behind the last entry before writes
// are refused: clocks are set by the network in small steps.
const clockSlack civil.Minutes = 2

// Write calls fn and commits what it put, all or nothing. A key that was used
// before returns the first outcome without calling fn where the content is the
// same, fault.Conflict where it is another. An error of fn undoes everything. fn
// must not call Write: there is one writer. fault.Busy while a long write (Tx.Long)
// would be waited for too long.
func (s *Store) Write(ctx context.Context, cmd Command, fn func(*Tx) (Outcome, error)) (out Outcome, err error) {
	if cmd.Key == "" {
		return "", fault.New(fault.Invalid, "The form carries no key; load it again.")
	}
	content, err := canonical(cmd.Content, contentOptions)
	if err != nil {
		return "", fmt.Errorf("content of command: %w", err)
	}
	sum := sha256.Sum256(content)
	c, err := s.writer(ctx)
	if err != nil {
		return "", err
	}
	defer func() { s.write <- c }()
	still := context.WithoutCancel(ctx)
	if err := c.exec(still, `BEGIN IMMEDIATE`); err != nil {
		return "", s.usable(err)
	}
	committed := false
	defer func() {
		if !committed {
			s.rows = nil // it may keep what is undone
			err = s.usable(errors.Join(err, rollback(still, c)))
		}
	}()
	if out, again, err := repeated(still, c, cmd.Key, sum[:], s.Zone()); again || err != nil {
		return out, err
	}
	tx, err := s.begin(still, c, cmd)
	if err != nil {
		return "", err
	}
	defer func() { err = errors.Join(err, tx.endLong()) }()
	if out, err = fn(tx); err != nil {
		if tx.err != nil && !errors.Is(err, tx.err) {
			err = tx.err // it came first: a text that could not be kept is no field left empty
		}
		return "", err
	}
	if err := tx.finish(sum[:], out); err != nil {
		return "", err
	}
	committed = true
	tx.keep()
	s.tellWritten()
	return out, nil
}

// rollback undoes what a broken statement has not undone already: on a full
// disk SQLite ends the transaction by itself, and a new one can begin.
func rollback(ctx context.Context, c *conn) error {
	err := c.exec(ctx, `ROLLBACK`)
	if err == nil || c.exec(ctx, `BEGIN`) != nil {
		return err
	}
	return c.exec(ctx, `ROLLBACK`)
}

// repeated looks for a command with the same key.
func repeated(ctx context.Context, c *conn, key string, sum []byte, z civil.Zone) (Outcome, bool, error) {
	var outcome string
	var first []byte
	var at int64
	found, err := c.one(ctx, []any{&outcome, &first, &at}, `SELECT outcome, content_sha256, recorded_at FROM command WHERE key = ?1`, key)
	if err != nil || !found {
		return "", false, err
	}
	if !bytes.Equal(first, sum) {
		return "", false, fault.New(fault.Conflict,
			"This form was already sent with other content, at %s (%s). What you sent now was not saved; load the form again.",
			z.Stamp(civil.Instant(at)), outcome)
	}
	return Outcome(outcome), true, nil
}

// begin fixes the moment of a write. The ledger's time never runs back.
func (s *Store) begin(ctx context.Context, c *conn, cmd Command) (*Tx, error) {
	last, at := int64(-1), civil.Instant(0)
	if _, err := c.one(ctx, []any{&last, &at}, `SELECT idx, recorded_at FROM entry ORDER BY idx DESC LIMIT 1`); err != nil {
		return nil, err
	}
	size := last + 1
	tx := &Tx{s: s, c: c, ctx: ctx, cmd: cmd, first: size, next: size, place: *s.place.Load(),
		now: civil.InstantOf(s.options.Clock()), hashes: map[int64]ledger.Hash{}, made: map[string]bool{}, refers: map[string]string{},
		newest: map[string]newest{}, fresh: map[string]bool{}, sealed: map[id.Commitment]string{}}
	if s.rows == nil || s.stood != size {
		s.rows = newProjector(ctx, c)
	}
	tx.rows = s.rows
	tx.rows.ctx, tx.rows.c = ctx, c
	tx.tree = ledger.NewTree(size, tlog.HashReaderFunc(tx.readHashes))
	if behind := at.Sub(tx.now); behind > clockSlack {
		return nil, fault.New(fault.Unusable, "The clock shows %s, but the last entry was recorded at %s. Nothing is written until the clock is right.",
			tx.place.zone.Stamp(tx.now), tx.place.zone.Stamp(at))
	}
	tx.now = max(tx.now, at)
	return tx, nil
}
