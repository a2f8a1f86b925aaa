package archive

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/rig"
	"rungbook/internal/store"
)

// TestAnyHistoryComesBackEqual goes through files, as a person does. The store's own
// tests hold longer histories, of more kinds, to the same.
func TestAnyHistoryComesBackEqual(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		dir := filepath.Join(t.TempDir(), "yard")
		now := clock()
		st, err := store.Open(t.Context(), store.Options{Dir: dir, Clock: func() time.Time { return now }})
		if err != nil {
			r.Fatal(err)
		}
		for i := range rapid.IntRange(0, 4).Draw(r, "writes") {
			if err := write(r, st, i); err != nil {
				r.Fatal(err)
			}
			now = now.Add(time.Duration(rapid.IntRange(0, 40).Draw(r, "hours")) * time.Hour)
		}
		to, back := filepath.Join(t.TempDir(), "a.zip"), filepath.Join(t.TempDir(), "back")
		file, err := os.Create(to)
		if err != nil {
			r.Fatal(err)
		}
		tick := func() time.Time { return now }
		form := Form{Version: "test", Clock: tick}
		key := rapid.Bool().Draw(r, "key")
		if key {
			if form.Key, err = os.ReadFile(filepath.Join(dir, "rungbook.key")); err != nil {
				r.Fatal(err)
			}
		}
		made, err := Write(t.Context(), st, file, form)
		if err := errors.Join(err, file.Close(), st.Close()); err != nil {
			r.Fatal(err)
		}
		from := Return{From: to, Dir: back, Clock: tick}
		if !key {
			from.KeyFile = filepath.Join(dir, "rungbook.key")
		}
		read, err := ReadBack(t.Context(), from)
		if err != nil {
			r.Fatal(err)
		}
		if diff := cmp.Diff(made, read); diff != "" {
			r.Fatal(diff)
		}
		if diff := cmp.Diff(rows(t, filepath.Join(dir, "rungbook.db")), rows(t, filepath.Join(back, "rungbook.db"))); diff != "" {
			r.Fatal(diff)
		}
	})
}

// write draws one write of a few facts, some of them about the same records, some to
// come, some struck out.
func write(r *rapid.T, st *store.Store, n int) error {
	text := rapid.String()
	ctx := context.Background()
	_, err := st.Write(ctx, store.Command{Key: fmt.Sprint("form", n), Content: n, Actor: access.Actor{Person: "p0"}, Role: access.Administrator}, func(tx *store.Tx) (store.Outcome, error) {
		if n == 0 {
			zone := rapid.SampledFrom([]string{"Europe/Dublin", "Asia/Kolkata", "America/St_Johns"}).Draw(r, "zone")
			if _, err := tx.Put("recorded", tx.Today()-100, rig.Yard{ID: st.YardID(), Name: tx.Seal(string(st.YardID()), "name", text.Draw(r, "yard")), Zone: zone, Grid: 15}); err != nil {
				return "", err
			}
		}
		for range rapid.IntRange(0, 5).Draw(r, "facts") {
			number := rapid.IntRange(0, 3).Draw(r, "record")
			day := tx.Today() - civil.Day(rapid.IntRange(-5, 9).Draw(r, "days back"))
			of := fmt.Sprint("p", number)
			person := people.Person{ID: id.Person(of), Name: tx.Seal(of, "name", text.Draw(r, "name")), Born: tx.Seal(of, "born", text.Draw(r, "born"))}
			at, err := tx.Put("recorded", min(day, tx.Today()), person)
			if err == nil && rapid.IntRange(0, 4).Draw(r, "struck out") == 0 {
				err = tx.StrikeOut(at)
			}
			if err == nil {
				_, err = tx.Put("counted", day, rig.Kit{ID: id.Kit(fmt.Sprint("kit", number)), Count: number + 1})
			}
			if err == nil {
				_, err = tx.Put("recorded", 0, people.Duty{ID: id.Duty(fmt.Sprint("duty", number)), Person: person.ID, Kind: people.DutyKind("drill"), Start: tx.Now(), End: tx.Now().Add(civil.Minutes(number + 1))})
			}
			if err != nil {
				return "", err
			}
		}
		return store.Outcome(text.Draw(r, "outcome")), nil
	})
	return err
}

// FuzzReadBack feeds the reader files from anywhere: it takes them or says what is
// wrong with which member, and never fails inside.
func FuzzReadBack(f *testing.F) {
	dir := filepath.Join(f.TempDir(), "yard")
	st, err := store.Open(f.Context(), store.Options{Dir: dir, Clock: clock})
	if err != nil {
		f.Fatal(err)
	}
	_, err = st.Write(f.Context(), store.Command{Key: "k", Actor: access.Actor{Person: "p"}}, func(tx *store.Tx) (store.Outcome, error) {
		_, err := tx.Put("recorded", 0, people.Employer{ID: "e", Name: tx.Seal("e", "name", "Windward")})
		return "", err
	})
	if err != nil {
		f.Fatal(err)
	}
	var b bytes.Buffer
	key, err := os.ReadFile(filepath.Join(dir, "rungbook.key"))
	if err != nil {
		f.Fatal(err)
	}
	if _, err := Write(f.Context(), st, &b, Form{Clock: clock, Key: key}); err != nil {
		f.Fatal(err)
	}
	if err := st.Close(); err != nil {
		f.Fatal(err)
	}
	members := unzip(f, b.Bytes())
	f.Add("", []byte{}, false)
	for _, p := range parts() {
		f.Add(p.name, members[p.name], p.readBack())
	}
	for _, name := range []string{manifestName, publicName, keyName} {
		f.Add(name, members[name], true)
	}
	f.Add("a whole file", b.Bytes(), false)
	f.Fuzz(func(t *testing.T, name string, text []byte, right bool) {
		file := text
		if name != "" && len(text) < 1<<20 && !bytes.HasPrefix(text, []byte("PK")) {
			changed := map[string][]byte{name: text}
			for n, m := range members {
				if n != name {
					changed[n] = m
				}
			}
			if right && name != manifestName {
				resum(t, changed)
			}
			file = rezip(t, changed)
		}
		_, err := Return{Clock: clock}.into(t.Context(), t.TempDir(), bytes.NewReader(file), int64(len(file)), common)
		if err != nil && !slices.Contains([]fault.Kind{fault.Unusable, fault.Invalid}, fault.Of(err)) {
			t.Fatalf("%v: %v", fault.Of(err), err)
		}
	})
}
