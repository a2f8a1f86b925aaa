package signin_test

import (
	"context"
	"errors"
	"testing"
	"time"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/signin"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

var (
	ctx  = context.Background()
	noon = time.Date(2027, time.April, 12, 12, 0, 0, 0, time.UTC)
)

const sentence = "rope before ladder, always"

// door is a store without an account and its one-time code.
func door(t *testing.T) (*signin.Door, *store.Store, string) {
	t.Helper()
	s, err := store.Open(ctx, store.Options{Dir: t.TempDir(), Clock: func() time.Time { return noon }})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	code, err := s.SetupCode(ctx)
	if err != nil {
		t.Fatal(err)
	}
	return signin.New(s), s, code
}

func first(code string) signin.First {
	return signin.First{Key: "first", Code: code, Name: "Ailbhe Ó Ríordáin", Email: " Ailbhe@Carrowmoyle.example ", Password: sentence, Again: sentence}
}

func TestTheFirstAdministratorSignsInByAddressAndPassword(t *testing.T) {
	d, _, code := door(t)
	if none, err := d.NeedsSetUp(ctx); err != nil || !none {
		t.Fatalf("an empty store needs to be set up: %t, %v", none, err)
	}
	account, err := d.SetUp(ctx, first(code))
	if err != nil {
		t.Fatal(err)
	}
	if none, err := d.NeedsSetUp(ctx); err != nil || none {
		t.Errorf("after that: %t, %v", none, err)
	}
	for name, c := range map[string]struct {
		email, password string
		in              bool
	}{
		"as given":                 {"ailbhe@carrowmoyle.example", sentence, true},
		"typed another way":        {"  AILBHE@carrowmoyle.EXAMPLE", sentence, true},
		"a letter of the password": {"ailbhe@carrowmoyle.example", sentence + "!", false},
		"the password trimmed":     {"ailbhe@carrowmoyle.example", " " + sentence, false},
		"no password":              {"ailbhe@carrowmoyle.example", "", false},
		"another address":          {"bran@carrowmoyle.example", sentence, false},
		"no address":               {"", sentence, false},
	} {
		got, err := d.In(ctx, c.email, c.password)
		if (err == nil) != c.in || (got.ID == account) != c.in {
			t.Errorf("%s: %+v, %v; want in: %t", name, got, err, c.in)
		}
		if err != nil && (fault.Of(err) != fault.Invalid || fault.Message(err) != "This e-mail address and password do not belong together.") {
			t.Errorf("%s: %v, want the same sentence whatever is wrong", name, err)
		}
	}
	v, err := d.Open(ctx, account, 0)
	if err != nil || v.Name != "Ailbhe Ó Ríordáin" || !access.May(v.Actor, access.ChangeYard) || v.Head < 0 || v.Root == "" {
		t.Errorf("the visit: %+v, %v", v, err)
	}
}

func TestTheFormOfTheFirstAdministratorSaysWhatIsWrong(t *testing.T) {
	d, s, code := door(t)
	for field, spoil := range map[string]func(*signin.First){
		"name":     func(f *signin.First) { f.Name = "  " },
		"email":    func(f *signin.First) { f.Email = "nowhere" },
		"password": func(f *signin.First) { f.Password, f.Again = "fourteen chars", "fourteen chars" },
		"again":    func(f *signin.First) { f.Again += "." },
		"code":     func(f *signin.First) { f.Code = "000-000" },
	} {
		f := first(code)
		spoil(&f)
		_, err := d.SetUp(ctx, f)
		var form *fault.Form
		var one *fault.Error
		said := errors.As(err, &form) && form.Fields[field] != "" || errors.As(err, &one) && one.Field == field
		if !said {
			t.Errorf("%s: %v, want a message at the field", field, err)
		}
	}
	f := first(code)
	f.Password, f.Again = "fifteen letters", "fifteen letters" // the shortest that is taken
	if _, err := d.SetUp(ctx, f); err != nil {
		t.Errorf("a password of 15 characters: %v", err)
	}
	f.Key = "second"
	if _, err := d.SetUp(ctx, f); err == nil {
		t.Error("the code worked twice")
	}
	if err := s.Read(ctx, func(v *store.View) error {
		if n, err := v.CountAccounts(); err != nil || n != 1 {
			t.Errorf("%d accounts, %v", n, err)
		}
		return nil
	}); err != nil {
		t.Fatal(err)
	}
}

func TestAVisitHasTheRolesAndAppointmentsOfItsDay(t *testing.T) {
	d, s, code := door(t)
	account, err := d.SetUp(ctx, first(code))
	if err != nil {
		t.Fatal(err)
	}
	v, err := d.Open(ctx, account, 0)
	if err != nil {
		t.Fatal(err)
	}
	today := v.Today
	put := func(key string, records ...any) {
		t.Helper()
		_, err := s.Write(ctx, store.Command{Key: key, Actor: v.Actor, Role: access.Administrator}, func(tx *store.Tx) (store.Outcome, error) {
			for _, r := range records {
				if _, err := tx.Put("put", tx.Today(), r); err != nil {
					return "", err
				}
			}
			return "", nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	put("appoint",
		people.Appointment{ID: "over", Person: v.Actor.Person, Field: verdict.Energy, From: today - 9, Until: today - 1},
		people.Appointment{ID: "last-day", Person: v.Actor.Person, Field: verdict.HeightRescue, From: today - 9, Until: today},
		people.Appointment{ID: "to-come", Person: v.Actor.Person, Field: verdict.Lifting, From: today + 1, Until: today + 9})
	v, err = d.Open(ctx, account, 0)
	if err != nil || len(v.Actor.Appointments) != 1 || v.Actor.Appointments[0].ID != "last-day" {
		t.Errorf("appointments %+v, %v; want the one that stands today", v.Actor.Appointments, err)
	}
	put("end", access.Account{ID: account, Person: v.Actor.Person, Roles: []access.Role{access.Administrator}, Ended: true})
	if _, err := d.In(ctx, "ailbhe@carrowmoyle.example", sentence); err == nil {
		t.Error("an account that ended lets in")
	}
	for _, who := range []id.Account{account, "", "nobody"} {
		if v, err := d.Open(ctx, who, 0); err != nil || v.Actor.Account != "" || v.Actor.Person != "" {
			t.Errorf("%q opens a visit of %+v, %v; want nobody's", who, v.Actor, err)
		}
	}
}
