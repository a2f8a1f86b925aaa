package signin

import (
	"cmp"
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/ledger"
	"rungbook/internal/store"
)

// Account is a way in with what a list of accounts tells of it.
type Account struct {
	access.Account
	store.AccountUse
	Name string // of its person; "" until they have given it
}

// Invited reports whether nobody has set its password yet.
func (a Account) Invited() bool { return !a.Ended && !a.Password }

// Accounts returns every account, by name, then address.
func (d *Door) Accounts(ctx context.Context, actor access.Actor) (out []Account, err error) {
	if _, err := access.Require(actor, access.SeeAccounts); err != nil {
		return nil, err
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		out, err = accounts(v)
		return err
	})
	return out, err
}

func accounts(v *store.View) (out []Account, err error) {
	ref, err := v.Reference()
	if err != nil {
		return nil, err
	}
	uses, err := v.AccountUses()
	if err != nil {
		return nil, err
	}
	var persons []id.Person
	for _, a := range ref.Accounts.All(v.Today()) {
		out, persons = append(out, Account{Account: a, AccountUse: uses[a.ID]}), append(persons, a.Person)
	}
	names, err := v.PersonNames(persons...)
	for i := range out {
		out[i].Name = names[out[i].Person]
	}
	slices.SortStableFunc(out, func(a, b Account) int {
		return cmp.Or(cmp.Compare(a.Name, b.Name), cmp.Compare(a.Email, b.Email))
	})
	return out, err
}

// Sheet is one account with how it came to be and what acts in its name.
type Sheet struct {
	Account
	Rev     int64
	History []Step // latest first
	Tokens  []store.Token
}

// Step is one act on an account.
type Step struct {
	Act, By string // By is a name, "" for the account's own person before they had one
	At      civil.Instant
}

// Account returns one account's sheet.
func (d *Door) Account(ctx context.Context, actor access.Actor, of id.Account) (out Sheet, err error) {
	if _, err := access.Require(actor, access.SeeAccounts); err != nil {
		return out, err
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		list, err := accounts(v)
		if err != nil {
			return err
		}
		i := slices.IndexFunc(list, func(a Account) bool { return a.ID == of })
		if i < 0 {
			return fault.New(fault.NotFound, "There is no such account.")
		}
		out.Account = list[i]
		if out.Tokens, err = v.TokensOf(of); err != nil {
			return err
		}
		entries, err := v.EntriesOf("account", string(of))
		if err != nil {
			return err
		}
		out.Rev = entries[len(entries)-1].Rev
		out.History, err = steps(v, entries)
		return err
	})
	return out, err
}

func steps(v *store.View, entries []ledger.Entry) ([]Step, error) {
	var who []id.Person
	for _, e := range entries {
		who = append(who, e.Actor)
	}
	names, err := v.PersonNames(who...)
	var out []Step
	for _, e := range slices.Backward(entries) {
		out = append(out, Step{Act: e.Act, By: names[e.Actor], At: e.Recorded()})
	}
	return out, err
}

// Change names one account as a page showed it, and the form that changes it.
type Change struct {
	Account id.Account
	Rev     int64
	Key     string
}

// SetRoles gives an account other roles.
func (d *Door) SetRoles(ctx context.Context, actor access.Actor, c Change, roles []access.Role) error {
	return d.change(ctx, actor, c, "roles-changed", roles, func(tx *store.Tx, a *access.Account) error {
		if a.Ended {
			return fault.New(fault.Conflict, "This account is disabled. Enable it first.")
		}
		fields := fault.Fields{}
		checkRoles(fields, roles, a.Person, "account")
		a.Roles = inOrder(roles)
		return fields.Err()
	})
}

// Disable ends an account: its sign-ins, its tokens and its link are useless at
// once, and stay so when it is enabled again.
func (d *Door) Disable(ctx context.Context, actor access.Actor, c Change) error {
	return d.change(ctx, actor, c, "disabled", nil, func(tx *store.Tx, a *access.Account) error {
		if a.Ended {
			return fault.New(fault.Conflict, "This account is disabled already.")
		}
		a.Ended = true
		if err := tx.DropLink(a.ID); err != nil {
			return err
		}
		return endAll(tx, a.ID)
	})
}

// Enable lets an account that was disabled be used again, with its old password.
func (d *Door) Enable(ctx context.Context, actor access.Actor, c Change) error {
	return d.change(ctx, actor, c, "enabled", nil, func(tx *store.Tx, a *access.Account) error {
		if !a.Ended {
			return fault.New(fault.Conflict, "This account is not disabled.")
		}
		a.Ended = false
		return oneEach(tx, a.Person, a.ID)
	})
}

// endAll ends an account's sign-ins and tokens.
func endAll(tx *store.Tx, of id.Account) error {
	if err := tx.EndSignIns(of); err != nil {
		return err
	}
	return tx.EndTokens(of)
}

// SignOutEverywhere ends an account's sign-ins and tokens: one's own, or any by
// who may change accounts.
func (d *Door) SignOutEverywhere(ctx context.Context, actor access.Actor, of id.Account, key string) error {
	action := access.ChangeAccounts
	if of == actor.Account {
		action = access.ChangeOwnPassword
	}
	return d.act(ctx, actor, action, Change{Account: of, Key: key}, "signed-out", nil, func(tx *store.Tx, a *access.Account) error {
		return endAll(tx, a.ID)
	})
}

func (d *Door) change(ctx context.Context, actor access.Actor, c Change, act string, content any, do func(*store.Tx, *access.Account) error) error {
	return d.act(ctx, actor, access.ChangeAccounts, c, act, content, do)
}

// act changes one account and puts it as an entry, if an administrator is left
// who can sign in.
func (d *Door) act(ctx context.Context, actor access.Actor, action access.Action, c Change, act string, content any, do func(*store.Tx, *access.Account) error) error {
	role, err := access.Require(actor, action)
	if err != nil {
		return err
	}
	cmd := store.Command{Key: c.Key, Content: []any{act, c.Account, content}, Actor: actor, Role: role}
	_, err = d.store.Write(ctx, cmd, func(tx *store.Tx) (store.Outcome, error) {
		a, err := tx.View().Account(c.Account)
		if err != nil {
			return "", err
		}
		if c.Rev != 0 {
			if err := tx.Expect("account", string(a.ID), c.Rev); err != nil {
				return "", err
			}
		}
		a.Roles = slices.Clone(a.Roles)
		if err := do(tx, &a); err != nil {
			return "", err
		}
		return store.Outcome(a.ID), put(tx, act, a)
	})
	return err
}

// put writes an account and refuses to leave the yard without an administrator.
// It judges inside the one writer's transaction, so two who act at once can't
// each remove the other.
func put(tx *store.Tx, act string, a access.Account) error {
	if _, err := tx.Put(act, tx.Today(), a); err != nil {
		return err
	}
	list, err := accounts(tx.View())
	if err != nil {
		return err
	}
	left := slices.ContainsFunc(list, func(x Account) bool {
		return !x.Ended && x.Password && slices.Contains(x.Roles, access.Administrator)
	})
	if !left {
		return fault.New(fault.Conflict, "This is the last administrator who can sign in. Make another one first.")
	}
	return nil
}

// checkRoles refuses roles that no account may hold. field is where the person is
// asked for.
func checkRoles(fields fault.Fields, roles []access.Role, person id.Person, field string) {
	if len(roles) == 0 {
		fields.Add("roles", "Tick at least one role. Who is to do nothing is disabled.")
	}
	for _, r := range roles {
		if !slices.Contains(access.Roles(), r) {
			fields.Add("roles", "%q is no role. Tick one of those shown.", r)
		}
	}
	if slices.Contains(roles, access.TraineeRole) && person == "" {
		fields.Add(field, "A trainee sees their own record: choose whose it is.")
	}
}

// inOrder returns roles in the order of all roles, each once.
func inOrder(roles []access.Role) []access.Role {
	return slices.DeleteFunc(access.Roles(), func(r access.Role) bool { return !slices.Contains(roles, r) })
}

// oneEach refuses a second account of one person.
func oneEach(tx *store.Tx, person id.Person, own id.Account) error {
	if person == "" {
		return nil
	}
	list, err := tx.View().AccountsOf(person)
	if slices.ContainsFunc(list, func(a access.Account) bool { return a.ID != own && !a.Ended }) {
		return fault.Field("person", "This person has an account already. Change that one.")
	}
	return err
}
