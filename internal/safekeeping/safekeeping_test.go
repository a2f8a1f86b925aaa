package safekeeping

import (
	"bytes"
	"compress/gzip"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/rig"
	"rungbook/internal/store"
)

// kept makes a folder with some entries in it and returns it with its store open.
func kept(t *testing.T) (string, *store.Store) {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "yard")
	st, err := store.Open(t.Context(), store.Options{Dir: dir, Clock: civil.Real})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := st.Close(); err != nil {
			t.Error(err)
		}
	})
	for i := range 5 {
		record(t, st, i)
	}
	return dir, st
}

// record writes one entry.
func record(t *testing.T, st *store.Store, i int) {
	t.Helper()
	actor := access.Actor{Person: "odalys", Roles: []access.Role{access.Administrator}}
	_, err := st.Write(t.Context(), store.Command{Key: fmt.Sprint("form-", i), Content: i, Actor: actor, Role: access.Administrator},
		func(tx *store.Tx) (store.Outcome, error) {
			who := tx.ID()
			_, err := tx.Put("recorded", tx.Today(), people.Employer{ID: id.Employer(who), Name: tx.Seal("employer/"+who, "name", fmt.Sprint("Employer ", i))})
			return "", err
		})
	if err != nil {
		t.Fatal(err)
	}
}

func wish(dir, to string) Wish {
	return Wish{Dir: dir, To: to, Key: true, Version: "test", Clock: civil.Real}
}

func TestABackupMadeWhileTheStoreIsOpenComesBackWholeAndEqual(t *testing.T) {
	for name, pass := range map[string]string{"plain": "", "encrypted": "seven ropes and a hook"} {
		t.Run(name, func(t *testing.T) {
			dir, st := kept(t)
			to := filepath.Join(t.TempDir(), "a.backup")
			w := wish(dir, to)
			w.Passphrase = pass
			made, err := Backup(t.Context(), w)
			if err != nil || made.Entries != 5 {
				t.Fatalf("%+v, %v", made, err)
			}
			record(t, st, 99) // is not in it
			back := filepath.Join(t.TempDir(), "back")
			got, err := Restore(t.Context(), Return{From: to, Dir: back, Passphrase: pass, Clock: civil.Real})
			if err != nil || got.Entries != 5 {
				t.Fatalf("%+v, %v", got, err)
			}
			for _, f := range []string{to, back, filepath.Join(back, databaseName), filepath.Join(back, keyName)} {
				if info, err := os.Stat(f); err != nil || info.Mode().Perm()&0o077 != 0 {
					t.Errorf("%s may be read by others, or is not there: %v", f, err)
				}
			}
			lines, err := Examine(t.Context(), Checkup{Dir: back, Backups: filepath.Dir(to), Version: "test", Clock: civil.Real})
			if err != nil || Worst(lines) == Bad {
				t.Errorf("%+v, %v", lines, err)
			}
			if left := hidden(t, filepath.Dir(to), filepath.Dir(back)); left != "" {
				t.Errorf("%s was left behind", left)
			}
		})
	}
}

// hidden is the first hidden file of some folders, "" for none.
func hidden(t *testing.T, dirs ...string) string {
	for _, dir := range dirs {
		list, err := os.ReadDir(dir)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range list {
			if strings.HasPrefix(f.Name(), ".") {
				return f.Name()
			}
		}
	}
	return ""
}

// otherBit changes a bit near the middle so that other bytes are held, or none can be
// read. About one bit in a thousand leaves what is held equal to the byte, such as
// another distance into a run of zeros: that is still the whole backup.
func otherBit(t *testing.T, data []byte) []byte {
	t.Helper()
	held := func(data []byte) []byte {
		z, err := gzip.NewReader(bytes.NewReader(data))
		if err != nil {
			return nil
		}
		all, err := io.ReadAll(z)
		if err != nil {
			return nil
		}
		return all
	}
	whole := held(data)
	for i := len(data) / 2; i < len(data); i++ {
		flipped := bytes.Clone(data)
		flipped[i] ^= 1
		if !bytes.Equal(held(flipped), whole) {
			return flipped
		}
	}
	t.Fatal("no bit of the backup matters")
	return nil
}

func TestWhatCanNotBeABackupOrItsPlaceIsRefusedAndNothingIsWritten(t *testing.T) {
	dir, _ := kept(t)
	room := t.TempDir()
	good, keyless, sealed := filepath.Join(room, "good"), filepath.Join(room, "keyless"), filepath.Join(room, "sealed")
	for to, change := range map[string]func(*Wish){good: func(*Wish) {}, keyless: func(w *Wish) { w.Key = false }, sealed: func(w *Wish) { w.Passphrase = "right" }} {
		w := wish(dir, to)
		change(&w)
		if _, err := Backup(t.Context(), w); err != nil {
			t.Fatal(err)
		}
	}
	data, err := os.ReadFile(good)
	if err != nil {
		t.Fatal(err)
	}
	file := func(name string, content []byte) string {
		path := filepath.Join(room, name)
		if err := os.WriteFile(path, content, 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	flipped := otherBit(t, data)
	other := filepath.Join(t.TempDir(), "other.key")
	otherYard, _ := kept(t)
	if err := copyFile(filepath.Join(otherYard, keyName), other); err != nil {
		t.Fatal(err)
	}
	full := t.TempDir()
	if err := os.WriteFile(filepath.Join(full, "a"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		r    Return
		kind fault.Kind
		say  string
	}{
		"no such backup":          {Return{From: filepath.Join(room, "none")}, fault.Unusable, "can't be read"},
		"an empty file":           {Return{From: file("empty", nil)}, fault.Unusable, "not a whole Rungbook backup"},
		"some text":               {Return{From: file("text", []byte("hello"))}, fault.Unusable, "not a whole Rungbook backup"},
		"cut short":               {Return{From: file("short", data[:len(data)-9])}, fault.Unusable, "not a whole Rungbook backup"},
		"one bit changed":         {Return{From: file("flipped", flipped)}, fault.Unusable, "not a whole Rungbook backup"},
		"no passphrase":           {Return{From: sealed}, fault.Invalid, "is encrypted"},
		"another passphrase":      {Return{From: sealed, Passphrase: "wrong"}, fault.Invalid, "not the passphrase"},
		"a passphrase for none":   {Return{From: good, Passphrase: "right"}, fault.Invalid, "not encrypted"},
		"no key":                  {Return{From: keyless}, fault.Invalid, "no signing key"},
		"another yard's key":      {Return{From: keyless, KeyFile: other}, fault.Unusable, "is not the key that signed"},
		"a key where there is":    {Return{From: good, KeyFile: other}, fault.Invalid, "holds the signing key itself"},
		"a folder that holds all": {Return{From: good, Dir: full}, fault.Invalid, "is not empty"},
	} {
		t.Run(name, func(t *testing.T) {
			r := c.r
			r.Clock = civil.Real
			if r.Dir == "" {
				r.Dir = filepath.Join(t.TempDir(), "back")
			}
			_, err := Restore(t.Context(), r)
			if fault.Of(err) != c.kind || !strings.Contains(fmt.Sprint(err), c.say) {
				t.Errorf("%v, want %v and %q", err, c.kind, c.say)
			}
			if _, err := os.Stat(filepath.Join(r.Dir, databaseName)); err == nil {
				t.Error("a folder of records was made")
			}
			if left := hidden(t, filepath.Dir(r.Dir)); left != "" {
				t.Errorf("%s was left behind", left)
			}
		})
	}
	if _, err := Backup(t.Context(), wish(dir, good)); fault.Of(err) != fault.Invalid {
		t.Errorf("writing over a backup: %v", err)
	}
	if again, err := os.ReadFile(good); err != nil || !bytes.Equal(again, data) {
		t.Errorf("the backup that stood was changed: %v", err)
	}
}

func TestADoctorNamesWhatIsBad(t *testing.T) {
	for name, c := range map[string]struct {
		harm func(t *testing.T, dir string)
		what string
		say  string
	}{
		"a key that others may read": {func(t *testing.T, dir string) {
			if err := os.Chmod(filepath.Join(dir, keyName), 0o644); err != nil {
				t.Fatal(err)
			}
		}, "key file", "mode 0644"},
		"a key that is gone": {func(t *testing.T, dir string) {
			if err := os.Remove(filepath.Join(dir, keyName)); err != nil {
				t.Fatal(err)
			}
		}, "key file", "is missing"},
		"no backups": {func(*testing.T, string) {}, "backups", "holds no good one"},
	} {
		t.Run(name, func(t *testing.T) {
			dir, st := kept(t)
			if err := st.Close(); err != nil {
				t.Fatal(err)
			}
			c.harm(t, dir)
			lines, err := Examine(context.WithoutCancel(t.Context()), Checkup{Dir: dir, Backups: t.TempDir(), Version: "test", Clock: civil.Real})
			if err != nil {
				t.Fatal(err)
			}
			found := false
			for _, l := range lines {
				found = found || l.Grade == Bad && l.What == c.what && strings.Contains(l.Found, c.say)
			}
			if !found {
				t.Errorf("%+v, want a bad %s with %q", lines, c.what, c.say)
			}
		})
	}
	dir, _ := kept(t)
	early := func() time.Time { return civil.Real().Add(-time.Hour) }
	lines, err := Examine(t.Context(), Checkup{Dir: dir, Clock: early})
	if err != nil || !slices.ContainsFunc(lines, func(l Line) bool { return l.Grade == Bad && l.What == "clock" }) {
		t.Errorf("an hour before the newest entry: %+v, %v", lines, err)
	}
	if _, err := Examine(t.Context(), Checkup{Dir: t.TempDir(), Clock: civil.Real}); fault.Of(err) != fault.Unusable {
		t.Errorf("an empty folder: %v", err)
	}
}

func TestOnlyABackupCountsAsOneAndByItsOwnDate(t *testing.T) {
	dir, _ := kept(t)
	folder := t.TempDir()
	if err := os.WriteFile(filepath.Join(folder, "notes.txt"), []byte("copied by hand"), 0o600); err != nil {
		t.Fatal(err)
	}
	grade := func() Grade {
		t.Helper()
		lines, err := Examine(t.Context(), Checkup{Dir: dir, Backups: folder, Version: "test", Clock: civil.Real})
		if err != nil {
			t.Fatal(err)
		}
		return lines[slices.IndexFunc(lines, func(l Line) bool { return l.What == "backups" })].Grade
	}
	if got := grade(); got != Bad {
		t.Errorf("a folder with a note in it: %s, want %s", got, Bad)
	}
	old := wish(dir, filepath.Join(folder, "old.backup"))
	old.Clock = func() time.Time { return civil.Real().Add(-4 * 24 * time.Hour) }
	if _, err := Backup(t.Context(), old); err != nil {
		t.Fatal(err)
	}
	if got := grade(); got != Bad {
		t.Errorf("a backup of four days ago in a file of today: %s, want %s", got, Bad)
	}
	if _, err := Backup(t.Context(), wish(dir, filepath.Join(folder, "new.backup"))); err != nil {
		t.Fatal(err)
	}
	if got := grade(); got != Well {
		t.Errorf("a backup of now: %s, want %s", got, Well)
	}
}

func FuzzUnpack(f *testing.F) {
	f.Add([]byte("hello"), "")
	f.Add([]byte("age-encryption.org/v1\n"), "x")
	f.Add([]byte{0x1f, 0x8b, 8, 0}, "")
	f.Fuzz(func(t *testing.T, data []byte, pass string) {
		path := filepath.Join(t.TempDir(), "backup")
		if err := os.WriteFile(path, data, 0o600); err != nil {
			t.Fatal(err)
		}
		if about, err := unpack(t.Context(), path, t.TempDir(), pass); err == nil && about.Files[databaseName] == "" {
			t.Error("a backup without a database was taken")
		}
	})
}

// keepEvidence records evidence with a file, and returns the file's hash.
func keepEvidence(t *testing.T, st *store.Store) string {
	t.Helper()
	hash, err := st.KeepFile([]byte("a report"))
	if err != nil {
		t.Fatal(err)
	}
	actor := access.Actor{Person: "odalys", Roles: []access.Role{access.Administrator}}
	_, err = st.Write(t.Context(), store.Command{Key: "evidence", Actor: actor, Role: access.Administrator}, func(tx *store.Tx) (store.Outcome, error) {
		of := id.Rig(tx.ID())
		_, err := tx.Put("taken-on", 0, rig.Rig{ID: of})
		if err == nil {
			_, err = tx.Put("put-in", 0, rig.Evidence{ID: id.Evidence(tx.ID()), Rig: of, Point: rig.PointFire, File: rig.EvidenceFile{Hash: hash, Type: rig.PDF, Bytes: 8}})
		}
		return "", err
	})
	if err != nil {
		t.Fatal(err)
	}
	return hash
}

func TestFilesComeBackWithABackupAndTheDoctorNamesThoseThatAreLost(t *testing.T) {
	dir, st := kept(t)
	hash := keepEvidence(t, st)
	to := filepath.Join(t.TempDir(), "a.backup")
	if made, err := Backup(t.Context(), wish(dir, to)); err != nil || made.Files[filesStart+hash] != hash {
		t.Fatalf("%+v, %v", made, err)
	}
	back := filepath.Join(t.TempDir(), "back")
	if _, err := Restore(t.Context(), Return{From: to, Dir: back, Clock: civil.Real}); err != nil {
		t.Fatal(err)
	}
	if b, err := store.ReadFile(back, hash); err != nil || string(b) != "a report" {
		t.Errorf("the file comes back as %q, %v", b, err)
	}
	graded := func() (out []string) {
		lines, err := Examine(t.Context(), Checkup{Dir: back, Version: "test", Clock: civil.Real})
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range lines {
			if l.What == "evidence" {
				out = append(out, fmt.Sprint(l.Grade == Bad, " ", l.Found))
			}
		}
		return out
	}
	if got := graded(); !slices.Equal(got, []string{"false 1 files, each as it was put in"}) {
		t.Errorf("the doctor says %q", got)
	}
	at := filepath.Join(back, store.FilesName, hash)
	if err := os.WriteFile(at, []byte("another report"), 0o600); err != nil {
		t.Fatal(err)
	}
	if got := graded(); len(got) != 1 || !strings.HasPrefix(got[0], "true ") || !strings.Contains(got[0], "its SHA-256 differs") {
		t.Errorf("of a changed file the doctor says %q", got)
	}
	if err := os.Remove(at); err != nil {
		t.Fatal(err)
	}
	if got := graded(); len(got) != 1 || !strings.Contains(got[0], "is missing beside the database") {
		t.Errorf("of a missing file the doctor says %q", got)
	}
	again := filepath.Join(t.TempDir(), "b.backup")
	if made, err := Backup(t.Context(), wish(back, again)); err != nil || made.Files[filesStart+hash] != "" {
		t.Errorf("without the file there is no backup of the rest: %+v, %v", made, err)
	}
}
