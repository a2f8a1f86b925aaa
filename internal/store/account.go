package store

import (
	"context"
	"crypto/sha256"
	"crypto/subtle"
	"database/sql"
	"errors"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/id"
)

// SetSecret sets how an account signs in: its e-mail address and the hash of its
// password. Neither is in the ledger. Errors: fault.Conflict for an address that
// another account uses, fault.Invalid for none.
func (tx *Tx) SetSecret(of id.Account, email, passwordHash string) error {
	email = foldEmail(email)
	if email == "" {
		return fault.Field("email", "An account needs an e-mail address.")
	}
	var other string
	taken, err := tx.c.one(tx.ctx, []any{&other}, `SELECT account FROM account_secret WHERE email = ?1 AND account <> ?2`, email, string(of))
	if err != nil {
		return err
	}
	if taken {
		return &fault.Error{Kind: fault.Conflict, Field: "email", Message: "Another account uses this e-mail address."}
	}
	return tx.c.exec(tx.ctx, `INSERT INTO account_secret (account, email, password_hash) VALUES (?1, ?2, ?3)
		ON CONFLICT (account) DO UPDATE SET email = excluded.email, password_hash = excluded.password_hash`,
		string(of), email, passwordHash)
}

func foldEmail(s string) string { return strings.ToLower(strings.TrimSpace(s)) }

// AccountByEmail returns the account that signs in with an e-mail address and
// the hash of its password; an ended account too. Error: fault.NotFound.
func (v *View) AccountByEmail(email string) (access.Account, string, error) {
	var of, hash string
	found, err := v.one([]any{&of, &hash}, `SELECT account, password_hash FROM account_secret WHERE email = ?3`, foldEmail(email))
	if err != nil {
		return access.Account{}, "", err
	}
	if !found {
		return access.Account{}, "", fault.New(fault.NotFound, "No account uses this e-mail address.")
	}
	a, err := v.Account(id.Account(of))
	return a, hash, err
}

// EmailOf returns an account's e-mail address, "" for none.
func (v *View) EmailOf(of id.Account) (email string, err error) {
	_, err = v.one([]any{&email}, `SELECT email FROM account_secret WHERE account = ?3`, string(of))
	return email, err
}

// Account returns one account. Error: fault.NotFound.
func (v *View) Account(of id.Account) (access.Account, error) {
	r, err := v.Reference()
	if err != nil {
		return access.Account{}, err
	}
	a, ok := r.Accounts.On(of, v.day)
	if !ok {
		return access.Account{}, fault.New(fault.NotFound, "There is no account %s.", of)
	}
	return a, nil
}

// AccountsOf returns the accounts of a person, by id.
func (v *View) AccountsOf(p id.Person) (out []access.Account, err error) {
	r, err := v.Reference()
	if err != nil {
		return nil, err
	}
	for _, a := range r.Accounts.All(v.day) {
		if a.Person == p {
			out = append(out, a)
		}
	}
	return out, nil
}

// CountAccounts returns how many accounts there are, ended ones included.
func (v *View) CountAccounts() (int, error) {
	r, err := v.Reference()
	if err != nil {
		return 0, err
	}
	return r.Accounts.Len(), nil
}

// SetupCode returns a new one-time code with which the first administrator is
// set up, and makes every earlier one useless. It is "" once there is an account.
// Only its hash is kept.
func (s *Store) SetupCode(ctx context.Context) (code string, err error) {
	c, err := s.writer(ctx)
	if err != nil {
		return "", err
	}
	defer func() { s.write <- c }()
	var one int
	found, err := c.one(ctx, []any{&one}, `SELECT 1 FROM reference WHERE kind = 'account' LIMIT 1`)
	if err != nil || found {
		return "", s.usable(err)
	}
	s.mu.Lock()
	code = s.maker.New()
	s.mu.Unlock()
	code = strings.Join([]string{code[:4], code[4:8], code[8:12], code[12:]}, "-")
	sum := setupSum(code)
	err = c.exec(ctx, `INSERT INTO setup_code (one, sha256) VALUES (1, ?1) ON CONFLICT (one) DO UPDATE SET sha256 = excluded.sha256`, sum[:])
	return code, s.usable(err)
}

// setupSum ignores case, hyphens and spaces: the code is typed from a terminal.
func setupSum(code string) [sha256.Size]byte {
	return sha256.Sum256([]byte(strings.NewReplacer("-", "", " ", "").Replace(strings.ToLower(code))))
}

// UseSetupCode spends the one-time code. Errors: fault.Gone where there is none
// any more, fault.Invalid for another one.
func (tx *Tx) UseSetupCode(code string) error {
	var want []byte
	found, err := tx.c.one(tx.ctx, []any{&want}, `SELECT sha256 FROM setup_code WHERE one = 1`)
	if err != nil {
		return err
	}
	if !found {
		return fault.New(fault.Gone, "The first administrator is set up already; sign in instead.")
	}
	if got := setupSum(code); subtle.ConstantTimeCompare(got[:], want) != 1 {
		return fault.Field("code", "That is not the code printed on the terminal.")
	}
	return tx.c.exec(tx.ctx, `DELETE FROM setup_code WHERE one = 1`)
}

// noRow turns an absent row into found = false.
func noRow(err error) (bool, error) {
	if errors.Is(err, sql.ErrNoRows) {
		return false, nil
	}
	return err == nil, err
}
