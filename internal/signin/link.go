package signin

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"strings"

	"github.com/alexedwards/argon2id"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/store"
)

// LinkLasts is how long a link that sets a password can be used.
const LinkLasts civil.Minutes = 72 * 60

// Handed is a link that was just made. Secret is "" where the form was sent twice:
// it is shown once and kept nowhere.
type Handed struct {
	Account id.Account
	Secret  string
	Ends    civil.Instant
}

// Invitation is the form that opens an account.
type Invitation struct {
	Key, Email string
	Person     id.Person // "" for somebody who has no record; they give their name
	Roles      []access.Role
}

// Invite opens an account without a password and makes the link that sets it.
func (d *Door) Invite(ctx context.Context, actor access.Actor, in Invitation) (out Handed, err error) {
	role, err := access.Require(actor, access.ChangeAccounts)
	if err != nil {
		return out, err
	}
	fields := fault.Fields{}
	checkEmail(fields, in.Email)
	checkRoles(fields, in.Roles, in.Person, "person")
	if err := fields.Err(); err != nil {
		return out, err
	}
	cmd := store.Command{Key: in.Key, Content: []any{"invite", Address(in.Email), in.Person, in.Roles}, Actor: actor, Role: role}
	outcome, err := d.store.Write(ctx, cmd, func(tx *store.Tx) (store.Outcome, error) {
		if in.Person != "" {
			if _, err := tx.View().Person(in.Person); fault.Of(err) == fault.NotFound {
				return "", fault.Field("person", "This person is not in the records. Choose one from the list.")
			} else if err != nil {
				return "", err
			}
		}
		if err := oneEach(tx, in.Person, ""); err != nil {
			return "", err
		}
		a := access.Account{ID: id.Account(tx.ID()), Person: in.Person, Roles: inOrder(in.Roles)}
		if err := put(tx, "invited", a); err != nil {
			return "", err
		}
		if err := tx.SetEmail(a.ID, in.Email); err != nil {
			return "", err
		}
		return store.Outcome(a.ID), out.make(tx, a.ID)
	})
	out.Account = id.Account(outcome)
	return out, err
}

func (h *Handed) make(tx *store.Tx, of id.Account) error {
	h.Secret, h.Ends = rand.Text(), tx.Now().Add(LinkLasts)
	return tx.SetLink(of, h.Secret, h.Ends)
}

// MakeLink makes a new link for an account, to set its first password or another.
// A link made before is useless; the password stands until the link is used.
func (d *Door) MakeLink(ctx context.Context, actor access.Actor, c Change) (out Handed, err error) {
	out.Account = c.Account
	err = d.change(ctx, actor, c, "link-made", nil, func(tx *store.Tx, a *access.Account) error {
		if a.Ended {
			return fault.New(fault.Conflict, "This account is disabled. Enable it first.")
		}
		return out.make(tx, a.ID)
	})
	return out, err
}

// Arrival is whom a link lets in.
type Arrival struct {
	Email, Name string
	NeedsName   bool // the account has no person yet
}

// Look tells whom a link lets in. It uses nothing up. Error: fault.Gone.
func (d *Door) Look(ctx context.Context, secret string) (out Arrival, err error) {
	err = d.store.Read(ctx, func(v *store.View) error {
		_, out, err = arrival(v, secret)
		return err
	})
	return out, err
}

func arrival(v *store.View, secret string) (a access.Account, out Arrival, err error) {
	of, err := v.LinkOf(secret)
	if err != nil {
		return a, out, err
	}
	if a, err = v.Account(of); err != nil {
		return a, out, err
	}
	if out.Email, err = v.EmailOf(of); err != nil {
		return a, out, err
	}
	names, err := v.PersonNames(a.Person)
	out.Name, out.NeedsName = names[a.Person], a.Person == ""
	return a, out, err
}

// Welcome is the form behind a link.
type Welcome struct{ Key, Secret, Name, Password, Again string }

// Arrive sets the password of the account a link belongs to, with the person's
// name where there is no record of them, and spends the link. Whoever was signed
// in to it is so no more. Error: fault.Gone, also for a form that was sent twice.
func (d *Door) Arrive(ctx context.Context, w Welcome) (id.Account, error) {
	at, err := d.Look(ctx, w.Secret) // before the hash, which costs memory
	if err != nil {
		return "", err
	}
	fields := fault.Fields{}
	if at.NeedsName {
		checkName(fields, w.Name)
	}
	checkPassword(fields, w.Password, w.Again)
	if err := fields.Err(); err != nil {
		return "", err
	}
	hash, err := argon2id.CreateHash(w.Password, Hashing)
	if err != nil {
		return "", err
	}
	var account access.Account
	err = d.store.Read(ctx, func(v *store.View) error { account, _, err = arrival(v, w.Secret); return err })
	if err != nil {
		return "", err
	}
	fresh := account.Person == ""
	if fresh {
		account.Person = id.Person(d.ids.New())
	}
	spent := sha256.Sum256([]byte(w.Secret))
	cmd := store.Command{Key: w.Key, Content: []string{"arrive", hex.EncodeToString(spent[:])},
		Actor: access.Actor{Account: account.ID, Person: account.Person, Roles: account.Roles}, Role: account.Roles[0]}
	ran := false
	_, err = d.store.Write(ctx, cmd, func(tx *store.Tx) (store.Outcome, error) {
		ran = true
		now, _, err := arrival(tx.View(), w.Secret) // spent, or changed, meanwhile?
		if err != nil {
			return "", err
		}
		if fresh && now.Person == "" {
			name := tx.Seal("person/"+string(account.Person), "name", strings.TrimSpace(w.Name))
			if _, err := tx.Put("recorded", tx.Today(), people.Person{ID: account.Person, Name: name}); err != nil {
				return "", err
			}
			now.Person = account.Person
		}
		return store.Outcome(now.ID), setPassword(tx, now, hash, true)
	})
	if err == nil && !ran {
		err = fault.New(fault.Gone, "This link has been used. Sign in with the password you set.")
	}
	return account.ID, err
}

// setPassword gives an account a password and begins a new round of sign-ins.
func setPassword(tx *store.Tx, a access.Account, hash string, arrived bool) error {
	email, err := tx.View().EmailOf(a.ID)
	if err != nil {
		return err
	}
	if err := tx.SetSecret(a.ID, email, hash); err != nil {
		return err
	}
	if err := tx.DropLink(a.ID); err != nil {
		return err
	}
	if err := tx.EndSignIns(a.ID); err != nil {
		return err
	}
	act := "password-changed"
	if arrived {
		act = "password-set"
	}
	return put(tx, act, a)
}

// NewPassword is the form by which somebody changes their own password.
type NewPassword struct{ Key, Current, Password, Again string }

// ChangePassword changes the actor's own password and ends their other sign-ins.
// Tokens stay.
func (d *Door) ChangePassword(ctx context.Context, actor access.Actor, n NewPassword) error {
	fields := fault.Fields{}
	checkPassword(fields, n.Password, n.Again)
	if err := fields.Err(); err != nil {
		return err
	}
	email, err := d.EmailOf(ctx, actor.Account)
	if err != nil {
		return err
	}
	if a, err := d.In(ctx, email, n.Current); fault.Of(err) == fault.Invalid || err == nil && a.ID != actor.Account {
		return fault.Field("current", "That is not your password.")
	} else if err != nil {
		return err
	}
	hash, err := argon2id.CreateHash(n.Password, Hashing)
	if err != nil {
		return err
	}
	role, err := access.Require(actor, access.ChangeOwnPassword)
	if err != nil {
		return err
	}
	cmd := store.Command{Key: n.Key, Content: []any{"change-password", actor.Account}, Actor: actor, Role: role}
	_, err = d.store.Write(ctx, cmd, func(tx *store.Tx) (store.Outcome, error) {
		a, err := tx.View().Account(actor.Account)
		if err != nil {
			return "", err
		}
		return "", setPassword(tx, a, hash, false)
	})
	return err
}

// EmailOf returns the address an account signs in with, "" for none.
func (d *Door) EmailOf(ctx context.Context, of id.Account) (email string, err error) {
	err = d.store.Read(ctx, func(v *store.View) error { email, err = v.EmailOf(of); return err })
	return email, err
}

// Begin notes that an account was signed in to, and returns the round of its
// sign-ins.
func (d *Door) Begin(ctx context.Context, of id.Account) (round int64, err error) {
	if err := d.store.NoteSignIn(ctx, of); err != nil {
		return 0, err
	}
	err = d.store.Read(ctx, func(v *store.View) error { round, err = v.RoundOf(of); return err })
	return round, err
}
