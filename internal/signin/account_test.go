package signin_test

import (
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/signin"
	"rungbook/internal/store"
)

// yard is a store with its first administrator, whose clock can be set on.
type yard struct {
	*testing.T
	door  *signin.Door
	store *store.Store
	clock time.Time
	admin access.Actor
	keys  int
}

func newYard(t *testing.T) *yard {
	t.Helper()
	y := &yard{T: t, clock: noon}
	s, err := store.Open(ctx, store.Options{Dir: t.TempDir(), Clock: func() time.Time { return y.clock }})
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
	y.store, y.door = s, signin.New(s)
	account, err := y.door.SetUp(ctx, first(code))
	if err != nil {
		t.Fatal(err)
	}
	y.admin = y.actor(account)
	return y
}

func (y *yard) key() string { y.keys++; return fmt.Sprint("key ", y.keys) }

// actor is who signs in to an account now.
func (y *yard) actor(of id.Account) access.Actor {
	y.Helper()
	round, err := y.door.Begin(ctx, of)
	if err != nil {
		y.Fatal(err)
	}
	v, err := y.door.Open(ctx, of, round)
	if err != nil {
		y.Fatal(err)
	}
	return v.Actor
}

func (y *yard) change(of id.Account) signin.Change { return signin.Change{Account: of, Key: y.key()} }

// invited is a new account and its link.
func (y *yard) invited(email string, roles ...access.Role) signin.Handed {
	y.Helper()
	h, err := y.door.Invite(ctx, y.admin, signin.Invitation{Key: y.key(), Email: email, Roles: roles})
	if err != nil {
		y.Fatal(err)
	}
	return h
}

// arrived is somebody who was invited and has set a password.
func (y *yard) arrived(email string, roles ...access.Role) access.Actor {
	y.Helper()
	h := y.invited(email, roles...)
	if _, err := y.door.Arrive(ctx, signin.Welcome{Key: y.key(), Secret: h.Secret, Name: "Bran Ó Sé", Password: sentence, Again: sentence}); err != nil {
		y.Fatal(err)
	}
	return y.actor(h.Account)
}

func want(t *testing.T, what string, err error, kind fault.Kind) {
	t.Helper()
	if err == nil || fault.Of(err) != kind {
		t.Errorf("%s: %v, want %s", what, err, kind)
	}
}

func TestALinkWorksOnceAndOnlyUntilItEnds(t *testing.T) {
	y := newYard(t)
	h := y.invited(" Bran@Carrowmoyle.example", access.Instructor)
	if at, err := y.door.Look(ctx, h.Secret); err != nil || at.Email != "bran@carrowmoyle.example" || !at.NeedsName {
		t.Fatalf("the link shows %+v, %v", at, err)
	}
	if _, err := y.door.In(ctx, "bran@carrowmoyle.example", ""); fault.Of(err) != fault.Invalid {
		t.Errorf("without a password somebody signs in: %v", err)
	}
	w := signin.Welcome{Key: "w", Secret: h.Secret, Name: " ", Password: "short", Again: "other"}
	if _, err := y.door.Arrive(ctx, w); fault.Of(err) != fault.Invalid {
		t.Errorf("an empty form: %v", err)
	}
	w.Name, w.Password, w.Again = "Bran Ó Sé", sentence, sentence
	account, err := y.door.Arrive(ctx, w)
	if err != nil || account != h.Account {
		t.Fatal(account, err)
	}
	v, err := y.door.Open(ctx, account, 1)
	if err != nil || v.Name != "Bran Ó Sé" || v.Actor.Person == "" {
		t.Errorf("who arrived is %+v, %v", v.Actor, err)
	}
	_, err = y.door.Arrive(ctx, w)
	want(t, "the same form again", err, fault.Gone)
	_, err = y.door.Look(ctx, h.Secret)
	want(t, "the link again", err, fault.Gone)

	for name, c := range map[string]struct {
		after civil.Minutes
		works bool
	}{"a minute before its end": {signin.LinkLasts - 1, true}, "at its end": {signin.LinkLasts, false}} {
		made, err := y.door.MakeLink(ctx, y.admin, y.change(account))
		if err != nil {
			t.Fatal(err)
		}
		was := y.clock
		y.clock = y.clock.Add(time.Duration(c.after) * time.Minute)
		if _, err := y.door.Look(ctx, made.Secret); (err == nil) != c.works {
			t.Errorf("%s: %v", name, err)
		}
		y.clock = was
	}
}

func TestANewLinkReplacesTheOneBefore(t *testing.T) {
	y := newYard(t)
	h := y.invited("bran@carrowmoyle.example", access.Instructor)
	again, err := y.door.MakeLink(ctx, y.admin, y.change(h.Account))
	if err != nil {
		t.Fatal(err)
	}
	_, err = y.door.Look(ctx, h.Secret)
	want(t, "the first link", err, fault.Gone)
	if _, err := y.door.Look(ctx, again.Secret); err != nil {
		t.Errorf("the second link: %v", err)
	}
}

func TestAnInvitationSentTwiceOpensOneAccountAndShowsItsLinkOnce(t *testing.T) {
	y := newYard(t)
	in := signin.Invitation{Key: "same", Email: "bran@carrowmoyle.example", Roles: []access.Role{access.Instructor}}
	one, err := y.door.Invite(ctx, y.admin, in)
	if err != nil {
		t.Fatal(err)
	}
	two, err := y.door.Invite(ctx, y.admin, in)
	if err != nil || two.Account != one.Account || two.Secret != "" {
		t.Errorf("again: %+v, %v", two, err)
	}
}

func TestWhatAnInvitationLacksIsSaid(t *testing.T) {
	y := newYard(t)
	for name, c := range map[string]struct {
		in signin.Invitation
		ok bool
	}{
		"no address":              {signin.Invitation{Roles: []access.Role{access.Auditor}}, false},
		"no address but a name":   {signin.Invitation{Email: "Bran <bran@x.example>", Roles: []access.Role{access.Auditor}}, false},
		"no role":                 {signin.Invitation{Email: "bran@x.example"}, false},
		"a role that is none":     {signin.Invitation{Email: "bran@x.example", Roles: []access.Role{"owner"}}, false},
		"responsible is not held": {signin.Invitation{Email: "bran@x.example", Roles: []access.Role{access.Responsible}}, false},
		"a trainee without one":   {signin.Invitation{Email: "bran@x.example", Roles: []access.Role{access.TraineeRole}}, false},
		"nobody's record":         {signin.Invitation{Email: "bran@x.example", Person: "none", Roles: []access.Role{access.Auditor}}, false},
		"a person with one":       {signin.Invitation{Email: "bran@x.example", Person: y.admin.Person, Roles: []access.Role{access.Auditor}}, false},
		"an address in use":       {signin.Invitation{Email: "AILBHE@carrowmoyle.example", Roles: []access.Role{access.Auditor}}, false},
		"two roles":               {signin.Invitation{Email: "bran@x.example", Roles: []access.Role{access.Administrator, access.Instructor}}, true},
	} {
		c.in.Key = y.key()
		if _, err := y.door.Invite(ctx, y.admin, c.in); (err == nil) != c.ok || err != nil && fault.Of(err) == fault.Internal {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestOnlyAnAdministratorChangesAccounts(t *testing.T) {
	y := newYard(t)
	for _, role := range []access.Role{access.Instructor, access.Auditor} {
		other := y.arrived(string(role)+"@carrowmoyle.example", role)
		_, err := y.door.Invite(ctx, other, signin.Invitation{Key: y.key(), Email: "x@x.example", Roles: []access.Role{access.Administrator}})
		want(t, string(role)+" invites", err, fault.Forbidden)
		_, err = y.door.MakeLink(ctx, other, y.change(y.admin.Account))
		want(t, string(role)+" makes a link", err, fault.Forbidden)
		want(t, string(role)+" takes a role", y.door.SetRoles(ctx, other, y.change(other.Account), []access.Role{access.Administrator}), fault.Forbidden)
		want(t, string(role)+" disables", y.door.Disable(ctx, other, y.change(y.admin.Account)), fault.Forbidden)
		want(t, string(role)+" signs another out", y.door.SignOutEverywhere(ctx, other, y.admin.Account, y.key()), fault.Forbidden)
		if _, err := y.door.Accounts(ctx, other); (err == nil) != (role == access.Auditor) {
			t.Errorf("%s sees the accounts: %v", role, err)
		}
	}
}

func TestTheLastAdministratorStays(t *testing.T) {
	y := newYard(t)
	own := y.admin.Account
	y.invited("waiting@carrowmoyle.example", access.Administrator) // has no password: can't sign in
	want(t, "disabling the last", y.door.Disable(ctx, y.admin, y.change(own)), fault.Conflict)
	want(t, "another role for the last", y.door.SetRoles(ctx, y.admin, y.change(own), []access.Role{access.Instructor}), fault.Conflict)
	if err := y.door.SetRoles(ctx, y.admin, y.change(own), []access.Role{access.Instructor, access.Administrator}); err != nil {
		t.Errorf("one role more: %v", err)
	}
	y.arrived("bran@carrowmoyle.example", access.Administrator)
	if err := y.door.Disable(ctx, y.admin, y.change(own)); err != nil {
		t.Errorf("with another one: %v", err)
	}
	if _, err := y.door.In(ctx, "ailbhe@carrowmoyle.example", sentence); err == nil {
		t.Error("a disabled account lets in")
	}
}

func TestTwoAdministratorsCannotRemoveEachOtherAtOnce(t *testing.T) {
	for range 8 {
		y := newYard(t)
		other := y.arrived("bran@carrowmoyle.example", access.Administrator)
		var errs [2]error
		var wg sync.WaitGroup
		for i, do := range []struct {
			actor access.Actor
			c     signin.Change
		}{{y.admin, y.change(other.Account)}, {other, y.change(y.admin.Account)}} {
			wg.Go(func() { errs[i] = y.door.Disable(ctx, do.actor, do.c) })
		}
		wg.Wait()
		if (errs[0] == nil) == (errs[1] == nil) {
			t.Fatalf("both or none went through: %v", errs)
		}
	}
}

func TestSigningOutEverywhereEndsSignInsAndTokens(t *testing.T) {
	y := newYard(t)
	other := y.arrived("bran@carrowmoyle.example", access.Instructor)
	secret, err := y.door.MakeToken(ctx, other, signin.NewToken{Key: y.key(), Name: "hall", Scope: access.ScopeRead, LastDay: other.Today})
	if err != nil {
		t.Fatal(err)
	}
	if err := y.door.SignOutEverywhere(ctx, y.admin, other.Account, y.key()); err != nil {
		t.Fatal(err)
	}
	if v, err := y.door.Open(ctx, other.Account, 1); err != nil || v.Actor.Account != "" {
		t.Errorf("the sign-in before: %+v, %v", v.Actor, err)
	}
	if v, _, err := y.door.OpenToken(ctx, secret); err != nil || v.Actor.Account != "" {
		t.Errorf("the token before: %+v, %v", v.Actor, err)
	}
	if v, err := y.door.Open(ctx, other.Account, 2); err != nil || v.Actor.Account == "" {
		t.Errorf("a new sign-in: %+v, %v", v.Actor, err)
	}
}

func TestAPasswordIsChangedOnlyByWhoKnowsIt(t *testing.T) {
	y := newYard(t)
	other := "the rung above the harness"
	want(t, "another present password", y.door.ChangePassword(ctx, y.admin, signin.NewPassword{Key: y.key(), Current: other, Password: other, Again: other}), fault.Invalid)
	want(t, "a short one", y.door.ChangePassword(ctx, y.admin, signin.NewPassword{Key: y.key(), Current: sentence, Password: "short", Again: "short"}), fault.Invalid)
	if err := y.door.ChangePassword(ctx, y.admin, signin.NewPassword{Key: y.key(), Current: sentence, Password: other, Again: other}); err != nil {
		t.Fatal(err)
	}
	if _, err := y.door.In(ctx, "ailbhe@carrowmoyle.example", sentence); err == nil {
		t.Error("the old password is taken")
	}
	if v, err := y.door.Open(ctx, y.admin.Account, 0); err != nil || v.Actor.Account != "" {
		t.Errorf("a sign-in of before stands: %v", err)
	}
}

func TestEveryActIsAnEntryWithoutASecret(t *testing.T) {
	y := newYard(t)
	h := y.invited("bran@carrowmoyle.example", access.Instructor)
	if _, err := y.door.Arrive(ctx, signin.Welcome{Key: y.key(), Secret: h.Secret, Name: "Bran Ó Sé", Password: sentence, Again: sentence}); err != nil {
		t.Fatal(err)
	}
	bran := y.actor(h.Account)
	token, err := y.door.MakeToken(ctx, bran, signin.NewToken{Key: y.key(), Name: "hall", Scope: access.ScopeBook, LastDay: bran.Today})
	if err != nil {
		t.Fatal(err)
	}
	tokens, err := y.door.Tokens(ctx, bran)
	if err != nil {
		t.Fatal(err)
	}
	link, err := y.door.MakeLink(ctx, y.admin, y.change(h.Account))
	if err != nil {
		t.Fatal(err)
	}
	for _, do := range []func() error{
		func() error { return y.door.RevokeToken(ctx, y.admin, tokens[0].ID, y.key()) },
		func() error { return y.door.SignOutEverywhere(ctx, bran, h.Account, y.key()) },
		func() error { return y.door.Disable(ctx, y.admin, y.change(h.Account)) },
		func() error { return y.door.Enable(ctx, y.admin, y.change(h.Account)) },
		func() error { return y.door.SetRoles(ctx, y.admin, y.change(h.Account), []access.Role{access.Auditor}) },
	} {
		if err := do(); err != nil {
			t.Fatal(err)
		}
	}
	sheet, err := y.door.Account(ctx, y.admin, h.Account)
	if err != nil {
		t.Fatal(err)
	}
	var acts []string
	for _, s := range slices.Backward(sheet.History) {
		acts = append(acts, s.Act)
	}
	if got, want := strings.Join(acts, " "), "invited password-set token-made link-made token-revoked signed-out disabled enabled roles-changed"; got != want {
		t.Errorf("entries %q, want %q", got, want)
	}
	err = y.store.Read(ctx, func(v *store.View) error {
		for i := range v.Entries() {
			e, err := v.Entry(i)
			if err != nil {
				return err
			}
			for _, secret := range []string{h.Secret, link.Secret, token, sentence, "argon2", "Bran", "carrowmoyle.example", "hall"} {
				if strings.Contains(fmt.Sprint(e)+string(e.Body), secret) {
					t.Errorf("entry %d holds %q", i, secret)
				}
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

func TestATokenEndsWithItsDayItsAccountAndItsRevoking(t *testing.T) {
	y := newYard(t)
	bran := y.arrived("bran@carrowmoyle.example", access.Instructor)
	auditor := y.arrived("audit@carrowmoyle.example", access.Auditor)
	made := func(last civil.Day) string {
		secret, err := y.door.MakeToken(ctx, bran, signin.NewToken{Key: y.key(), Name: "hall", Scope: access.ScopeRead, LastDay: last})
		if err != nil {
			t.Fatal(err)
		}
		return secret
	}
	takes := func(what, secret string, want bool) {
		t.Helper()
		v, _, err := y.door.OpenToken(ctx, secret)
		if err != nil || (v.Actor.Account != "") != want {
			t.Errorf("%s: taken %t, %v", what, v.Actor.Account != "", err)
		}
		if want && (v.Actor.Scope != access.ScopeRead || !slices.Equal(v.Actor.Roles, bran.Roles)) {
			t.Errorf("%s acts as %+v", what, v.Actor)
		}
	}
	today, later := made(bran.Today), made(bran.Today+1)
	takes("on its last day", today, true)
	takes("with a letter more", today+"x", false)
	takes("none", "", false)
	y.clock = y.clock.Add(24 * time.Hour)
	takes("the day after", today, false)
	takes("that lasts", later, true)
	list, err := y.door.Tokens(ctx, bran)
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(list, func(x signin.Token) bool { return x.LastDay == bran.Today+1 })
	want(t, "an auditor revokes", y.door.RevokeToken(ctx, auditor, list[i].ID, y.key()), fault.Forbidden)
	if err := y.door.Disable(ctx, y.admin, y.change(bran.Account)); err != nil {
		t.Fatal(err)
	}
	takes("of a disabled account", later, false)
	if err := y.door.Enable(ctx, y.admin, y.change(bran.Account)); err != nil {
		t.Fatal(err)
	}
	takes("after it was enabled again", later, false)
	for name, n := range map[string]signin.NewToken{
		"no name":          {Scope: access.ScopeRead, LastDay: bran.Today + 1},
		"no scope":         {Name: "x", LastDay: bran.Today + 1},
		"a scope too many": {Name: "x", Scope: "all", LastDay: bran.Today + 1},
		"over already":     {Name: "x", Scope: access.ScopeRead, LastDay: bran.Today},
		"too long":         {Name: "x", Scope: access.ScopeRead, LastDay: bran.Today + 2 + signin.TokenDays},
	} {
		n.Key = y.key()
		_, err := y.door.MakeToken(ctx, bran, n)
		want(t, name, err, fault.Invalid)
	}
	auditor.Scope = access.ScopeBook
	_, err = y.door.MakeToken(ctx, auditor, signin.NewToken{Key: y.key(), Name: "x", Scope: access.ScopeRead, LastDay: bran.Today + 1})
	want(t, "a token's", err, fault.Forbidden)
}

// A person of the records can be invited, and gives no name.
func TestAnAccountIsTiedToThePersonOnRecord(t *testing.T) {
	y := newYard(t)
	cmd := store.Command{Key: y.key(), Actor: y.admin, Role: access.Administrator}
	_, err := y.store.Write(ctx, cmd, func(tx *store.Tx) (store.Outcome, error) {
		_, err := tx.Put("recorded", 0, people.Person{ID: "cass", Name: tx.Seal("person/cass", "name", "Cass Uí Néill")})
		return "", err
	})
	if err != nil {
		t.Fatal(err)
	}
	h, err := y.door.Invite(ctx, y.admin, signin.Invitation{Key: y.key(), Email: "cass@x.example", Person: "cass", Roles: []access.Role{access.TraineeRole}})
	if err != nil {
		t.Fatal(err)
	}
	if at, err := y.door.Look(ctx, h.Secret); err != nil || at.NeedsName || at.Name != "Cass Uí Néill" {
		t.Fatalf("the link shows %+v, %v", at, err)
	}
	if _, err := y.door.Arrive(ctx, signin.Welcome{Key: y.key(), Secret: h.Secret, Password: sentence, Again: sentence}); err != nil {
		t.Fatal(err)
	}
	if a := y.actor(h.Account); a.Person != "cass" {
		t.Errorf("acts for %q", a.Person)
	}
}
