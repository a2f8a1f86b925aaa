package store

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"time"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
)

// SignIns keeps sign-in sessions for the session manager (its Store and
// CtxStore). They live in a file of their own, so that a page view never takes
// the ledger's writer; losing the file signs everybody out and nothing else.
// Tokens are kept hashed: who reads the file can't use them. Sessions end by the
// real clock, also where the record runs on another.
type SignIns struct {
	db   *sql.DB
	file string
}

func openSignIns(ctx context.Context, file string) (*SignIns, error) {
	if err := touch(file); err != nil {
		return nil, err
	}
	db, err := openDatabase(ctx, file, signing)
	if err != nil {
		return nil, unusable(file, err)
	}
	_, err = db.ExecContext(ctx, `CREATE TABLE IF NOT EXISTS sign_in (
    token_sha256 BLOB    PRIMARY KEY CHECK (length(token_sha256) = 32),
    data         BLOB    NOT NULL,
    expires      INTEGER NOT NULL -- seconds since 1970-01-01T00:00Z
) STRICT, WITHOUT ROWID;
CREATE INDEX IF NOT EXISTS sign_in_expires ON sign_in (expires);`)
	if err != nil {
		return nil, closing(db, unusable(file, err))
	}
	return &SignIns{db, file}, nil
}

func (s *SignIns) close() error { return s.db.Close() }

// FindCtx returns the data of a token that has not expired.
func (s *SignIns) FindCtx(ctx context.Context, token string) (data []byte, found bool, err error) {
	sum := sha256.Sum256([]byte(token))
	err = s.db.QueryRowContext(ctx, `SELECT data FROM sign_in WHERE token_sha256 = ?1 AND expires > ?2`, sum[:], civil.Real().Unix()).Scan(&data)
	found, err = noRow(err)
	return data, found, unusable(s.file, err)
}

// CommitCtx keeps the data of a token until it expires, and drops what has. Where
// nothing can be written, as on a full disk, a token that is kept already goes on
// with the data and the end that it had: whoever is signed in can read on, a rescue
// plan above all.
func (s *SignIns) CommitCtx(ctx context.Context, token string, data []byte, expires time.Time) error {
	err := s.commit(ctx, token, data, expires)
	if k := fault.Of(err); k != fault.Unusable && k != fault.Busy {
		return err
	}
	if _, found, unread := s.FindCtx(ctx, token); unread != nil || !found {
		return err
	}
	return nil
}

func (s *SignIns) commit(ctx context.Context, token string, data []byte, expires time.Time) error {
	sum := sha256.Sum256([]byte(token))
	if _, err := s.db.ExecContext(ctx, `DELETE FROM sign_in WHERE expires <= ?1`, civil.Real().Unix()); err != nil {
		return unusable(s.file, err)
	}
	data = append([]byte{}, data...) // nil would be NULL
	_, err := s.db.ExecContext(ctx, `INSERT INTO sign_in (token_sha256, data, expires) VALUES (?1, ?2, ?3)
		ON CONFLICT (token_sha256) DO UPDATE SET data = excluded.data, expires = excluded.expires`, sum[:], data, expires.Unix())
	return unusable(s.file, err)
}

// DeleteCtx forgets a token; one that is not kept is no error.
func (s *SignIns) DeleteCtx(ctx context.Context, token string) error {
	sum := sha256.Sum256([]byte(token))
	_, err := s.db.ExecContext(ctx, `DELETE FROM sign_in WHERE token_sha256 = ?1`, sum[:])
	return unusable(s.file, err)
}

// Count returns how many sign-in sessions have not ended.
func (s *SignIns) Count(ctx context.Context) (n int64, err error) {
	err = s.db.QueryRowContext(ctx, `SELECT count(*) FROM sign_in WHERE expires > ?1`, civil.Real().Unix()).Scan(&n)
	return n, unusable(s.file, err)
}

// Find is FindCtx without a context.
func (s *SignIns) Find(token string) ([]byte, bool, error) {
	return s.FindCtx(context.Background(), token)
}

// Commit is CommitCtx without a context.
func (s *SignIns) Commit(token string, data []byte, expires time.Time) error {
	return s.CommitCtx(context.Background(), token, data, expires)
}

// Delete is DeleteCtx without a context.
func (s *SignIns) Delete(token string) error { return s.DeleteCtx(context.Background(), token) }
