// Package signin is the way in: a person proves an e-mail address and a password,
// or a program shows a token, and becomes an actor; the very first administrator
// is set up with a one-time code, everybody else by a link. It keeps accounts and
// no sessions; httpd does. Read signin.go, then account.go.
package signin

import (
	"context"
	"crypto/rand"
	"net/mail"
	"strings"

	"github.com/alexedwards/argon2id"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/store"
)

// Door lets people in.
type Door struct {
	store *store.Store
	ids   *id.Maker
}

// New returns a door over a store.
func New(s *store.Store) *Door { return &Door{s, id.NewMaker(rand.Reader)} }

// Hashing is the cost of a password: argon2id with the parameters of RFC 9106
// section 4, second recommended option (64 MiB, 3 passes, 4 lanes).
var Hashing = &argon2id.Params{Memory: 64 * 1024, Iterations: 3, Parallelism: 4, SaltLength: 16, KeyLength: 32}

// decoy is hashed against when no account has the address, so that the answer
// takes as long either way.
const decoy = "$argon2id$v=19$m=65536,t=3,p=4$WRKAFPoh2BgBNHbGBh9KiQ$2W5Ji0nDf2zpRpS088mhmDbezXGukkeCNxtpoFbbcFk"

// Address is an e-mail address as accounts are known by it, however it is typed.
func Address(email string) string { return strings.ToLower(strings.TrimSpace(email)) }

// In returns the account of an e-mail address and password. The error is the
// same whether the address or the password is wrong.
func (d *Door) In(ctx context.Context, email, password string) (access.Account, error) {
	var account access.Account
	hash := decoy
	err := d.store.Read(ctx, func(v *store.View) error {
		a, h, err := v.AccountByEmail(Address(email))
		if fault.Of(err) == fault.NotFound {
			return nil
		}
		if err == nil && !a.Ended && h != "" { // without a password it waits for its link
			account, hash = a, h
		}
		return err
	})
	if err != nil {
		return access.Account{}, err
	}
	ok, err := argon2id.ComparePasswordAndHash(password, hash)
	if err != nil && account.ID != "" {
		return access.Account{}, err
	}
	if !ok || account.ID == "" {
		return access.Account{}, fault.Field("password", "This e-mail address and password do not belong together.")
	}
	return account, nil
}

// Visit is what every page needs to know of the moment and of who looks.
type Visit struct {
	Actor access.Actor // zero for a visitor who is not signed in
	Name  string
	Yard  string
	Zone  civil.Zone
	Now   civil.Instant
	Today civil.Day
	Head  int64  // last entry of the ledger, -1 = none
	Root  string // whole root hash of the ledger, "" before the first entry
	Ref   *store.Reference
}

// Open returns the visit of an account's person, with the roles and appointments
// that stand today. An account that is unknown or has ended, and a sign-in of an
// earlier round, is nobody.
func (d *Door) Open(ctx context.Context, account id.Account, round int64) (out Visit, err error) {
	err = d.store.Read(ctx, func(v *store.View) error {
		now, err := v.RoundOf(account)
		if err != nil {
			return err
		}
		if now != round {
			account = ""
		}
		return out.open(v, account)
	})
	return out, err
}

func (o *Visit) open(v *store.View, account id.Account) (err error) {
	if o.Ref, err = v.Reference(); err != nil {
		return err
	}
	o.Zone, o.Now, o.Today, o.Head = v.Zone(), v.Now(), v.Today(), v.Head()
	if yard, ok := o.Ref.YardOn(o.Today); ok {
		o.Yard = o.Ref.Text(yard.Name)
	}
	if size, root, _, err := v.Checkpoint(); err != nil {
		return err
	} else if size > 0 {
		o.Root = root.String()
	}
	return o.enter(v, account)
}
func (o *Visit) enter(v *store.View, account id.Account) error {
	if account == "" {
		return nil
	}
	a, err := v.Account(account)
	if fault.Of(err) == fault.NotFound {
		return nil
	}
	if err != nil || a.Ended {
		return err
	}
	o.Actor = access.Actor{Account: a.ID, Person: a.Person, Roles: a.Roles, Today: o.Today}
	for _, ap := range o.Ref.Appointments.All(o.Today) {
		if ap.Person == a.Person && ap.On(o.Today) {
			o.Actor.Appointments = append(o.Actor.Appointments, ap)
		}
	}
	names, err := v.PersonNames(a.Person)
	o.Name = names[a.Person]
	return err
}

// First is the form that sets up the first administrator.
type First struct {
	Key, Code, Name, Email, Password, Again string
}

// SetUp makes the first administrator. It works once, with the code that the
// terminal printed, while there is no account.
func (d *Door) SetUp(ctx context.Context, f First) (id.Account, error) {
	fields := fault.Fields{}
	checkName(fields, f.Name)
	checkEmail(fields, f.Email)
	checkPassword(fields, f.Password, f.Again)
	if err := fields.Err(); err != nil {
		return "", err
	}
	hash, err := argon2id.CreateHash(f.Password, Hashing)
	if err != nil {
		return "", err
	}
	var account id.Account
	_, err = d.store.Write(ctx, store.Command{Key: f.Key, Content: []string{"set-up", f.Email, f.Name}, Role: access.Administrator},
		func(tx *store.Tx) (store.Outcome, error) {
			if err := tx.UseSetupCode(strings.TrimSpace(f.Code)); err != nil {
				return "", err
			}
			person := id.Person(tx.ID())
			account = id.Account(tx.ID())
			name := tx.Seal("person/"+string(person), "name", strings.TrimSpace(f.Name))
			if _, err := tx.Put("recorded", tx.Today(), people.Person{ID: person, Name: name}); err != nil {
				return "", err
			}
			if _, err := tx.Put("opened", tx.Today(), access.Account{ID: account, Person: person, Roles: []access.Role{access.Administrator}}); err != nil {
				return "", err
			}
			return store.Outcome(account), tx.SetSecret(account, Address(f.Email), hash)
		})
	return account, err
}

func checkName(fields fault.Fields, name string) {
	if strings.TrimSpace(name) == "" {
		fields.Add("name", "Give your name as it should stand in the record.")
	}
}

func checkEmail(fields fault.Fields, email string) {
	if a, err := mail.ParseAddress(strings.TrimSpace(email)); err != nil || a.Name != "" {
		fields.Add("email", "Give an e-mail address such as name@example.org.")
	}
}

func checkPassword(fields fault.Fields, password, again string) {
	if len([]rune(password)) < MinPassword {
		fields.Add("password", "Give at least %d characters; a sentence is good.", MinPassword)
	}
	if password != again {
		fields.Add("again", "The two passwords differ.")
	}
}

// MinPassword is the fewest characters of a password (NIST SP 800-63B-4 section
// 3.1.1.2 asks for 15 where a password is the only factor; from memory).
const MinPassword = 15

// NeedsSetUp reports whether no account exists yet.
func (d *Door) NeedsSetUp(ctx context.Context) (bool, error) {
	var none bool
	err := d.store.Read(ctx, func(v *store.View) error {
		n, err := v.CountAccounts()
		none = n == 0
		return err
	})
	return none, err
}
