package archive

import (
	"archive/zip"
	"bytes"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/jsonschema-go/jsonschema"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/demo"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/store"
)

var clock = func() time.Time { return time.Date(2027, 3, 2, 8, 0, 0, 0, time.UTC) }

// demoArchive is the archive of a demo yard of one year, with one draft, an open link
// and a token, made once.
var demoArchive = sync.OnceValues(func() (out struct{ file, key []byte }, err error) {
	dir, err := os.MkdirTemp("", "rungbook-archive-test-")
	if err != nil {
		return out, err
	}
	defer os.RemoveAll(dir)
	ctx := context.Background()
	yard := filepath.Join(dir, "yard")
	st, err := store.Open(ctx, store.Options{Dir: yard, Clock: clock})
	if err != nil {
		return out, err
	}
	err = demo.Fill(ctx, st, demo.Config{Today: civil.DayOf(2027, 3, 2), Seed: 11, Years: 1})
	if err == nil {
		err = keepBeside(ctx, st)
	}
	if err = errors.Join(err, st.Close()); err != nil {
		return out, err
	}
	to := filepath.Join(dir, "yard.zip")
	if _, err := Make(ctx, Wish{Dir: yard, To: to, Key: true, Version: "test", Clock: clock}); err != nil {
		return out, err
	}
	if out.key, err = os.ReadFile(filepath.Join(yard, "rungbook.key")); err != nil {
		return out, err
	}
	out.file, err = os.ReadFile(to)
	return out, err
})

// keepBeside puts something into every table beside the ledger.
func keepBeside(ctx context.Context, st *store.Store) error {
	var account id.Account
	err := st.Read(ctx, func(v *store.View) error {
		uses, err := v.AccountUses()
		account = slices.Sorted(maps.Keys(uses))[0]
		return err
	})
	if err != nil {
		return err
	}
	_, err = st.Write(ctx, store.Command{Key: "beside", Actor: access.Actor{Person: "p"}}, func(tx *store.Tx) (store.Outcome, error) {
		token := store.Token{ID: id.Token(tx.ID()), Account: account, Name: "Wall", Scope: access.Scope("read"), LastDay: tx.Today() + 30}
		return "", errors.Join(tx.SetLink(account, "secret", tx.Now().Add(60)), tx.AddToken(token, "another secret"))
	})
	if err != nil {
		return err
	}
	problem := []byte(`{"problem":1}`)
	made, err := st.AddDraft(ctx, "draft", store.Draft{Kind: "intake", State: "queued", MadeAt: st.Now(), MadeBy: "p", Entry: 3, From: civil.DayOf(2027, 3, 8),
		Until: civil.DayOf(2027, 3, 12), Wish: `{"wish":"⚙"}`, Effort: 4, Seed: -7, Version: "v", ProblemSHA: sum(problem)}, store.DraftFiles{Problem: problem})
	if err != nil {
		return err
	}
	err = st.ChangeDraft(ctx, made, func(c *store.DraftChange) error {
		c.State, c.Plan, c.Points = "done", []byte(`{"plan":1}`), []store.DraftPoint{{Tenths: 1, Steps: 2, Cost: 3, Bound: 2}}
		return nil
	})
	return errors.Join(err, st.Tell(ctx, made, []store.Told{{Person: "p", At: st.Now(), By: "p"}}))
}

func sum(b []byte) string {
	s := sha256.Sum256(b)
	return hex.EncodeToString(s[:])
}

// whole returns the demo's archive as a file, with its key.
func whole(t testing.TB) (path string, b []byte) {
	t.Helper()
	a, err := demoArchive()
	if err != nil {
		t.Fatal(err)
	}
	path = filepath.Join(t.TempDir(), "whole.zip")
	if err := os.WriteFile(path, a.file, 0o600); err != nil {
		t.Fatal(err)
	}
	return path, a.file
}

// rows reads every table of a database but those that a start fills by itself.
func rows(t testing.TB, file string) map[string]string {
	t.Helper()
	db, err := sql.Open("sqlite", "file:"+file+"?mode=ro")
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	out := map[string]string{}
	for _, table := range tables(t) {
		if slices.ContainsFunc(leftOut, func(l LeftOut) bool { return l.Table == table }) {
			continue
		}
		r, err := db.Query("SELECT * FROM " + table)
		if err != nil {
			t.Fatal(err)
		}
		columns, err := r.Columns()
		if err != nil {
			t.Fatal(err)
		}
		var all []string
		for r.Next() {
			values, into := make([]any, len(columns)), make([]any, len(columns))
			for i := range values {
				into[i] = &values[i]
			}
			if err := r.Scan(into...); err != nil {
				t.Fatal(err)
			}
			all = append(all, fmt.Sprint(values...))
		}
		if err := errors.Join(r.Err(), r.Close()); err != nil {
			t.Fatal(err)
		}
		slices.Sort(all)
		out[table] = fmt.Sprint(len(all), " rows ", sum([]byte(strings.Join(all, "\n"))))
	}
	return out
}

// tables reads the names of the tables from the golden schema.
func tables(t testing.TB) (out []string) {
	t.Helper()
	text, err := os.ReadFile("../../testdata/schema.sql")
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range regexp.MustCompile(`(?m)^CREATE TABLE (\w+)`).FindAllStringSubmatch(string(text), -1) {
		out = append(out, m[1])
	}
	return out
}

func TestEveryTableIsInThePartsOrDerivedOrLeftOutForAReason(t *testing.T) {
	where := map[string]int{}
	for _, p := range parts() {
		for _, table := range p.tables {
			if table != "person_name" { // derived, from the texts
				where[table]++
			}
		}
	}
	for _, table := range store.DerivedTables() {
		where[table]++
	}
	for _, l := range leftOut {
		where[l.Table]++
		if l.What == "" || l.Why == "" {
			t.Errorf("%s is left out for no reason", l.Table)
		}
	}
	delete(where, "sign_in") // of a database of its own
	all := tables(t)
	if len(all) < 30 {
		t.Fatalf("only %d tables were found", len(all))
	}
	for _, table := range all {
		if where[table] != 1 {
			t.Errorf("table %s has %d places: name it in parts(), in the store's derived tables or in leftOut, and only there", table, where[table])
		}
		delete(where, table)
	}
	for table := range where {
		t.Errorf("%s is named and is no table", table)
	}
}

func TestADemoComesBackEqual(t *testing.T) {
	path, first := whole(t)
	dir := filepath.Join(t.TempDir(), "a", "yard")
	m, err := ReadBack(t.Context(), Return{From: path, Dir: dir, Clock: clock})
	if err != nil {
		t.Fatal(err)
	}
	again := filepath.Join(t.TempDir(), "again.zip")
	if _, err := Make(t.Context(), Wish{Dir: dir, To: again, Key: true, Version: "test", Clock: clock}); err != nil {
		t.Fatal(err)
	}
	second, err := os.ReadFile(again)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(first, second) {
		t.Error("archived again, it gives other bytes")
	}
	for _, f := range m.Files {
		if p := slices.IndexFunc(parts(), func(p part) bool { return p.name == f.Name }); p >= 0 && parts()[p].readBack() && f.Lines == 0 {
			t.Errorf("%s is empty: the test proves nothing of it", f.Name)
		}
	}
	files := 0
	for _, f := range m.Files {
		if hash, ok := strings.CutPrefix(f.Name, evidenceStart); ok {
			files++
			if _, err := store.ReadFile(dir, hash); err != nil {
				t.Errorf("a file of evidence does not come back: %v", err)
			}
		}
	}
	if files < 20 {
		t.Errorf("%d files of evidence in the archive: the test proves nothing of them", files)
	}
	list, err := os.ReadDir(filepath.Dir(dir))
	if err != nil || len(list) != 1 {
		t.Errorf("beside the folder stands %v, %v", list, err)
	}
	for name, want := range map[string]os.FileMode{"": 0o700, "rungbook.key": 0o600, "rungbook.db": 0o600} {
		info, err := os.Stat(filepath.Join(dir, name))
		if err != nil || info.Mode().Perm() != want {
			t.Errorf("%q has mode %v, %v; want %v", name, info.Mode(), err, want)
		}
	}
}

func TestEveryLineFitsTheSchemaBesideItAndAnotherDoesNot(t *testing.T) {
	_, b := whole(t)
	members := unzip(t, b)
	seen := 0
	for _, p := range parts() {
		var s jsonschema.Schema
		if err := json.Unmarshal(members[schemaName(p)], &s); err != nil {
			t.Fatalf("%s: %v", schemaName(p), err)
		}
		if s.Schema != dialect {
			t.Errorf("%s is of the dialect %q", schemaName(p), s.Schema)
		}
		r, err := s.Resolve(nil)
		if err != nil {
			t.Fatalf("%s: %v", schemaName(p), err)
		}
		for i, line := range slices.Collect(bytes.Lines(members[p.name])) {
			var v map[string]any
			if err := json.Unmarshal(line, &v); err != nil {
				t.Fatalf("%s line %d: %v", p.name, i+1, err)
			}
			if err := r.Validate(v); err != nil {
				t.Fatalf("%s line %d: %v\n%.600s", p.name, i+1, err, line)
			}
			seen++
			if i > 0 {
				continue
			}
			v["more"] = 1
			if r.Validate(v) == nil {
				t.Errorf("%s: the schema takes a member that there is none of", p.name)
			}
			delete(v, "more")
			delete(v, slices.Sorted(maps.Keys(s.Properties))[0])
			for _, name := range s.Required {
				was, had := v[name]
				delete(v, name)
				if r.Validate(v) == nil {
					t.Errorf("%s: the schema takes a line without %s", p.name, name)
				}
				if had {
					v[name] = was
				}
			}
		}
	}
	if seen < 3000 {
		t.Errorf("only %d lines were looked at", seen)
	}
}

func TestAnArchiveIsNeverWrittenOverNorReadIntoAFolderThatHoldsSomething(t *testing.T) {
	path, before := whole(t)
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "note"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := ReadBack(t.Context(), Return{From: path, Dir: dir, Clock: clock}); fault.Of(err) != fault.Invalid {
		t.Errorf("into a folder that holds something: %v", err)
	}
	yard := filepath.Join(t.TempDir(), "yard")
	if _, err := ReadBack(t.Context(), Return{From: path, Dir: yard, Clock: clock}); err != nil {
		t.Fatal(err)
	}
	if _, err := Make(t.Context(), Wish{Dir: yard, To: path, Clock: clock}); fault.Of(err) != fault.Invalid {
		t.Errorf("over a file: %v", err)
	}
	if after, err := os.ReadFile(path); err != nil || !bytes.Equal(before, after) {
		t.Errorf("the file changed, %v", err)
	}
	if _, err := Make(t.Context(), Wish{Dir: t.TempDir(), To: filepath.Join(t.TempDir(), "x"), Clock: clock}); fault.Of(err) != fault.Unusable {
		t.Errorf("of a folder without records: %v", err)
	}
	if _, err := Make(t.Context(), Wish{Dir: yard, To: filepath.Join(t.TempDir(), "no", "x"), Clock: clock}); fault.Of(err) != fault.Unusable {
		t.Errorf("into no folder: %v", err)
	}
}

func TestTheKeyGoesInByChoiceOnly(t *testing.T) {
	path, _ := whole(t)
	a, err := demoArchive()
	if err != nil {
		t.Fatal(err)
	}
	yard := filepath.Join(t.TempDir(), "yard")
	keyFile := filepath.Join(yard, "rungbook.key")
	if _, err := ReadBack(t.Context(), Return{From: path, Dir: yard, Clock: clock}); err != nil {
		t.Fatal(err)
	}
	if _, err := ReadBack(t.Context(), Return{From: path, Dir: filepath.Join(t.TempDir(), "y"), KeyFile: keyFile, Clock: clock}); fault.Of(err) != fault.Invalid {
		t.Errorf("two keys: %v", err)
	}
	bare := filepath.Join(t.TempDir(), "bare.zip")
	if _, err := Make(t.Context(), Wish{Dir: yard, To: bare, Version: "test", Clock: clock}); err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile(bare)
	if err != nil {
		t.Fatal(err)
	}
	secret := strings.SplitN(strings.TrimSpace(string(a.key)), "+", 5)[4] // PRIVATE+KEY+name+hash+data
	for name, text := range unzip(t, b) {
		if name == keyName || bytes.Contains(text, []byte(secret)) {
			t.Errorf("the key is in %s", name)
		}
	}
	if _, err := ReadBack(t.Context(), Return{From: bare, Dir: filepath.Join(t.TempDir(), "y"), Clock: clock}); fault.Of(err) != fault.Invalid || !strings.Contains(err.Error(), "--key") {
		t.Errorf("without a key: %v", err)
	}
	if _, err := ReadBack(t.Context(), Return{From: bare, Dir: filepath.Join(t.TempDir(), "y"), KeyFile: keyFile, Clock: clock}); err != nil {
		t.Errorf("with the kept key: %v", err)
	}
	other := filepath.Join(t.TempDir(), "other")
	st, err := store.Open(t.Context(), store.Options{Dir: other, Clock: clock})
	if err != nil {
		t.Fatal(err)
	}
	if err := st.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := ReadBack(t.Context(), Return{From: bare, Dir: filepath.Join(t.TempDir(), "y"), KeyFile: filepath.Join(other, "rungbook.key"), Clock: clock}); fault.Of(err) != fault.Unusable || !strings.Contains(err.Error(), "not signed by this key") {
		t.Errorf("with another key: %v", err)
	}
}

func TestAnEmptyRecordComesBackEmpty(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "empty")
	st, err := store.Open(t.Context(), store.Options{Dir: dir, Clock: clock})
	if err != nil {
		t.Fatal(err)
	}
	if err := st.Close(); err != nil {
		t.Fatal(err)
	}
	to := filepath.Join(t.TempDir(), "empty.zip")
	if _, err := Make(t.Context(), Wish{Dir: dir, To: to, Key: true, Clock: clock}); err != nil {
		t.Fatal(err)
	}
	m, err := ReadBack(t.Context(), Return{From: to, Dir: filepath.Join(t.TempDir(), "y"), Clock: clock})
	if err != nil || m.Entries != 0 || m.Head != "" {
		t.Errorf("%+v, %v", m, err)
	}
}

func TestWhoeverLeavesEndsTheWork(t *testing.T) {
	path, _ := whole(t)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	dir := filepath.Join(t.TempDir(), "yard")
	if _, err := ReadBack(ctx, Return{From: path, Dir: dir, Clock: clock}); !errors.Is(err, context.Canceled) {
		t.Errorf("reading back: %v", err)
	}
	list, err := os.ReadDir(filepath.Dir(dir))
	if err != nil || len(list) > 0 {
		t.Errorf("what is left: %v, %v", list, err)
	}
	if _, err := ReadBack(t.Context(), Return{From: path, Dir: dir, Clock: clock}); err != nil {
		t.Fatal(err)
	}
	st, err := store.Open(t.Context(), store.Options{Dir: dir, Clock: clock})
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	if _, err := Write(ctx, st, io.Discard, Form{Clock: clock}); !errors.Is(err, context.Canceled) {
		t.Errorf("writing: %v", err)
	}
}

// unzip reads every member.
func unzip(t testing.TB, b []byte) map[string][]byte {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(b), int64(len(b)))
	if err != nil {
		t.Fatal(err)
	}
	out := map[string][]byte{}
	for _, f := range z.File {
		in, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		if out[f.Name], err = io.ReadAll(in); err != nil {
			t.Fatal(err)
		}
	}
	return out
}
