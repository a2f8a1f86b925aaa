package store

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"rungbook/internal/fault"
)

func TestAFileIsKeptOnceUnderItsHashAndNeverGivenOutChanged(t *testing.T) {
	b := newBench(t)
	dir := b.dir
	hash, err := b.KeepFile([]byte("abc"))
	// The digest of "abc": FIPS 180-4, as its example gives it.
	if err != nil || hash != "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad" {
		t.Fatalf("%s, %v", hash, err)
	}
	if again, err := b.KeepFile([]byte("abc")); err != nil || again != hash {
		t.Errorf("kept again: %s, %v", again, err)
	}
	list, err := os.ReadDir(filepath.Join(dir, FilesName))
	if err != nil || len(list) != 1 || list[0].Name() != hash {
		t.Errorf("%v, %v lie in the folder, want the one file and no part of it", list, err)
	}
	if info, err := os.Stat(filepath.Join(dir, FilesName, hash)); err != nil || info.Mode().Perm()&0o077 != 0 {
		t.Errorf("others may read it: %v", err)
	}
	if got, err := b.File(hash); err != nil || string(got) != "abc" {
		t.Errorf("%q, %v", got, err)
	}
	for name, kind := range map[string]fault.Kind{"../rungbook.key": fault.NotFound, "": fault.NotFound, strings.ToUpper(hash): fault.NotFound, strings.Repeat("0", 64): fault.NotFound} {
		if _, err := b.File(name); fault.Of(err) != kind {
			t.Errorf("%q: %v", name, err)
		}
	}
	if err := os.WriteFile(filepath.Join(dir, FilesName, hash), []byte("abd"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := b.File(hash); fault.Of(err) != fault.Unusable {
		t.Errorf("changed bytes are given out: %v", err)
	}
	if _, err := b.KeepFile([]byte("abc")); err != nil {
		t.Errorf("a damaged file is not mended by the same one: %v", err)
	}
	if got, err := b.File(hash); err != nil || string(got) != "abc" {
		t.Errorf("after it was put in anew: %q, %v", got, err)
	}
}
