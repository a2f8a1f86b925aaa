package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"strings"

	"golang.org/x/mod/sumdb/tlog"

	"rungbook/internal/ledger"
)

// RebuildReport says whether the ledger, replayed, gives the tables that stand.
type RebuildReport struct {
	Entries int64
	Tables  []RebuiltTable
	Wrong   []string // what is wrong with the ledger itself, one sentence each
}

// RebuiltTable compares one derived table.
type RebuiltTable struct {
	Name          string
	Live, Rebuilt int    // rows
	Difference    string // the first one, "" = equal
}

// Equal reports whether the ledger is sound and every table equals its rebuilt one.
func (r RebuildReport) Equal() bool {
	for _, t := range r.Tables {
		if t.Difference != "" {
			return false
		}
	}
	return len(r.Wrong) == 0
}

// String returns the report as lines for a terminal.
func (r RebuildReport) String() string {
	var b strings.Builder
	for _, w := range r.Wrong {
		fmt.Fprintln(&b, w)
	}
	for _, t := range r.Tables {
		if t.Difference != "" {
			fmt.Fprintf(&b, "Table %s differs (%d rows stand, %d rebuilt). First: %s\n", t.Name, t.Live, t.Rebuilt, t.Difference)
		}
	}
	if r.Equal() {
		fmt.Fprintf(&b, "Replayed %d entries: all %d tables equal the rebuilt ones.", r.Entries, len(r.Tables))
	} else {
		fmt.Fprintf(&b, "Replayed %d entries: what stands is not what the ledger says.", r.Entries)
	}
	return b.String()
}

// derivedTables are those that a rebuild gives anew, with the columns that order them.
var derivedTables = []struct{ name, order string }{
	{"record", "id"},
	{"reference", "kind, id, since_entry, from_day"},
	{"reference_entry", "entry, kind, id"},
	{"person", "id, since_entry, from_day"},
	{"trainee", "id, since_entry, from_day"},
	{"duty", "id, since_entry, from_day"},
	{"away", "id, since_entry, from_day"},
	{"no_height", "id, since_entry, from_day"},
	{"session", "id, since_entry, from_day"},
	{"session_person", "who, day, session"},
	{"attendance", "id, since_entry, from_day"},
	{"presence", "who, session"},
	{"results", "id, since_entry, from_day"},
	{"completion", "trainee, session, since_entry, from_day"},
	{"acceptance", "id, since_entry, from_day"},
	{"certificate", "id, since_entry, from_day"},
	{"batch", "id, since_entry, from_day"},
	{"own_code", "id, since_entry, from_day"},
	{"incident", "id, since_entry, from_day"},
	{"reading", "id, since_entry, from_day"},
	{"check_list", "id, since_entry, from_day"},
	{"preparation", "id, since_entry, from_day"},
	{"arrival", "id, since_entry, from_day"},
	{"stay", "id, since_entry, from_day"},
	{"isolation", "id, since_entry, from_day"},
	{"authority", "id, since_entry, from_day"},
	{"written_plan", "id, since_entry, from_day"},
	{"reported", "id, since_entry, from_day"},
	{"complaint", "id, since_entry, from_day"},
}

// Rebuild replays the ledger into fresh tables in a temporary file and compares
// every derived table with the one that stands, in one read of the store. It
// changes nothing.
func (s *Store) Rebuild(ctx context.Context) (report RebuildReport, err error) {
	dir, err := os.MkdirTemp("", "rungbook-rebuild-")
	if err != nil {
		return report, err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(dir)) }()
	file := filepath.Join(dir, databaseName)
	db, err := openDatabase(ctx, file, scratch)
	if err != nil {
		return report, unusable(file, err)
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	if err := migrate(ctx, db, file, slog.New(slog.DiscardHandler)); err != nil {
		return report, unusable(file, err)
	}
	c, err := newConn(ctx, db)
	if err != nil {
		return report, err
	}
	defer func() { err = errors.Join(err, c.close()) }()
	err = s.Read(ctx, func(v *View) error {
		err := v.replay(ctx, c, &report)
		if err != nil || len(report.Wrong) > 0 {
			return err // tables that come from a broken ledger prove nothing
		}
		for _, t := range derivedTables {
			compared, err := compare(ctx, v.c, c, t.name, t.order)
			if err != nil {
				return err
			}
			report.Tables = append(report.Tables, compared)
		}
		return nil
	})
	return report, err
}

// replay derives every entry into c and checks the ledger on the way.
func (v *View) replay(ctx context.Context, c *conn, report *RebuildReport) error {
	tree := ledger.NewTree(0, tlog.HashReaderFunc(func([]int64) ([]ledger.Hash, error) {
		return nil, errors.New("a tree grown from nothing keeps all its hashes")
	}))
	if err := c.exec(ctx, `BEGIN IMMEDIATE`); err != nil {
		return err
	}
	wrong := func(format string, args ...any) { report.Wrong = append(report.Wrong, fmt.Sprintf(format, args...)) }
	p := newProjector(ctx, c)
	err := v.each(func(rows *sql.Rows) error {
		var index, rev, recorded int64
		var kind, of string
		var raw sql.RawBytes
		if err := rows.Scan(&index, &kind, &of, &rev, &recorded, &raw); err != nil {
			return err
		}
		e, err := ledger.Decode(raw)
		if err != nil {
			wrong("Entry %d can't be read: %v.", index, err)
			return nil
		}
		if e.Kind != kind || e.ID != of || e.Rev != rev || int64(e.Recorded()) != recorded || index != report.Entries {
			wrong("Entry %d: its row does not agree with its bytes.", index)
		}
		report.Entries++
		if err := tree.Append(raw); err != nil {
			return err
		}
		f, err := factOf(index, e)
		if err != nil {
			wrong("Its record can't be read: %v.", err)
		}
		if len(report.Wrong) > 0 {
			return nil
		}
		return p.derive(f)
	}, `SELECT idx, kind, id, rev, recorded_at, bytes FROM entry ORDER BY idx`)
	if err != nil {
		return errors.Join(err, rollback(ctx, c))
	}
	if err := v.compareTree(tree, wrong); err != nil || len(report.Wrong) > 0 {
		return errors.Join(err, rollback(ctx, c))
	}
	return c.exec(ctx, `COMMIT`)
}

// compareTree checks the stored hashes and the newest signed head.
func (v *View) compareTree(tree *ledger.Tree, wrong func(string, ...any)) error {
	_, hashes := tree.Added()
	stored := 0
	err := v.each(func(rows *sql.Rows) error {
		var raw []byte
		if err := rows.Scan(&raw); err != nil {
			return err
		}
		if stored >= len(hashes) || string(raw) != string(hashes[stored][:]) {
			wrong("Hash %d of the ledger is not that of its entries.", stored)
		}
		stored++
		return nil
	}, `SELECT hash FROM tlog_hash ORDER BY idx`)
	if err != nil {
		return err
	}
	if stored < len(hashes) {
		wrong("The ledger keeps %d hashes; its entries have %d.", stored, len(hashes))
	}
	root, err := tree.Root()
	if err != nil {
		return err
	}
	size, signed, _, err := v.newestHead()
	if err != nil {
		return err
	}
	if size != tree.Size() || size > 0 && root != signed {
		wrong("The signed head covers %d entries; the ledger has %d, or others.", size, tree.Size())
	}
	return nil
}

// compare reads a table from both databases side by side in the same order.
func compare(ctx context.Context, live, rebuilt *conn, table, order string) (out RebuiltTable, err error) {
	out.Name = table
	a, err := openRows(ctx, live, table, order)
	if err != nil {
		return out, err
	}
	defer func() { err = errors.Join(err, a.Close()) }()
	b, err := openRows(ctx, rebuilt, table, order)
	if err != nil {
		return out, err
	}
	defer func() { err = errors.Join(err, b.Close()) }()
	for {
		x, err := nextRow(a)
		if err != nil {
			return out, err
		}
		y, err := nextRow(b)
		if err != nil {
			return out, err
		}
		if x == "" && y == "" {
			return out, nil
		}
		if x != "" {
			out.Live++
		}
		if y != "" {
			out.Rebuilt++
		}
		if x != y && out.Difference == "" {
			out.Difference = "live: " + orNone(x) + "; rebuilt: " + orNone(y)
		}
	}
}

func orNone(row string) string {
	if row == "" {
		return "no row"
	}
	return row
}

// openRows reads whole rows: whatever columns there are must agree.
func openRows(ctx context.Context, c *conn, table, order string) (*sql.Rows, error) {
	s, err := c.prepare(ctx, `SELECT * FROM `+table+` ORDER BY `+order)
	if err != nil {
		return nil, err
	}
	return s.QueryContext(ctx)
}

// nextRow returns a row as one text, "" after the last.
func nextRow(rows *sql.Rows) (string, error) {
	if !rows.Next() {
		return "", rows.Err()
	}
	names, err := rows.Columns()
	if err != nil {
		return "", err
	}
	values := make([]any, len(names))
	into := make([]any, len(names))
	for i := range values {
		into[i] = &values[i]
	}
	if err := rows.Scan(into...); err != nil {
		return "", err
	}
	var b strings.Builder
	for i, name := range names {
		fmt.Fprintf(&b, "%s=%v ", name, values[i])
	}
	return b.String(), nil
}
