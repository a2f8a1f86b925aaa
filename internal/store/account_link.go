package store

import (
	"context"
	"crypto/sha256"
	"database/sql"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
)

// AccountUse is how an account signs in, as a list of accounts shows it.
type AccountUse struct {
	Email      string
	Password   bool          // it has one, so somebody can sign in
	Round      int64         // of its sign-ins; those of an earlier one are over
	LastSignIn civil.Instant // 0 = never
	LinkEnds   civil.Instant // of the link that waits to be used, 0 = none
}

// AccountUses returns how each account signs in.
func (v *View) AccountUses() (map[id.Account]AccountUse, error) {
	out := map[id.Account]AccountUse{}
	err := v.each(func(rows *sql.Rows) error {
		var of id.Account
		var u AccountUse
		err := rows.Scan(&of, &u.Email, &u.Password, &u.Round, &u.LastSignIn, &u.LinkEnds)
		out[of] = u
		return err
	}, `SELECT s.account, s.email, s.password_hash <> '', s.round, s.last_sign_in, coalesce(l.ends, 0)
		FROM account_secret AS s LEFT JOIN account_link AS l ON l.account = s.account ORDER BY s.account`)
	return out, err
}

// RoundOf returns the round of an account's sign-ins, 0 for one that never was signed in to.
func (v *View) RoundOf(of id.Account) (round int64, err error) {
	_, err = v.one([]any{&round}, `SELECT round FROM account_secret WHERE account = ?3`, string(of))
	return round, err
}

// EndSignIns begins a new round: whoever is signed in to the account is so no more.
func (tx *Tx) EndSignIns(of id.Account) error {
	return tx.c.exec(tx.ctx, `UPDATE account_secret SET round = round + 1 WHERE account = ?1`, string(of))
}

// SetEmail sets the address an account signs in with and leaves its password.
// Errors as of SetSecret.
func (tx *Tx) SetEmail(of id.Account, email string) error {
	hash := ""
	if _, err := tx.c.one(tx.ctx, []any{&hash}, `SELECT password_hash FROM account_secret WHERE account = ?1`, string(of)); err != nil {
		return err
	}
	return tx.SetSecret(of, email, hash)
}

// SetLink makes a secret the one link of an account, until it ends. Only its hash
// is kept.
func (tx *Tx) SetLink(of id.Account, secret string, ends civil.Instant) error {
	sum := sha256.Sum256([]byte(secret))
	return tx.c.exec(tx.ctx, `INSERT INTO account_link (account, sha256, ends) VALUES (?1, ?2, ?3)
		ON CONFLICT (account) DO UPDATE SET sha256 = excluded.sha256, ends = excluded.ends`, string(of), sum[:], int64(ends))
}

// DropLink makes an account's link useless.
func (tx *Tx) DropLink(of id.Account) error {
	return tx.c.exec(tx.ctx, `DELETE FROM account_link WHERE account = ?1`, string(of))
}

// LinkOf returns the account whose link has a secret. Errors: fault.Gone for one
// that was used, replaced or has ended: which of them is not told.
func (v *View) LinkOf(secret string) (of id.Account, err error) {
	sum := sha256.Sum256([]byte(secret))
	found, err := v.one([]any{&of}, `SELECT account FROM account_link WHERE sha256 = ?3 AND ends > ?4`, sum[:], int64(v.Now()))
	if err == nil && !found {
		err = fault.New(fault.Gone, "This link has been used, replaced or has ended. Ask an administrator for a new one.")
	}
	return of, err
}

// NoteSignIn keeps when an account was last signed in to.
func (s *Store) NoteSignIn(ctx context.Context, of id.Account) error {
	return s.operate(ctx, func(ctx context.Context, c *conn) error {
		return c.exec(ctx, `UPDATE account_secret SET last_sign_in = ?2 WHERE account = ?1`, string(of), int64(s.Now()))
	})
}
