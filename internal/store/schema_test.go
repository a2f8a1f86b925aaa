package store

import (
	"context"
	"database/sql"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"rungbook/internal/fault"
)

var update = flag.Bool("update", false, "write the golden files anew")

// TestTheSchemaIsTheGoldenOne shows in review what a migration does to the whole.
func TestTheSchemaIsTheGoldenOne(t *testing.T) {
	b := newBench(t)
	var got strings.Builder
	b.read(func(v *View) error {
		return v.each(func(rows *sql.Rows) error {
			var text string
			err := rows.Scan(&text)
			fmt.Fprintf(&got, "%s;\n\n", text)
			return err
		}, `SELECT sql FROM sqlite_schema WHERE sql IS NOT NULL ORDER BY tbl_name, type <> 'table', name`)
	})
	golden := filepath.Join("..", "..", "testdata", "schema.sql")
	if *update {
		if err := os.WriteFile(golden, []byte(got.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got.String()); diff != "" {
		t.Errorf("testdata/schema.sql differs (go test ./internal/store -update writes it):\n%s", diff)
	}
}

func TestEveryTableIsStrictAndOfANamedKind(t *testing.T) {
	named := map[string]bool{
		"entry": true, "tlog_hash": true, "checkpoint": true, // ledger
		"private_value": true, "person_name": true, "command": true, "account_secret": true, "setup_code": true, // private
		"draft": true, "draft_progress": true, "told": true, // drafts
		"account_link": true, "token": true, // accounts
		"migration": true,
	}
	for _, d := range derivedTables {
		named[d.name] = true
	}
	b := newBench(t)
	b.read(func(v *View) error {
		return v.each(func(rows *sql.Rows) error {
			var name string
			var strict bool
			err := rows.Scan(&name, &strict)
			if !strict || !named[name] {
				t.Errorf("table %s: strict %t, of a named kind %t", name, strict, named[name])
			}
			delete(named, name)
			return err
		}, `SELECT name, strict FROM pragma_table_list WHERE schema = 'main' AND type = 'table' AND name NOT LIKE 'sqlite_%'`)
	})
	if len(named) > 0 {
		t.Errorf("named but not there: %v", named)
	}
}

// tamper runs statements on a closed store's file, as another program would.
func (b *bench) tamper(statements ...string) {
	b.t.Helper()
	db, err := sql.Open("sqlite", "file:"+b.file(databaseName)+"?_pragma=busy_timeout(1000)")
	if err != nil {
		b.t.Fatal(err)
	}
	for _, s := range statements {
		if _, err := db.Exec(s); err != nil {
			b.t.Fatalf("%s: %v", s, err)
		}
	}
	if err := db.Close(); err != nil {
		b.t.Fatal(err)
	}
}

// refuses fails unless opening again ends in one clear sentence with said in it.
func (b *bench) refuses(said string) {
	b.t.Helper()
	s, err := Open(context.Background(), b.options())
	if err == nil {
		b.t.Fatal(errors.Join(fmt.Errorf("opened; want an error that says %q", said), s.Close()))
	}
	message := fault.Message(err)
	if fault.Of(err) != fault.Unusable || !strings.Contains(message, said) || strings.Contains(message, "\n") {
		b.t.Errorf("got %v: %q; want unusable with %q", fault.Of(err), err, said)
	}
}

// closed returns a bench whose store holds a small yard and is closed.
func closed(t *testing.T) *bench {
	t.Helper()
	b := &bench{t: t, dir: t.TempDir(), at: morning}
	b.open()
	b.yard()
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	return b
}

func TestADatabaseOfANewerProgramIsLeftAlone(t *testing.T) {
	b := closed(t)
	b.tamper(`INSERT INTO migration (version, name, sha256) SELECT max(version) + 1, '9999_later.sql', hex(zeroblob(32)) FROM migration`)
	b.refuses("newer Rungbook")
}

func TestAnOlderDatabaseIsCopiedBeforeItsSchemaChanges(t *testing.T) {
	b := closed(t)
	for _, end := range []string{"", "-wal", "-shm"} {
		if err := os.Remove(b.file(databaseName) + end); err != nil && !errors.Is(err, os.ErrNotExist) {
			t.Fatal(err)
		}
	}
	all, err := steps()
	if err != nil {
		t.Fatal(err)
	}
	b.older(all[:len(all)-1])
	b.open()
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	kept := t.TempDir()
	if err := os.Rename(fmt.Sprintf("%s.before-schema-%d", b.file(databaseName), len(all)), filepath.Join(kept, databaseName)); err != nil {
		t.Fatal(err)
	}
	for dir, want := range map[string]int{b.dir: len(all), kept: len(all) - 1} {
		if got, err := Examine(t.Context(), dir); err != nil || got.Schema != want || got.Known != len(all) || len(got.Damaged)+len(got.Dangling) > 0 {
			t.Errorf("%+v, %v, want schema step %d", got, err, want)
		}
	}
}

// older makes an empty database with some steps only.
func (b *bench) older(some []step) {
	ctx := b.t.Context()
	db, err := openDatabase(ctx, b.file(databaseName), writing)
	if err != nil {
		b.t.Fatal(err)
	}
	if err := claim(ctx, db, b.file(databaseName)); err != nil {
		b.t.Fatal(err)
	}
	if _, err := appliedSteps(ctx, db); err != nil {
		b.t.Fatal(err)
	}
	for _, m := range some {
		if err := apply(ctx, db, m); err != nil {
			b.t.Fatal(err)
		}
	}
	if err := db.Close(); err != nil {
		b.t.Fatal(err)
	}
}

func TestADatabaseMadeByOtherStepsIsLeftAlone(t *testing.T) {
	b := closed(t)
	b.tamper(`UPDATE migration SET sha256 = hex(zeroblob(32)) WHERE version = 2`)
	b.refuses("another form of schema step 0002_derived.sql")
}

func TestADatabaseOfAnotherProgramIsLeftAlone(t *testing.T) {
	b := closed(t)
	if err := os.Remove(b.file(databaseName)); err != nil {
		t.Fatal(err)
	}
	b.tamper(`CREATE TABLE sheep (name TEXT)`)
	b.refuses("is not a Rungbook database")
}

func TestMigratingAgainChangesNothing(t *testing.T) {
	b := closed(t)
	before, err := os.ReadFile(b.file(databaseName))
	if err != nil {
		t.Fatal(err)
	}
	b.open()
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	after, err := os.ReadFile(b.file(databaseName))
	if err != nil {
		t.Fatal(err)
	}
	if string(before) != string(after) {
		t.Error("opening and closing changed the file")
	}
}

// openLoose opens a file as a program does that forgets the settings.
func openLoose(file string) (*sql.DB, error) { return sql.Open("sqlite", "file:"+file) }
