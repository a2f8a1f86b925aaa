package store

import (
	"context"
	"strings"
	"testing"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
)

func TestAnAccountSignsInByItsAddress(t *testing.T) {
	b := newBench(t)
	b.yard()
	b.do(func(tx *Tx) error {
		if err := putAll(tx, access.Account{ID: "a", Person: "brona", Roles: []access.Role{access.Instructor}}, access.Account{ID: "b", Person: "ivo"}); err != nil {
			return err
		}
		return tx.SetSecret("a", " Brona@Example.invalid ", "hash-1")
	})
	b.read(func(v *View) error {
		account, hash, err := v.AccountByEmail("brona@EXAMPLE.invalid")
		if err != nil || account.ID != "a" || hash != "hash-1" {
			t.Errorf("got %+v, %q, %v", account, hash, err)
		}
		if _, _, err := v.AccountByEmail("ivo@example.invalid"); fault.Of(err) != fault.NotFound {
			t.Errorf("an unknown address: %v", err)
		}
		if _, err := v.Account("none"); fault.Of(err) != fault.NotFound {
			t.Errorf("an unknown account: %v", err)
		}
		of, err := v.AccountsOf("ivo")
		if err != nil || len(of) != 1 || of[0].ID != "b" {
			t.Errorf("of ivo: %v, %v", of, err)
		}
		if email, err := v.EmailOf("a"); err != nil || email != "brona@example.invalid" {
			t.Errorf("address %q, %v", email, err)
		}
		n, err := v.CountAccounts()
		if n != 2 || err != nil {
			t.Errorf("%d accounts, %v", n, err)
		}
		return nil
	})
	if err := b.try(func(tx *Tx) error { return tx.SetSecret("b", "BRONA@example.invalid", "x") }); fault.Of(err) != fault.Conflict {
		t.Errorf("an address that is used: %v", err)
	}
	if err := b.try(func(tx *Tx) error { return tx.SetSecret("b", " ", "x") }); fault.Of(err) != fault.Invalid {
		t.Errorf("no address: %v", err)
	}
	b.do(func(tx *Tx) error { return tx.SetSecret("a", "brona@example.invalid", "hash-2") })
	b.read(func(v *View) error {
		_, hash, err := v.AccountByEmail("brona@example.invalid")
		if err != nil || hash != "hash-2" {
			t.Errorf("after a new password: %q, %v", hash, err)
		}
		return nil
	})
}

func TestTheSetupCodeWorksOnceAndOnlyBeforeTheFirstAccount(t *testing.T) {
	b := newBench(t)
	ctx := context.Background()
	old, err := b.SetupCode(ctx)
	if err != nil {
		t.Fatal(err)
	}
	code, err := b.SetupCode(ctx) // the program was started again
	if err != nil || code == old || len(code) != 19 {
		t.Fatalf("codes %q, %q, %v", old, code, err)
	}
	use := func(code string) error {
		return b.try(func(tx *Tx) error {
			if err := tx.UseSetupCode(code); err != nil {
				return err
			}
			return putAll(tx, people.Person{ID: "brona"}, access.Account{ID: id.Account(tx.ID()), Person: "brona"})
		})
	}
	for _, wrong := range []string{old, "", code + "x"} {
		if err := use(wrong); fault.Of(err) != fault.Invalid {
			t.Errorf("code %q: %v", wrong, err)
		}
	}
	if strings.Contains(b.snapshot(), strings.ReplaceAll(code, "-", "")) {
		t.Error("the code itself is kept")
	}
	if err := use(strings.ToUpper(strings.ReplaceAll(code, "-", " "))); err != nil {
		t.Error(err)
	}
	if err := use(code); fault.Of(err) != fault.Gone {
		t.Errorf("a second time: %v", err)
	}
	if again, err := b.SetupCode(ctx); err != nil || again != "" {
		t.Errorf("a code with an account there: %q, %v", again, err)
	}
}
