package store

import (
	"bytes"
	"compress/gzip"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
)

// Draft is a draft of a plan: a problem built from the records at an entry of
// the ledger, and the best plan found for it so far. Drafts are not in the
// ledger; what one leads to, once it is accepted, is.
type Draft struct {
	ID          id.Draft
	Kind, State string
	Why         string   // why it is stopped, "" when it is not
	Repeats     id.Draft // the draft that it makes again, "" for none
	MadeAt      civil.Instant
	MadeBy      id.Person
	Entry       int64
	From, Until civil.Day // both counted
	Wish        string    // what was asked for, as JSON of the journey
	Seconds     int       // how long to search; 0 = by effort
	Effort      int64     // rounds asked for; −1 = by seconds
	Seed        int64
	Version     string // of the program that made it
	ProblemSHA  string
	FromSHA     string // "" without sessions to mend

	Rounds      int64 // that the plan took
	Steps       int64
	Cost, Bound int64
	Unplaced    int
	HasPlan     bool
	EndedAt     civil.Instant
	EndedBy     id.Person
}

// DraftFiles are the planner's files of a draft; nil where there is none.
type DraftFiles struct{ Problem, From, Plan []byte }

// DraftPoint is how far a search had come at one moment.
type DraftPoint struct {
	Tenths      int64 // of a second since it began
	Steps       int64
	Cost, Bound int64
	Unplaced    int
}

// Told says that a person was told of what a draft changes for them.
type Told struct {
	Person id.Person
	At     civil.Instant
	By     id.Person
}

// draftColumns in the order of scanDraft.
const draftColumns = `id, kind, state, why, coalesce(repeats, ''), made_at, made_by, entry, from_day, until_day, wish, seconds, effort, seed, version,
	problem_sha256, from_sha256, rounds, steps, cost, bound, unplaced, plan IS NOT NULL, ended_at, ended_by`

func scanDraft(rows *sql.Rows) (d Draft, err error) {
	var from, until string
	err = rows.Scan(&d.ID, &d.Kind, &d.State, &d.Why, &d.Repeats, &d.MadeAt, &d.MadeBy, &d.Entry, &from, &until, &d.Wish, &d.Seconds, &d.Effort, &d.Seed,
		&d.Version, &d.ProblemSHA, &d.FromSHA, &d.Rounds, &d.Steps, &d.Cost, &d.Bound, &d.Unplaced, &d.HasPlan, &d.EndedAt, &d.EndedBy)
	if err != nil {
		return d, err
	}
	var errs [2]error
	d.From, errs[0] = civil.ParseDay(from)
	d.Until, errs[1] = civil.ParseDay(until)
	return d, errors.Join(errs[:]...)
}

// AddDraft keeps a new draft and gives it an id. A form key that was used before
// returns the draft it led to then, and keeps nothing.
func (s *Store) AddDraft(ctx context.Context, key string, d Draft, files DraftFiles) (made id.Draft, err error) {
	if key == "" {
		return "", fault.New(fault.Invalid, "The form carries no key; load it again.")
	}
	problem, err := pack(files.Problem)
	if err != nil {
		return "", err
	}
	var from any
	if files.From != nil {
		if from, err = pack(files.From); err != nil {
			return "", err
		}
	}
	s.mu.Lock()
	d.ID = id.Draft(s.maker.New())
	s.mu.Unlock()
	err = s.operate(ctx, func(ctx context.Context, c *conn) error {
		if found, err := c.one(ctx, []any{&made}, `SELECT id FROM draft WHERE form_key = ?1`, key); found || err != nil {
			return err
		}
		made = d.ID
		return c.exec(ctx, `INSERT INTO draft (id, form_key, kind, state, why, repeats, made_at, made_by, entry, from_day, until_day, wish, seconds, effort, seed,
				version, problem_sha256, from_sha256, problem, from_plan, rounds, steps, cost, bound, unplaced, ended_at, ended_by)
			VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17, ?18, ?19, ?20, 0, 0, 0, 0, 0, 0, '')`,
			string(d.ID), key, d.Kind, d.State, d.Why, orNull(d.Repeats), int64(d.MadeAt), string(d.MadeBy), d.Entry, d.From.String(), d.Until.String(), d.Wish,
			d.Seconds, d.Effort, d.Seed, d.Version, d.ProblemSHA, d.FromSHA, problem, from)
	})
	return made, err
}

// DraftChange is what becomes of a draft: the fields that change while it is made
// and when it ends, a plan that replaces the one kept (nil keeps it), and the
// points of its chart (nil keeps them).
type DraftChange struct {
	*Draft
	Plan   []byte
	Points []DraftPoint
}

// ChangeDraft lets fn change a draft, all or nothing; of its Draft only the state
// and what follows Rounds are kept. Error: fault.NotFound, and that of fn.
func (s *Store) ChangeDraft(ctx context.Context, of id.Draft, fn func(*DraftChange) error) error {
	return s.operate(ctx, func(ctx context.Context, c *conn) error { return changeDraft(ctx, c, of, fn) })
}

// ChangeDraft is Store.ChangeDraft inside a write of facts.
func (tx *Tx) ChangeDraft(of id.Draft, fn func(*DraftChange) error) error {
	return changeDraft(tx.ctx, tx.c, of, fn)
}

func changeDraft(ctx context.Context, c *conn, of id.Draft, fn func(*DraftChange) error) error {
	var d Draft
	found := false
	err := c.each(ctx, func(rows *sql.Rows) (err error) { found = true; d, err = scanDraft(rows); return err },
		`SELECT `+draftColumns+` FROM draft WHERE id = ?1`, string(of))
	if err != nil {
		return err
	}
	if !found {
		return noDraft()
	}
	change := DraftChange{Draft: &d}
	if err := fn(&change); err != nil {
		return err
	}
	err = c.exec(ctx, `UPDATE draft SET state = ?2, why = ?3, rounds = ?4, steps = ?5, cost = ?6, bound = ?7, unplaced = ?8, ended_at = ?9, ended_by = ?10 WHERE id = ?1`,
		string(of), d.State, d.Why, d.Rounds, d.Steps, d.Cost, d.Bound, d.Unplaced, int64(d.EndedAt), string(d.EndedBy))
	if err != nil {
		return err
	}
	if change.Plan != nil {
		packed, err := pack(change.Plan)
		if err != nil {
			return err
		}
		if err := c.exec(ctx, `UPDATE draft SET plan = ?2 WHERE id = ?1`, string(of), packed); err != nil {
			return err
		}
	}
	if change.Points == nil {
		return nil
	}
	if err := c.exec(ctx, `DELETE FROM draft_progress WHERE draft = ?1`, string(of)); err != nil {
		return err
	}
	for i, p := range change.Points {
		err := c.exec(ctx, `INSERT INTO draft_progress (draft, place, tenths, steps, cost, bound, unplaced) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)`,
			string(of), i, p.Tenths, p.Steps, p.Cost, p.Bound, p.Unplaced)
		if err != nil {
			return err
		}
	}
	return nil
}

// Now returns the moment that the store's clock shows.
func (s *Store) Now() civil.Instant { return civil.InstantOf(s.options.Clock()) }

func noDraft() error { return fault.New(fault.NotFound, "There is no such draft.") }

// operate changes operational tables in one transaction of the writer.
func (s *Store) operate(ctx context.Context, fn func(context.Context, *conn) error) (err error) {
	c, err := s.writer(ctx)
	if err != nil {
		return err
	}
	defer func() { s.write <- c }()
	still := context.WithoutCancel(ctx)
	if err := c.exec(still, `BEGIN IMMEDIATE`); err != nil {
		return s.usable(err)
	}
	err = fn(still, c)
	if err == nil {
		err = c.exec(still, `COMMIT`)
	}
	if err != nil {
		err = errors.Join(err, rollback(still, c))
	}
	return s.usable(err)
}

// Tell notes, all or nothing, who was told of what a draft changes for them; for
// each the first time counts.
func (s *Store) Tell(ctx context.Context, draft id.Draft, told []Told) error {
	return s.operate(ctx, func(ctx context.Context, c *conn) error {
		for _, t := range told {
			err := c.exec(ctx, `INSERT INTO told (draft, person, told_at, told_by) VALUES (?1, ?2, ?3, ?4) ON CONFLICT (draft, person) DO NOTHING`,
				string(draft), string(t.Person), int64(t.At), string(t.By))
			if err != nil {
				return err
			}
		}
		return nil
	})
}

// Draft returns one draft. Error: fault.NotFound.
func (v *View) Draft(of id.Draft) (Draft, error) {
	list, err := list(v, scanDraft, `SELECT `+draftColumns+` FROM draft WHERE id = ?3`, string(of))
	if err == nil && len(list) == 0 {
		return Draft{}, noDraft()
	}
	if err != nil {
		return Draft{}, err
	}
	return list[0], nil
}

// DraftOfForm returns the draft that a form with a key led to, "" for none.
func (v *View) DraftOfForm(key string) (of id.Draft, err error) {
	_, err = v.one([]any{&of}, `SELECT id FROM draft WHERE form_key = ?3`, key)
	return of, err
}

// Drafts returns the drafts made last, newest first.
func (v *View) Drafts(limit int) ([]Draft, error) {
	return list(v, scanDraft, `SELECT `+draftColumns+` FROM draft ORDER BY made_at DESC, rowid DESC LIMIT ?3`, limit)
}

// DraftsIn returns the drafts in a state, the one made first leading.
func (v *View) DraftsIn(state string) ([]Draft, error) {
	return list(v, scanDraft, `SELECT `+draftColumns+` FROM draft WHERE state = ?3 ORDER BY made_at, rowid`, state)
}

// DraftFiles returns the files of a draft.
func (v *View) DraftFiles(of id.Draft) (files DraftFiles, err error) {
	var problem, from, plan []byte
	found, err := v.one([]any{&problem, &from, &plan}, `SELECT problem, from_plan, plan FROM draft WHERE id = ?3`, string(of))
	if err == nil && !found {
		err = noDraft()
	}
	for _, f := range []struct {
		to   *[]byte
		from []byte
	}{{&files.Problem, problem}, {&files.From, from}, {&files.Plan, plan}} {
		if err == nil && f.from != nil {
			*f.to, err = unpack(f.from)
		}
	}
	return files, err
}

// DraftPoints returns how a draft's search went.
func (v *View) DraftPoints(of id.Draft) ([]DraftPoint, error) {
	return list(v, func(rows *sql.Rows) (p DraftPoint, err error) {
		err = rows.Scan(&p.Tenths, &p.Steps, &p.Cost, &p.Bound, &p.Unplaced)
		return p, err
	}, `SELECT tenths, steps, cost, bound, unplaced FROM draft_progress WHERE draft = ?3 ORDER BY place`, string(of))
}

// Told returns who was told of a draft's changes, by person.
func (v *View) Told(of id.Draft) ([]Told, error) {
	return list(v, func(rows *sql.Rows) (t Told, err error) {
		err = rows.Scan(&t.Person, &t.At, &t.By)
		return t, err
	}, `SELECT person, told_at, told_by FROM told WHERE draft = ?3 ORDER BY person`, string(of))
}

func pack(file []byte) ([]byte, error) {
	var b bytes.Buffer
	w := gzip.NewWriter(&b)
	_, err := w.Write(file)
	err = errors.Join(err, w.Close())
	return b.Bytes(), err
}

func unpack(packed []byte) ([]byte, error) {
	r, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		return nil, fmt.Errorf("a file of a draft: %w", err)
	}
	file, err := io.ReadAll(r)
	return file, errors.Join(err, r.Close())
}
