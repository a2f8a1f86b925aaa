package demo

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/alexedwards/argon2id"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/plan"
	"rungbook/internal/planning"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

func day(t testing.TB, s string) civil.Day {
	t.Helper()
	d, err := civil.ParseDay(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// clockAt stands still on a morning of a day.
func clockAt(d civil.Day) civil.Clock {
	at := time.Unix(int64(Zone().At(d, 9*60+10))*60, 0)
	return func() time.Time { return at }
}

func filled(t testing.TB, c Config) *store.Store {
	t.Helper()
	salts := rand.NewChaCha8([32]byte{byte(c.Seed)}) // the same salts for the same seed
	s, err := store.Open(t.Context(), store.Options{Dir: t.TempDir(), Clock: clockAt(c.Today), Random: salts})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	if err := Fill(t.Context(), s, c); err != nil {
		t.Fatal(err)
	}
	return s
}

func TestPlanningFindsNothingInTheRunningWeeks(t *testing.T) {
	for _, today := range []string{"2027-03-27", "2028-02-29"} {
		c := Config{Today: day(t, today), Seed: 1}
		s := filled(t, c)
		err := s.Read(t.Context(), func(v *store.View) error {
			var b planning.Builder
			slice, err := b.Build(v, planning.Scope{From: c.Today, Until: c.Today + 20, Everyone: true})
			if err != nil {
				return err
			}
			style := verdict.PlainStyle(v.Zone())
			style.Ref = slice.Name
			for _, f := range slice.All().Findings {
				if past, ok := slice.Session(f.Who.ID); ok && past.Start < v.Now() {
					continue // the one that waits for its signature: nothing can be mended about it
				}
				t.Errorf("%s: %s %s %s: %s; required: %s", today, f.Level, f.Rule, slice.Name(f.Who), f.Found.In(style), f.Required.In(style))
			}
			return everyCautionIsAccepted(t, v, slice)
		})
		if err != nil {
			t.Fatal(err)
		}
	}
}

// everyCautionIsAccepted compares what planning cautions about each session to
// come with what was accepted: all of a booked one, and none of a pencilled one,
// which waits for that.
func everyCautionIsAccepted(t *testing.T, v *store.View, slice *planning.Slice) error {
	accepting, waiting := 0, 0
	for _, p := range slice.Standing {
		rec, ok := slice.Session(p.ID)
		if !ok || rec.Start < v.Now() || (rec.State != session.Booked && rec.State != session.Pencilled) {
			continue
		}
		accepted, err := v.Acceptances(rec.ID)
		if err != nil {
			return err
		}
		for _, f := range slice.Change([]string{p.ID}, []plan.Session{p}).At(verdict.Cautions) {
			is := slices.ContainsFunc(accepted, func(a session.Acceptance) bool {
				return a.Rule == f.Rule && a.Subject == f.Subject() && a.Field == f.Field && a.By != ""
			})
			switch {
			case is != (rec.State == session.Booked):
				t.Errorf("caution %s of a %s session: accepted is %t", f.Rule, rec.State, is)
			case is:
				accepting++
			default:
				waiting++
			}
		}
	}
	if accepting < 3 || waiting < 3 {
		t.Errorf("%d accepted and %d waiting cautions to come, want at least 3 of each for a visitor to see", accepting, waiting)
	}
	return nil
}

// TestTheSameDaySeedAndSaltsGiveTheSameLedger fills two stores from the same
// stream of randomness, from which the salts of all texts come.
// A line of the rule book may ask for an inspection less often than the demo's past
// is long.
func TestAShortPastIsFilledToo(t *testing.T) {
	for _, c := range []Config{{Today: day(t, "2026-11-26"), Seed: 1, Years: 1}, {Today: day(t, "2026-11-22"), Seed: 2, Years: 1}} {
		filled(t, c)
	}
}

func TestTheSameDaySeedAndSaltsGiveTheSameLedger(t *testing.T) {
	c := Config{Today: day(t, "2026-11-25"), Seed: 7}
	var bodies [2][]string
	for i := range bodies {
		s := filled(t, c)
		err := s.Read(t.Context(), func(v *store.View) error {
			for n := range v.Entries() {
				e, err := v.Entry(n)
				if err != nil {
					return err
				}
				bodies[i] = append(bodies[i], string(e.Body))
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if !slices.Equal(bodies[0], bodies[1]) {
		t.Errorf("two ledgers of %d and %d entries differ", len(bodies[0]), len(bodies[1]))
	}
}

func TestAFilledStore(t *testing.T) {
	c := Config{Today: day(t, "2026-11-25"), Seed: 1}
	s := filled(t, c)
	t.Run("carries the past in its days", func(t *testing.T) { carriesThePast(t, s, c) })
	t.Run("opens each account with the printed password", func(t *testing.T) { opensAccounts(t, s) })
	t.Run("refuses for every interesting reason", func(t *testing.T) { refuses(t, s, c) })
}

func carriesThePast(t *testing.T, s *store.Store, c Config) {
	err := s.Read(t.Context(), func(v *store.View) error {
		head := v.Head()
		ref, err := v.Reference()
		if err != nil {
			return err
		}
		then := c.Today.AddMonths(-18)
		past := v.At(head, then)
		book := 0
		for _, b := range ref.RuleBooks.All(then) {
			if b.From <= then {
				book++
			}
		}
		if book != 1 {
			t.Errorf("%d versions of the rule book stood on %s, want 1", book, then)
		}
		certificates, _, err := past.Certificates(store.CertificateFilter{Limit: 500})
		if err != nil {
			return err
		}
		for _, row := range certificates {
			if row.Certificate.Kind == credential.ForProgramme && row.Certificate.Completed > then {
				t.Errorf("certificate %d of %s stood on %s", row.Certificate.Number, row.Certificate.Completed, then)
			}
		}
		first, err := v.Entry(0)
		if err != nil {
			return err
		}
		if !strings.HasPrefix(first.HappenedAt, "2024-") || !strings.HasPrefix(first.RecordedAt, "2026-11-25") {
			t.Errorf("the first entry happened at %s and was recorded at %s", first.HappenedAt, first.RecordedAt)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

func opensAccounts(t *testing.T, s *store.Store) {
	if got := len(Accounts()); got != 4 {
		t.Errorf("%d accounts, want one for each of 4 roles", got)
	}
	err := s.Read(t.Context(), func(v *store.View) error {
		for _, a := range Accounts() {
			account, hash, err := v.AccountByEmail(a.Email)
			if err != nil {
				return err
			}
			match, err := argon2id.ComparePasswordAndHash(a.Password, hash)
			if err != nil || !match {
				t.Errorf("%s: the printed password does not open it (%v)", a.Email, err)
			}
			names, err := v.PersonNames(account.Person)
			if err != nil {
				return err
			}
			if names[account.Person] != a.Name || !slices.Equal(account.Roles, []access.Role{a.Role}) {
				t.Errorf("%s opens %s as %v, want %s as %s", a.Email, names[account.Person], account.Roles, a.Name, a.Role)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

func BenchmarkFill(b *testing.B) {
	for _, years := range []int{2, 10} {
		b.Run(fmt.Sprintf("years=%d", years), func(b *testing.B) {
			for b.Loop() {
				filled(b, Config{Today: day(b, "2026-11-25"), Seed: 1, Years: years})
			}
		})
	}
}
