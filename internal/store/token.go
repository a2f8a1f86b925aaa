package store

import (
	"context"
	"crypto/sha256"
	"database/sql"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
)

// Token is what a program shows in the name of an account. Its secret is kept
// hashed and stands nowhere else.
type Token struct {
	ID       id.Token
	Account  id.Account
	Name     string // typed by its owner
	Scope    access.Scope
	MadeAt   civil.Instant
	LastDay  civil.Day     // last local day on which it is taken
	EndedAt  civil.Instant // 0 = not revoked
	LastUsed civil.Instant // to the hour, 0 = never
}

// Ended reports whether a token is taken no more on a day.
func (t Token) Ended(on civil.Day) bool { return t.EndedAt != 0 || t.LastDay < on }

const tokenColumns = `id, account, name, scope, made_at, last_day, ended_at, last_used`

func scanToken(rows *sql.Rows) (t Token, err error) {
	var last string
	if err := rows.Scan(&t.ID, &t.Account, &t.Name, &t.Scope, &t.MadeAt, &last, &t.EndedAt, &t.LastUsed); err != nil {
		return t, err
	}
	t.LastDay, err = civil.ParseDay(last)
	return t, err
}

// AddToken keeps a token with the hash of its secret.
func (tx *Tx) AddToken(t Token, secret string) error {
	sum := sha256.Sum256([]byte(secret))
	return tx.c.exec(tx.ctx, `INSERT INTO token (id, sha256, account, name, scope, made_at, last_day) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)`,
		string(t.ID), sum[:], string(t.Account), t.Name, string(t.Scope), int64(tx.now), t.LastDay.String())
}

// EndToken revokes a token; one that is revoked stays so.
func (tx *Tx) EndToken(of id.Token) error {
	return tx.c.exec(tx.ctx, `UPDATE token SET ended_at = ?2 WHERE id = ?1 AND ended_at = 0`, string(of), int64(tx.now))
}

// EndTokens revokes every token of an account.
func (tx *Tx) EndTokens(of id.Account) error {
	return tx.c.exec(tx.ctx, `UPDATE token SET ended_at = ?2 WHERE account = ?1 AND ended_at = 0`, string(of), int64(tx.now))
}

// Token returns one token. Error: fault.NotFound.
func (v *View) Token(of id.Token) (Token, error) {
	return oneToken(list(v, scanToken, `SELECT `+tokenColumns+` FROM token WHERE id = ?3`, string(of)))
}

// TokenBySecret returns the token that has a secret, an ended one too. Error:
// fault.NotFound.
func (v *View) TokenBySecret(secret string) (Token, error) {
	sum := sha256.Sum256([]byte(secret))
	return oneToken(list(v, scanToken, `SELECT `+tokenColumns+` FROM token WHERE sha256 = ?3`, sum[:]))
}

func oneToken(list []Token, err error) (Token, error) {
	if err != nil {
		return Token{}, err
	}
	if len(list) == 0 {
		return Token{}, fault.New(fault.NotFound, "There is no such token.")
	}
	return list[0], nil
}

// TokensOf returns the tokens of an account, the one made last first.
func (v *View) TokensOf(of id.Account) ([]Token, error) {
	return list(v, scanToken, `SELECT `+tokenColumns+` FROM token WHERE account = ?3 ORDER BY made_at DESC, id`, string(of))
}

// usedAgain is how long a token's last use may be out of date.
const usedAgain civil.Minutes = 60

// NoteTokenUse keeps when a token was last used, at most once in an hour.
func (s *Store) NoteTokenUse(ctx context.Context, t Token) error {
	now := s.Now()
	if now < t.LastUsed.Add(usedAgain) {
		return nil
	}
	return s.operate(ctx, func(ctx context.Context, c *conn) error {
		return c.exec(ctx, `UPDATE token SET last_used = ?2 WHERE id = ?1`, string(t.ID), int64(now))
	})
}
