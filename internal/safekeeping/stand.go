package safekeeping

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"rungbook/internal/fault"
)

// stand gives a backup its name, and states beside it what it is: first the
// sidecar, since an encrypted backup says nothing without one.
func (w Wish) stand(part string, made *Made) error {
	named := w.folder() != w.To
	for n := 1; ; n++ {
		if made.Path = w.To; !named {
			made.Path = filepath.Join(w.To, nameAt(w.Clock(), n))
		}
		err := w.standAs(part, *made)
		if named && errors.Is(err, fs.ErrExist) {
			if _, missing := os.Lstat(made.Path); missing != nil {
				return fault.New(fault.Invalid, "%s stands there without its backup. Take it away, or give a new name.", made.Path+sidecarEnd)
			}
			return taken(made.Path)
		}
		if named || !errors.Is(err, fs.ErrExist) || n == mostInASecond {
			return err
		}
	}
}

// mostInASecond is how many names of one second are tried.
const mostInASecond = 100

// nameEnd ends the names that we give; a damaged backup is told from a stray file by it.
const nameEnd = ".backup"

// nameAt names the n-th backup of a second: rungbook-20270302T094012Z.backup.
func nameAt(at time.Time, n int) string {
	name := "rungbook-" + at.UTC().Format("20060102T150405Z")
	if n > 1 {
		name += fmt.Sprintf("-%d", n)
	}
	return name + nameEnd
}

func (w Wish) standAs(part string, made Made) error {
	if _, err := os.Lstat(made.Path); err == nil {
		return fs.ErrExist
	}
	beside := made.Path + sidecarEnd
	err := writeSidecar(beside, Sidecar{Format: sidecarFormat, File: filepath.Base(made.Path), Size: made.Size, Sum: made.Sum, Encrypted: w.Passphrase != "", ByServer: w.ByServer, About: made.About})
	if errors.Is(err, fs.ErrExist) {
		return err
	}
	if err != nil {
		return unwritable(beside, err)
	}
	err = os.Link(part, made.Path) // refuses a name that was taken meanwhile
	if err != nil && !errors.Is(err, fs.ErrExist) {
		err = os.Rename(part, made.Path) // a disk without hard links
	}
	if err != nil && !errors.Is(err, fs.ErrExist) {
		err = unwritable(made.Path, err)
	}
	if err != nil {
		return errors.Join(err, os.Remove(beside))
	}
	return nil
}
