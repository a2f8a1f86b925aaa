package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/go-json-experiment/json"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/ledger"
)

// View is the record as it stood at one entry of the ledger and counted on one
// day. It lives inside one transaction and ends with it.
type View struct {
	s     *Store
	c     *conn
	ctx   context.Context
	asked context.Context // ends when nobody waits for the answer any more
	entry int64           // last entry known, -1 = none
	head  bool            // entry is the last there is
	size  int64           // entries in this transaction's database, the tx's own included
	saved int64           // entries that are committed: what is below may be kept
	day   civil.Day
	now   civil.Instant
	zone  civil.Zone
	tx    *Tx // nil in a read
}

// Read calls fn with the record as it stands now, in one read transaction.
func (s *Store) Read(ctx context.Context, fn func(*View) error) (err error) {
	c, err := s.pool.take(ctx)
	if err != nil {
		return s.usable(err)
	}
	sound := false
	defer func() { err = s.usable(errors.Join(err, s.pool.give(c, sound))) }()
	// Statements run to their end: they are short, and a watcher for each costs
	// more than most of them.
	still := context.WithoutCancel(ctx)
	if err := c.exec(still, `BEGIN`); err != nil {
		return err
	}
	defer func() {
		if rollback := c.exec(still, `ROLLBACK`); rollback != nil {
			err = errors.Join(err, rollback)
		} else {
			sound = true
		}
	}()
	v := &View{s: s, c: c, ctx: still, asked: ctx, head: true, zone: s.Zone()}
	v.now = civil.InstantOf(s.options.Clock())
	v.day = v.zone.DayOf(v.now)
	if v.size, err = ledgerSize(still, c); err != nil {
		return err
	}
	v.saved, v.entry = v.size, v.size-1
	return fn(v)
}

func ledgerSize(ctx context.Context, c *conn) (size int64, err error) {
	_, err = c.one(ctx, []any{&size}, `SELECT coalesce(max(idx) + 1, 0) FROM entry`)
	return size, err
}

// Head returns the index of the last entry known to the view, -1 for none.
func (v *View) Head() int64 { return v.entry }

// Entries returns the number of entries known to the view.
func (v *View) Entries() int64 { return v.entry + 1 }

// Day returns the day the view shows, today unless At said otherwise.
func (v *View) Day() civil.Day { return v.day }

// Today returns the local day of Now.
func (v *View) Today() civil.Day { return v.zone.DayOf(v.now) }

// Now returns the moment the transaction began.
func (v *View) Now() civil.Instant { return v.now }

// Zone returns the yard's time zone.
func (v *View) Zone() civil.Zone { return v.zone }

// At returns another standpoint in the same transaction: what was known at an
// entry (-1 = nothing), as it counted on a day. An entry beyond the last is the
// last.
func (v *View) At(entry int64, day civil.Day) *View {
	w := *v
	w.entry, w.day = max(-1, min(entry, v.size-1)), day
	w.head = w.entry == v.size-1
	return &w
}

// EntryAsKnownOn returns the last entry recorded by the end of a day in the
// yard's zone, -1 for none.
func (v *View) EntryAsKnownOn(d civil.Day) (int64, error) {
	end := v.zone.StartOfDay(d + 1)
	low, high := int64(-1), v.entry // the ledger never goes back in time: halve the span
	for low < high {
		middle := high - (high-low)/2
		var at civil.Instant
		if _, err := v.one([]any{&at}, `SELECT recorded_at FROM entry WHERE idx = ?3`, middle); err != nil {
			return -1, err
		}
		if at < end {
			low = middle
		} else {
			high = middle - 1
		}
	}
	return low, nil
}

// LastRecorded returns when the view's last entry was recorded, 0 for none.
func (v *View) LastRecorded() (at civil.Instant, err error) {
	_, err = v.one([]any{&at}, `SELECT recorded_at FROM entry WHERE idx = ?1`)
	return at, err
}

// Checkpoint returns the newest signed head at or before the view's entry; size
// 0 and no note before the first.
func (v *View) Checkpoint() (size int64, root ledger.Hash, note string, err error) {
	var raw []byte
	found, err := v.one([]any{&size, &raw, &note},
		`SELECT size, root, note FROM checkpoint WHERE size <= ?1 + 1 ORDER BY size DESC LIMIT 1`)
	if err != nil || !found {
		return 0, root, "", err
	}
	copy(root[:], raw)
	return size, root, note, nil
}

// Entry returns one entry of the ledger. Error: fault.NotFound.
func (v *View) Entry(index int64) (ledger.Entry, error) {
	var raw []byte
	found, err := v.one([]any{&raw}, `SELECT bytes FROM entry WHERE idx = ?3 AND idx <= ?1`, index)
	if err != nil {
		return ledger.Entry{}, err
	}
	if !found {
		return ledger.Entry{}, fault.New(fault.NotFound, "There is no entry %d.", index)
	}
	return ledger.Decode(raw)
}

// EntriesOf returns all entries of one record, oldest first.
func (v *View) EntriesOf(kind, id string) ([]ledger.Entry, error) {
	numbered, err := v.entriesOf(kind, id)
	out := make([]ledger.Entry, 0, len(numbered))
	for _, n := range numbered {
		out = append(out, n.entry)
	}
	return out, err
}

// A numbered entry with its index in the ledger.
type numbered struct {
	index int64
	entry ledger.Entry
}

func (v *View) entriesOf(kind, id string) ([]numbered, error) {
	return list(v, func(rows *sql.Rows) (n numbered, err error) {
		var raw []byte
		if err := rows.Scan(&n.index, &raw); err != nil {
			return n, err
		}
		n.entry, err = ledger.Decode(raw)
		return n, err
	}, `SELECT idx, bytes FROM entry WHERE kind = ?3 AND id = ?4 AND idx <= ?1 ORDER BY rev`, kind, id)
}

// each runs a query with the view's entry as ?1 and its day as ?2; args are
// numbered from ?3.
func (v *View) each(scan func(*sql.Rows) error, query string, args ...any) error {
	if err := v.asked.Err(); err != nil {
		return err
	}
	return v.c.each(v.ctx, scan, query, append([]any{v.entry, v.day.String()}, args...)...)
}

func (v *View) one(dest []any, query string, args ...any) (bool, error) {
	return v.c.one(v.ctx, dest, query, append([]any{v.entry, v.day.String()}, args...)...)
}

func list[T any](v *View, scan func(*sql.Rows) (T, error), query string, args ...any) (out []T, err error) {
	err = v.each(func(rows *sql.Rows) error {
		one, err := scan(rows)
		out = append(out, one)
		return err
	}, query, args...)
	return out, err
}

// scanBody reads a row of one column, a body.
func scanBody[T any](rows *sql.Rows) (T, error) {
	var body sql.RawBytes
	if err := rows.Scan(&body); err != nil {
		var none T
		return none, err
	}
	return decodeBody[T](body)
}

// Row is a record with its place in the ledger. Rev is that of the record's
// newest revision known, the number that Tx.Expect compares; Entry is the one
// that Value comes from.
type Row[T any] struct {
	Value      T
	Rev        int64
	Entry      int64
	RecordedAt civil.Instant
}

// row reads one record by kind and id; its table is named as the kind. Error:
// fault.NotFound.
func row[T any](v *View, k, noun, of string) (Row[T], error) {
	var r Row[T]
	var body sql.RawBytes
	found := false
	err := v.each(func(rows *sql.Rows) (err error) {
		if err := rows.Scan(&r.Entry, &body); err != nil {
			return err
		}
		found = true
		r.Value, err = decodeBody[T](body)
		return err
	}, `SELECT r.entry, r.body FROM `+strings.ReplaceAll(k, "-", "_")+` AS r WHERE r.id = ?3 AND `+v.at("r"), of)
	if err != nil {
		return r, err
	}
	if !found {
		return r, fault.New(fault.NotFound, "There is no %s %s.", noun, of)
	}
	n, err := v.newestOf(k, of)
	r.Rev, r.RecordedAt = n.rev, n.at
	return r, err
}

func (v *View) newestOf(kind, of string) (n newest, err error) {
	if v.tx != nil && v.entry == v.tx.next-1 {
		return v.tx.newestOf(kind, of)
	}
	_, err = v.one([]any{&n.rev, &n.at}, `SELECT rev, recorded_at FROM entry
		WHERE kind = ?3 AND id = ?4 AND idx <= ?1 ORDER BY rev DESC LIMIT 1`, kind, of)
	return n, err
}

// idList writes ids as a JSON array for json_each, each once.
func idList[T ~string](of []T) (string, error) {
	b, err := json.Marshal(slices.Compact(slices.Sorted(slices.Values(of))))
	if err != nil {
		return "", fmt.Errorf("list of ids: %w", err)
	}
	return string(b), nil
}

// rowsFor reads the bodies of rows for each of some ids. from is the FROM clause
// after "json_each(?3) AS want CROSS JOIN": the list leads, an index follows.
func rowsFor[T any, K ~string](v *View, of []K, from string, args ...any) ([]T, error) {
	if len(of) == 0 {
		return nil, nil
	}
	want, err := idList(of)
	if err != nil {
		return nil, err
	}
	return list(v, scanBody[T], `SELECT r.body FROM json_each(?3) AS want CROSS JOIN `+from, append([]any{want}, args...)...)
}
