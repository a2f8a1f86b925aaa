package store

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"os"
	"strconv"
	"strings"

	"rungbook/internal/fault"
	"rungbook/migrations"
)

// applicationID marks the file as Rungbook's in SQLite's header ("Rung").
const applicationID = 0x52756e67

// A step is one embedded migration.
type step struct {
	version int
	name    string
	sql     string
	sum     string // hex SHA-256 of the file
}

// steps returns the embedded migrations in order.
func steps() ([]step, error) {
	names, err := fs.Glob(migrations.Files, "*.sql")
	if err != nil {
		return nil, err
	}
	var out []step
	for i, name := range names { // sorted by name
		text, err := migrations.Files.ReadFile(name)
		if err != nil {
			return nil, err
		}
		number, _, _ := strings.Cut(name, "_")
		version, err := strconv.Atoi(number)
		if err != nil || version != i+1 {
			return nil, fmt.Errorf("migration %s should have number %04d", name, i+1)
		}
		sum := sha256.Sum256(text)
		out = append(out, step{version, name, string(text), hex.EncodeToString(sum[:])})
	}
	return out, nil
}

// migrate applies the steps that a database lacks, each in one transaction. It
// is our own runner of 60 lines, because the ready-made one keeps no checksum of
// what it applied. Errors: fault.Unusable for a database that a newer program or
// other steps made, or that is not Rungbook's.
func migrate(ctx context.Context, db *sql.DB, file string, log *slog.Logger) error {
	all, err := steps()
	if err != nil {
		return err
	}
	if err := claim(ctx, db, file); err != nil {
		return err
	}
	applied, err := appliedSteps(ctx, db)
	if err != nil {
		return err
	}
	for i, a := range applied {
		if i >= len(all) {
			return fault.New(fault.Unusable, "%s was made by a newer Rungbook (schema %d, this program knows %d); use that program", file, len(applied), len(all))
		}
		if a != all[i].sum {
			return fault.New(fault.Unusable, "%s was made with another form of schema step %s; use the program that made it", file, all[i].name)
		}
	}
	if len(applied) > 0 && len(applied) < len(all) {
		if err := keepBefore(ctx, db, file, len(all), log); err != nil {
			return err
		}
	}
	for _, m := range all[len(applied):] {
		if err := apply(ctx, db, m); err != nil {
			return fmt.Errorf("schema step %s: %w", m.name, err)
		}
		if len(applied) > 0 { // a new database takes all of them, which is no news
			log.Info("schema step applied", "step", m.name, "file", file)
		}
	}
	return nil
}

// keepBefore copies a database as it stands before its first missing step, beside
// it; one that was kept before, by an upgrade that did not end, is kept as it is.
func keepBefore(ctx context.Context, db *sql.DB, file string, to int, log *slog.Logger) error {
	kept := fmt.Sprintf("%s.before-schema-%d", file, to)
	if _, err := os.Stat(kept); err == nil {
		return nil
	}
	part := kept + ".part"
	if err := os.Remove(part); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if _, err := db.ExecContext(ctx, "VACUUM INTO ?1", part); err != nil {
		return fmt.Errorf("copy the database before its schema changes: %w", err)
	}
	if err := errors.Join(os.Chmod(part, 0o600), os.Rename(part, kept)); err != nil {
		return err
	}
	log.Info("database copied before its schema changes", "to", kept)
	return nil
}

// claim marks a new file as ours and refuses one that another program made.
func claim(ctx context.Context, db *sql.DB, file string) error {
	var owner, tables int
	if err := db.QueryRowContext(ctx, "PRAGMA application_id").Scan(&owner); err != nil {
		return err
	}
	if owner == applicationID {
		return nil
	}
	if err := db.QueryRowContext(ctx, "SELECT count(*) FROM sqlite_schema").Scan(&tables); err != nil {
		return err
	}
	if owner != 0 || tables != 0 {
		return fault.New(fault.Unusable, "%s is damaged or is not a Rungbook database; restore it from a backup", file)
	}
	_, err := db.ExecContext(ctx, fmt.Sprintf("PRAGMA application_id = %d", applicationID))
	return err
}

// appliedSteps returns the checksums of the steps the database has, in order.
func appliedSteps(ctx context.Context, db *sql.DB) (sums []string, err error) {
	_, err = db.ExecContext(ctx, `CREATE TABLE IF NOT EXISTS migration (
    version INTEGER PRIMARY KEY CHECK (version >= 1),
    name    TEXT NOT NULL,
    sha256  TEXT NOT NULL CHECK (length(sha256) = 64)
) STRICT`)
	if err != nil {
		return nil, err
	}
	rows, err := db.QueryContext(ctx, "SELECT sha256 FROM migration ORDER BY version")
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	for rows.Next() {
		var sum string
		if err := rows.Scan(&sum); err != nil {
			return nil, err
		}
		sums = append(sums, sum)
	}
	return sums, rows.Err()
}

func apply(ctx context.Context, db *sql.DB, m step) error {
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	_, err = tx.ExecContext(ctx, m.sql)
	if err == nil {
		_, err = tx.ExecContext(ctx, "INSERT INTO migration (version, name, sha256) VALUES (?1, ?2, ?3)", m.version, m.name, m.sum)
	}
	if err != nil {
		return errors.Join(err, tx.Rollback())
	}
	return tx.Commit()
}
