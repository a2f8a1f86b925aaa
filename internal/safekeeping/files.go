package safekeeping

import (
	"os"
	"path/filepath"
	"slices"
	"strings"

	"rungbook/internal/fault"
	"rungbook/internal/store"
)

// filesStart begins the names of a backup's members that are files of evidence.
const filesStart = store.FilesName + "/"

// fileHash is the hash that names a member of a backup; ok is false for any other
// member, and for a name that is no hash: it becomes part of a path.
func fileHash(name string) (hash string, ok bool) {
	hash, ok = strings.CutPrefix(name, filesStart)
	return hash, ok && len(hash) == 64 && strings.Trim(hash, "0123456789abcdef") == ""
}

// copyFiles copies the files that a record names into a folder, and returns those that
// are missing or damaged: they are left out, the doctor names them, and the rest is
// kept all the same.
func copyFiles(from, to string, hashes []string) (kept, lost []string, err error) {
	for _, hash := range hashes {
		b, err := store.ReadFile(from, hash)
		if kind := fault.Of(err); kind == fault.NotFound || kind == fault.Unusable {
			lost = append(lost, hash)
			continue
		}
		if err != nil {
			return nil, nil, unreadable(filepath.Join(from, store.FilesName, hash), err)
		}
		if _, err := store.KeepFileIn(to, b); err != nil {
			return nil, nil, err
		}
		kept = append(kept, hash)
	}
	return kept, lost, nil
}

// members are the names in a backup after what stands first, in their order.
func (a About) members() []string {
	out := []string{databaseName, keyName}
	var files []string
	for name := range a.Files {
		if _, ok := fileHash(name); ok {
			files = append(files, name)
		}
	}
	slices.Sort(files)
	return slices.DeleteFunc(append(out, files...), func(name string) bool { _, packed := a.Files[name]; return !packed })
}

// sizeOfFiles is how many bytes the files beside a database have. What can't be looked
// at counts nothing: the copy says what is wrong with it.
func sizeOfFiles(dir string) (size int64) {
	list, _ := os.ReadDir(filepath.Join(dir, store.FilesName))
	for _, f := range list {
		if info, err := f.Info(); err == nil {
			size += info.Size()
		}
	}
	return size
}
