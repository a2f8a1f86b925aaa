package archive

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/store"
)

// Wish says how an archive is to be made.
type Wish struct {
	Dir     string // the folder of records
	To      string // the file to write; it must not exist
	Key     bool   // put the signing key into it
	Version string // of the program
	Clock   civil.Clock
}

// Make writes the archive of a folder of records, also beside a server, and reads it
// back into a folder that it removes; only then does the archive stand under its
// name. Errors: fault.Unusable and fault.Invalid with what to do.
func Make(ctx context.Context, w Wish) (m Manifest, err error) {
	taken := fault.New(fault.Invalid, "%s is there already. Give a new name; an archive is never written over.", w.To)
	if _, err := os.Lstat(w.To); err == nil {
		return m, taken
	}
	room, err := os.MkdirTemp(filepath.Dir(w.To), ".rungbook-archive-") // for its user only
	if err != nil {
		return m, unusable(w.To, "written", err)
	}
	defer func() { err = errors.Join(err, os.RemoveAll(room)) }()
	whole := filepath.Join(room, "part")
	if m, err = w.write(ctx, whole); err != nil {
		return m, err
	}
	back := Return{From: whole, Dir: filepath.Join(room, "back"), Clock: w.Clock}
	if !w.Key {
		back.KeyFile = filepath.Join(w.Dir, "rungbook.key")
	}
	if _, err := ReadBack(ctx, back); err != nil {
		return m, err
	}
	err = os.Link(whole, w.To) // refuses a name that was taken meanwhile
	if errors.Is(err, fs.ErrExist) {
		return m, taken
	}
	if err != nil { // a disk without hard links
		if err := os.Rename(whole, w.To); err != nil {
			return m, unusable(w.To, "written", err)
		}
	}
	return m, syncFolder(filepath.Dir(w.To))
}

func (w Wish) write(ctx context.Context, to string) (m Manifest, err error) {
	form := Form{Version: w.Version, Clock: w.Clock}
	if w.Key {
		if form.Key, err = os.ReadFile(filepath.Join(w.Dir, "rungbook.key")); err != nil {
			return m, unusable(filepath.Join(w.Dir, "rungbook.key"), "read", err)
		}
	}
	st, err := store.Open(ctx, store.Options{Dir: w.Dir, Clock: w.Clock, MustExist: true})
	if err != nil {
		return m, err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	f, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return m, unusable(to, "written", err)
	}
	m, err = Write(ctx, st, f, form)
	return m, errors.Join(err, f.Sync(), f.Close())
}
