package store

import (
	"context"
	"database/sql"
	"fmt"
	"net/url"
	"strings"
)

// purpose is what a connection uses a database file for.
type purpose int

const (
	writing purpose = iota // the one connection that changes the ledger's database
	reading                // one of the pool that only reads it
	scratch                // a fresh copy that is thrown away (rebuild)
	looking                // a file as it is, which no program may have opened since it was copied
	signing                // sign-in sessions: a lost minute costs a sign-in, not a record
)

// busyMillis is how long a connection waits for another program's lock.
const busyMillis = 5000

// A pragma is a setting asked for in the data source name and read back.
type pragma struct{ name, want string }

// source returns the data source name of a file for a purpose, and what
// must read back: the driver and SQLite pass over keys they don't know.
// A file: URI is needed, because SQLite ignores mode= after a plain file name.
func source(file string, how purpose) (string, []pragma) {
	q := url.Values{}
	q.Set("_busy_timeout", fmt.Sprint(busyMillis))
	q.Set("_foreign_keys", "1")
	q.Set("_dqs", "0")
	q.Set("_defensive", "1")
	q.Set("_pragma", "recursive_triggers(1)")
	checks := []pragma{{"busy_timeout", fmt.Sprint(busyMillis)}, {"foreign_keys", "1"}, {"recursive_triggers", "1"}}
	if how == reading || how == looking {
		q.Set("mode", "ro")
		q.Set("_query_only", "1")
		checks = append(checks, pragma{"query_only", "1"})
		if how == reading {
			checks = append(checks, pragma{"journal_mode", "wal"})
		}
		return uri(file, q), checks
	}
	synchronous := map[purpose]string{writing: "2", signing: "1", scratch: "0"}[how]
	q.Set("mode", "rwc")
	q.Set("_txlock", "immediate")
	q.Set("_journal_mode", "WAL")
	q.Set("_synchronous", synchronous)
	return uri(file, q), append(checks, pragma{"synchronous", synchronous}, pragma{"journal_mode", "wal"}, pragma{"query_only", "0"})
}

func uri(file string, q url.Values) string {
	u := url.URL{Scheme: "file", Path: file, RawQuery: q.Encode()}
	return u.String()
}

// openDatabase opens a file and checks on one connection that every setting took.
func openDatabase(ctx context.Context, file string, how purpose) (*sql.DB, error) {
	name, checks := source(file, how)
	db, err := sql.Open("sqlite", name)
	if err != nil {
		return nil, err
	}
	if how != reading && how != looking {
		db.SetMaxOpenConns(1)
	}
	if err := readBack(ctx, db, checks); err != nil {
		return nil, closing(db, err)
	}
	return db, nil
}

func readBack(ctx context.Context, db *sql.DB, checks []pragma) error {
	c, err := db.Conn(ctx)
	if err != nil {
		return err
	}
	defer c.Close()
	for _, p := range checks {
		var got string
		if err := c.QueryRowContext(ctx, "PRAGMA "+p.name).Scan(&got); err != nil {
			return fmt.Errorf("reading back %s: %w", p.name, err)
		}
		if got != p.want {
			return fmt.Errorf("setting %s is %s, not %s", p.name, got, p.want)
		}
	}
	var text string
	if err := c.QueryRowContext(ctx, `SELECT "no such column"`).Scan(&text); err == nil {
		return fmt.Errorf("a name in double quotes was read as text: setting dqs did not take")
	}
	if _, err := c.ExecContext(ctx, "PRAGMA writable_schema=ON"); err != nil {
		return err
	}
	if err := c.QueryRowContext(ctx, "PRAGMA writable_schema").Scan(&text); err != nil {
		return err
	}
	if strings.TrimSpace(text) != "0" {
		return fmt.Errorf("the schema can be written by hand: setting defensive did not take")
	}
	return nil
}
