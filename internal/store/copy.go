package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"rungbook/internal/fault"
)

// Copy writes a whole, consistent copy of the database in a folder to a new file,
// also while a server writes to it, and sees it onto the disk. Nothing is upgraded. Errors: fault.Unusable as those of Open; the file to
// write must not exist.
func Copy(ctx context.Context, dir, to string) (err error) {
	file := filepath.Join(dir, databaseName)
	if _, err := os.Stat(file); errors.Is(err, fs.ErrNotExist) {
		return fault.New(fault.Unusable, "There is no Rungbook database in %s.", dir)
	}
	db, done, err := look(ctx, file)
	if err != nil {
		return unusable(file, err)
	}
	defer func() { err = errors.Join(err, done()) }()
	c, err := db.Conn(ctx)
	if err != nil {
		return unusable(file, err)
	}
	// The file stays opened for reading alone; the copy is what is written.
	_, err = c.ExecContext(ctx, "PRAGMA query_only = 0")
	if err == nil {
		_, err = c.ExecContext(ctx, "VACUUM INTO ?1", to)
	}
	if err = errors.Join(err, c.Close()); err != nil {
		return unusable(to, err)
	}
	if err := os.Chmod(to, 0o600); err != nil {
		return unusable(to, err)
	}
	f, err := os.Open(to)
	if err != nil {
		return unusable(to, err)
	}
	return errors.Join(unusable(to, f.Sync()), f.Close())
}

// look opens a database to look at it. Where SQLite may not make the files that it
// puts beside one, as in a folder that may only be read, the database and what was
// written ahead of it are copied to the system's temporary folder, and the copy is
// looked at: nobody can be writing there. done closes, and takes a copy away.
func look(ctx context.Context, file string) (db *sql.DB, done func() error, err error) {
	db, err = openLooking(ctx, file)
	if err == nil {
		return db, db.Close, nil
	}
	var said *sqlite.Error
	if !errors.As(err, &said) || said.Code()&0xff != sqlite3.SQLITE_CANTOPEN && said.Code()&0xff != sqlite3.SQLITE_READONLY {
		return nil, nil, err
	}
	room, roomErr := os.MkdirTemp("", "rungbook-look-")
	if roomErr != nil {
		return nil, nil, errors.Join(err, roomErr)
	}
	copied := filepath.Join(room, databaseName)
	for _, end := range []string{"", "-wal"} {
		if copyErr := copyPlain(file+end, copied+end); copyErr != nil && (end == "" || !errors.Is(copyErr, fs.ErrNotExist)) {
			return nil, nil, errors.Join(err, os.RemoveAll(room))
		}
	}
	if db, err = openLooking(ctx, copied); err != nil {
		return nil, nil, errors.Join(err, os.RemoveAll(room))
	}
	return db, func() error { return errors.Join(db.Close(), os.RemoveAll(room)) }, nil
}

// openLooking opens a database and reads from it: only then does SQLite say what it
// lacks.
func openLooking(ctx context.Context, file string) (*sql.DB, error) {
	db, err := openDatabase(ctx, file, looking)
	if err != nil {
		return nil, err
	}
	var tables int
	if err := db.QueryRowContext(ctx, "SELECT count(*) FROM sqlite_schema").Scan(&tables); err != nil {
		return nil, closing(db, err)
	}
	return db, nil
}

func copyPlain(from, to string) (err error) {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, in.Close()) }()
	out, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Close())
}

// Condition is what a database's file says of itself.
type Condition struct {
	Schema, Known int      // schema steps applied, and those that this program knows
	Damaged       []string // what SQLite's own check finds, one sentence each
	Dangling      []string // rows that speak of others that are not there
	Bytes         int64
}

// Examine checks a database file without changing it. Errors: fault.Unusable.
func Examine(ctx context.Context, dir string) (out Condition, err error) {
	file := filepath.Join(dir, databaseName)
	info, err := os.Stat(file)
	if errors.Is(err, fs.ErrNotExist) {
		return out, fault.New(fault.Unusable, "There is no Rungbook database in %s.", dir)
	}
	if err != nil {
		return out, unusable(file, err)
	}
	out.Bytes = info.Size()
	all, err := steps()
	if err != nil {
		return out, err
	}
	out.Known = len(all)
	db, done, err := look(ctx, file)
	if err != nil {
		return out, unusable(file, err)
	}
	defer func() { err = errors.Join(err, done()) }()
	if err := db.QueryRowContext(ctx, "SELECT count(*) FROM migration").Scan(&out.Schema); err != nil {
		return out, unusable(file, err)
	}
	c, err := newConn(ctx, db)
	if err != nil {
		return out, unusable(file, err)
	}
	defer func() { err = errors.Join(err, c.close()) }()
	if out.Damaged, err = c.lines(ctx, "PRAGMA integrity_check", 1); err != nil {
		return out, unusable(file, err)
	}
	if len(out.Damaged) == 1 && out.Damaged[0] == "ok" {
		out.Damaged = nil
	}
	out.Dangling, err = c.lines(ctx, "PRAGMA foreign_key_check", 4)
	return out, unusable(file, err)
}

// lines reads rows of so many columns as one text each.
func (c *conn) lines(ctx context.Context, query string, columns int) (out []string, err error) {
	rows, err := c.sql.QueryContext(ctx, query)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	values, into := make([]any, columns), make([]any, columns)
	for i := range values {
		into[i] = &values[i]
	}
	for rows.Next() {
		if err := rows.Scan(into...); err != nil {
			return nil, err
		}
		line := ""
		for i, v := range values {
			if i > 0 {
				line += " "
			}
			line += fmt.Sprint(v)
		}
		out = append(out, line)
	}
	return out, rows.Err()
}

// Latest returns when the newest entry was recorded, 0 where there is none, and
// how many there are.
func (v *View) Latest() (at int64, entries int64, err error) {
	_, err = v.one([]any{&at}, `SELECT coalesce(max(recorded_at), 0) FROM entry`)
	return at, v.size, err
}
