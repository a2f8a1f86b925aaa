package store

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"rungbook/internal/fault"
	"rungbook/internal/ledger"
	"rungbook/internal/people"
)

func TestADamagedDatabaseIsOneClearSentence(t *testing.T) {
	for name, damage := range map[string]func([]byte) []byte{
		"text in place of it":  func([]byte) []byte { return []byte("not a database, but long enough to look like one\n") },
		"a header overwritten": func(b []byte) []byte { copy(b, make([]byte, 100)); return b },
		"cut off":              func(b []byte) []byte { return b[:len(b)/3] },
		"pages of noise": func(b []byte) []byte {
			for i := 4096; i < len(b); i++ {
				b[i] = byte(i * 7)
			}
			return b
		},
	} {
		t.Run(name, func(t *testing.T) {
			b := closed(t)
			whole, err := os.ReadFile(b.file(databaseName))
			if err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(b.file(databaseName), damage(whole), 0o600); err != nil {
				t.Fatal(err)
			}
			b.refuses("damaged")
		})
	}
}

func TestALedgerThatDoesNotFitItsSignedHeadIsDamaged(t *testing.T) {
	b := closed(t)
	b.tamper(`DROP TRIGGER tlog_hash_kept_update`, `UPDATE tlog_hash SET hash = zeroblob(32) WHERE idx = (SELECT max(idx) FROM tlog_hash)`)
	b.refuses("damaged")
}

func TestAnEntryCutFromTheEndIsNoticed(t *testing.T) {
	b := closed(t)
	b.tamper(`DROP TRIGGER entry_kept_delete`, `DELETE FROM entry WHERE idx = (SELECT max(idx) FROM entry)`)
	b.refuses("damaged")
}

func TestAMissingOrForeignKeyIsOneClearSentence(t *testing.T) {
	b := closed(t)
	key := b.file(keyName)
	info, err := os.Stat(key)
	if err != nil {
		t.Fatal(err)
	}
	if got := info.Mode().Perm(); got != 0o600 {
		t.Errorf("key file has mode %o", got)
	}
	right, err := os.ReadFile(key)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(key); err != nil {
		t.Fatal(err)
	}
	b.refuses("is missing beside its database")
	if _, err := os.Stat(key); err == nil {
		t.Error("a key was made although a database was there")
	}
	other, _, err := ledger.NewKey(strings.NewReader(strings.Repeat("x", 64)), strings.TrimSpace(b.key.Name()))
	if err != nil {
		t.Fatal(err)
	}
	for said, text := range map[string]string{
		"is not the key that signed": other, "does not hold the signing key": "hello",
	} {
		if err := os.WriteFile(key, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		b.refuses(said)
	}
	if err := os.WriteFile(key, right, 0o600); err != nil {
		t.Fatal(err)
	}
	b.open()
	b.put(people.Person{ID: "late"})
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
}

func TestADatabaseMissingBesideItsKeyIsOneClearSentence(t *testing.T) {
	b := closed(t)
	if err := os.Rename(b.file(databaseName), b.file("elsewhere")); err != nil {
		t.Fatal(err)
	}
	b.refuses("is missing beside its key")
	if _, err := os.Stat(b.file(databaseName)); err == nil {
		t.Error("a second ledger was begun with the key of the first")
	}
	if err := os.Rename(b.file("elsewhere"), b.file(databaseName)); err != nil {
		t.Fatal(err)
	}
	b.open()
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
}

func TestAFolderInPlaceOfAFileIsOneClearSentence(t *testing.T) {
	for _, name := range []string{databaseName, keyName} {
		b := closed(t)
		if err := os.Remove(b.file(name)); err != nil {
			t.Fatal(err)
		}
		if err := os.Mkdir(b.file(name), 0o700); err != nil {
			t.Fatal(err)
		}
		b.refuses("a folder stands where the file should be")
	}
}

func TestAFolderThatCannotBeUsedIsOneClearSentence(t *testing.T) {
	b := &bench{t: t, dir: filepath.Join(t.TempDir(), "file", "below"), at: morning}
	if err := os.WriteFile(filepath.Dir(b.dir), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	_, err := Open(context.Background(), b.options())
	if fault.Of(err) != fault.Unusable || !strings.Contains(fault.Message(err), "a file stands where the folder should be") {
		t.Errorf("a file in place of the folder: %v", err)
	}
}

// A user without rights is simulated by a writing connection that SQLite holds
// to reading: the tests may run as a user to whom no folder is closed.
func TestAReadOnlyFileIsOneClearSentence(t *testing.T) {
	b := newBench(t)
	b.yard()
	if err := b.write0(`PRAGMA query_only = 1`); err != nil {
		t.Fatal(err)
	}
	_, err := b.Write(context.Background(), b.command(), func(tx *Tx) (Outcome, error) {
		return "", putAll(tx, people.Person{ID: "late"})
	})
	if fault.Of(err) != fault.Unusable || !strings.Contains(fault.Message(err), "read-only") {
		t.Errorf("got %v", err)
	}
}

// write0 runs a statement on the writing connection.
func (b *bench) write0(statement string) error {
	c := <-b.Store.write
	defer func() { b.Store.write <- c }()
	return c.exec(context.Background(), statement)
}

func TestAFullDiskSavesNothingAndSaysSo(t *testing.T) {
	b := newBench(t)
	b.yard()
	var before int64
	b.read(func(v *View) error { before = v.Entries(); return nil })
	if err := b.write0(`PRAGMA max_page_count = 1`); err != nil { // the file may not grow from here on
		t.Fatal(err)
	}
	fill := func() error {
		_, err := b.Write(context.Background(), b.command(), func(tx *Tx) (Outcome, error) {
			for range 200 {
				if _, err := tx.Put("recorded", 0, people.Person{ID: "late"}); err != nil {
					return "", err
				}
			}
			return "", nil
		})
		return err
	}
	err := fill()
	if fault.Of(err) != fault.Unusable || !strings.Contains(fault.Message(err), "the disk is full") {
		t.Fatalf("got %v", err)
	}
	b.read(func(v *View) error {
		if v.Entries() != before {
			t.Errorf("%d entries after a write that failed, %d before", v.Entries(), before)
		}
		return nil
	})
	b.equalsRebuilt()
	if err := b.write0(`PRAGMA max_page_count = 1000000`); err != nil { // room was made
		t.Fatal(err)
	}
	if err := fill(); err != nil {
		t.Error(err)
	}
	b.equalsRebuilt()
}

func TestMustExistMakesNothing(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "none")
	_, err := Open(context.Background(), Options{Dir: dir, MustExist: true})
	if fault.Of(err) != fault.Unusable {
		t.Errorf("got %v", err)
	}
	if _, err := os.Stat(dir); !os.IsNotExist(err) {
		t.Errorf("the folder was made: %v", err)
	}
}

func TestSettingsThatDidNotTakeAreNoticed(t *testing.T) {
	file := filepath.Join(t.TempDir(), databaseName)
	db, err := openDatabase(context.Background(), file, writing)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	for _, p := range []pragma{{"synchronous", "1"}, {"foreign_keys", "0"}, {"journal_mode", "delete"}, {"busy_timeout", "1"}} {
		if err := readBack(context.Background(), db, []pragma{p}); err == nil {
			t.Errorf("%s = %s was taken for granted", p.name, p.want)
		}
	}
	loose, err := openLoose(file)
	if err != nil {
		t.Fatal(err)
	}
	defer loose.Close()
	if err := readBack(context.Background(), loose, nil); err == nil {
		t.Error("a connection without dqs=0 and defensive passed")
	}
}

func TestTheReadingConnectionsCannotWrite(t *testing.T) {
	b := newBench(t)
	err := b.Read(context.Background(), func(v *View) error { return v.c.exec(v.ctx, `DELETE FROM command`) })
	if fault.Of(err) != fault.Unusable {
		t.Errorf("got %v", err)
	}
}

func TestTheFilesAreForThisUserOnly(t *testing.T) {
	b := newBench(t)
	b.yard()
	entries, err := os.ReadDir(b.dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		info, err := e.Info()
		if err != nil {
			t.Fatal(err)
		}
		if info.Mode().Perm()&0o077 != 0 {
			t.Errorf("%s has mode %o", e.Name(), info.Mode().Perm())
		}
	}
	if len(entries) < 3 {
		t.Errorf("only %d files", len(entries))
	}
}

func TestAnyFolderNameWillDo(t *testing.T) {
	t.Chdir(t.TempDir())
	for _, dir := range []string{"plain", "two words", "a?mode=memory&b#c%20", "Übung", filepath.Join("deep", "er")} {
		s, err := Open(context.Background(), Options{Dir: dir, Clock: func() time.Time { return morning }})
		if err != nil {
			t.Fatalf("%s: %v", dir, err)
		}
		if err := s.Close(); err != nil {
			t.Error(err)
		}
		for _, name := range []string{databaseName, keyName, signInsName} {
			if info, err := os.Stat(filepath.Join(dir, name)); err != nil || info.Size() == 0 {
				t.Errorf("%s: %v", filepath.Join(dir, name), err)
			}
		}
	}
}

func TestAClosedStoreRefusesAndClosesAgain(t *testing.T) {
	b := newBench(t)
	b.yard()
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	if err := b.try(func(*Tx) error { return nil }); err == nil {
		t.Error("a write went through")
	}
	if err := b.Read(context.Background(), func(*View) error { return nil }); err == nil {
		t.Error("a read went through")
	}
}

func TestAWaitEndsWithItsContext(t *testing.T) {
	b := newBench(t)
	b.yard()
	ctx, stop := context.WithCancel(context.Background())
	stop()
	ran := false
	_, err := b.Write(ctx, b.command(), func(*Tx) (Outcome, error) {
		_, err := b.Write(ctx, b.command(), func(*Tx) (Outcome, error) { ran = true; return "", nil })
		return "", err
	})
	if ran || err == nil {
		t.Errorf("a second writer ran: %t, %v", ran, err)
	}
	err = b.Read(ctx, func(v *View) error { _, err := v.Reference(); return err })
	if !errors.Is(err, context.Canceled) {
		t.Errorf("a read that nobody waits for: %v", err)
	}
}
