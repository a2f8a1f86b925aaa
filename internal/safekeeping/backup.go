// Package safekeeping copies a yard's record to a file, brings it back, and says
// how sound a folder of records is.
//
// It knows the files of a folder and what makes a copy whole; what is in the
// database, the store says. A copy counts only once it has been read back: its
// sums, the ledger, and the tables that the ledger gives.
//
// Read backup.go first.
package safekeeping

import (
	"archive/tar"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"filippo.io/age"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/store"
)

// The members of a backup, in their order: a tar (POSIX.1-2017 pax), in gzip (RFC
// 1952), in age (age-encryption.org/v1) where there is a passphrase.
const (
	aboutName    = "rungbook-backup.json"
	databaseName = "rungbook.db"
	keyName      = "rungbook.key"
)

// format names what a backup looks like inside.
const format = "rungbook.backup.v1"

// About stands first in a backup and tells what it holds.
type About struct {
	Format  string            `json:"format"`
	Version string            `json:"version"` // of the program that made it
	Made    string            `json:"made"`    // UTC, RFC 3339
	Entries int64             `json:"entries"` // of the ledger
	Files   map[string]string `json:"files"`   // hex SHA-256 by name
}

// Wish says how a backup is to be made.
type Wish struct {
	Dir        string // the folder of records
	To         string // the file to write; it must not exist
	Key        bool   // take the signing key along
	Passphrase string // encrypts the backup; "" = not encrypted
	Version    string
	Clock      civil.Clock
}

// Backup writes a backup, also while a server writes to the record, reads it back
// and checks it; only then does it stand under its name. Errors: fault.Unusable and
// fault.Invalid with what to do.
func Backup(ctx context.Context, w Wish) (about About, err error) {
	if _, err := os.Stat(w.To); err == nil {
		return about, fault.New(fault.Invalid, "%s is there already. Give a new name; a backup is never written over.", w.To)
	}
	room, err := os.MkdirTemp(filepath.Dir(w.To), ".rungbook-backup-")
	if err != nil {
		return about, unwritable(w.To, err)
	}
	defer func() { err = errors.Join(err, os.RemoveAll(room)) }()
	yard := filepath.Join(room, "yard")
	if err := os.Mkdir(yard, 0o700); err != nil {
		return about, unwritable(w.To, err)
	}
	if err := store.Copy(ctx, w.Dir, filepath.Join(yard, databaseName)); err != nil {
		return about, err
	}
	if err := copyFile(filepath.Join(w.Dir, keyName), filepath.Join(yard, keyName)); err != nil {
		return about, unreadable(filepath.Join(w.Dir, keyName), err)
	}
	about = About{Format: format, Version: w.Version, Made: w.Clock().UTC().Format(time.RFC3339), Files: map[string]string{}}
	names := []string{databaseName}
	if w.Key {
		names = append(names, keyName)
	}
	for _, name := range names {
		if about.Files[name], err = sumOf(filepath.Join(yard, name)); err != nil {
			return about, err
		}
	}
	// The copy that is checked is opened, which may change its file; the one that is
	// packed is not.
	if about.Entries, err = soundCopy(ctx, yard, filepath.Join(room, "trial"), w.Clock); err != nil {
		return about, err
	}
	part := filepath.Join(room, "part")
	if err := pack(part, yard, names, about, w.Passphrase); err != nil {
		return about, unwritable(w.To, err)
	}
	back := filepath.Join(room, "back")
	if err := os.Mkdir(back, 0o700); err != nil {
		return about, unwritable(w.To, err)
	}
	if _, err := unpack(part, back, w.Passphrase); err != nil {
		return about, err
	}
	if err := os.Link(part, w.To); err != nil { // refuses a name that was taken meanwhile
		if errors.Is(err, fs.ErrExist) {
			return about, fault.New(fault.Invalid, "%s is there already. Give a new name; a backup is never written over.", w.To)
		}
		if err := os.Rename(part, w.To); err != nil { // a disk without hard links
			return about, unwritable(w.To, err)
		}
	}
	return about, syncFolder(filepath.Dir(w.To))
}

// soundCopy copies a folder of records and replays its ledger: whether every entry,
// hash, signature and table is as it must be. It returns the number of entries.
func soundCopy(ctx context.Context, yard, trial string, clock civil.Clock) (int64, error) {
	if err := os.Mkdir(trial, 0o700); err != nil {
		return 0, err
	}
	for _, name := range []string{databaseName, keyName} {
		if err := copyFile(filepath.Join(yard, name), filepath.Join(trial, name)); err != nil {
			return 0, err
		}
	}
	st, err := store.Open(ctx, store.Options{Dir: trial, Clock: clock, MustExist: true})
	if err != nil {
		return 0, err
	}
	report, err := st.Rebuild(ctx)
	if err = errors.Join(err, st.Close()); err != nil {
		return 0, err
	}
	condition, err := store.Examine(ctx, trial)
	if err != nil {
		return 0, err
	}
	if len(condition.Damaged)+len(condition.Dangling) > 0 {
		return 0, fault.New(fault.Unusable, "The record is damaged: %s. Go back to an older backup; run rungbook doctor for all of it.", append(condition.Damaged, condition.Dangling...)[0])
	}
	if !report.Equal() {
		return 0, fault.New(fault.Unusable, "The record is not what its ledger says. Run rungbook rebuild for where.\n%s", report.String())
	}
	return report.Entries, nil
}

// pack writes the file of a backup.
func pack(to, yard string, names []string, about About, passphrase string) (err error) {
	f, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	var out io.Writer = f
	end := func() error { return nil }
	if passphrase != "" {
		r, err := age.NewScryptRecipient(passphrase)
		if err != nil {
			return err
		}
		sealed, err := age.Encrypt(f, r)
		if err != nil {
			return err
		}
		out, end = sealed, sealed.Close
	}
	z := gzip.NewWriter(out)
	t := tar.NewWriter(z)
	text, err := json.MarshalIndent(about, "", " ")
	if err != nil {
		return err
	}
	if err := t.WriteHeader(&tar.Header{Name: aboutName, Mode: 0o600, Size: int64(len(text)), Format: tar.FormatPAX}); err != nil {
		return err
	}
	if _, err := t.Write(text); err != nil {
		return err
	}
	for _, name := range names {
		if err := packFile(t, filepath.Join(yard, name), name); err != nil {
			return err
		}
	}
	return errors.Join(t.Close(), z.Close(), end(), f.Sync())
}

func packFile(t *tar.Writer, path, name string) (err error) {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	info, err := f.Stat()
	if err != nil {
		return err
	}
	if err := t.WriteHeader(&tar.Header{Name: name, Mode: 0o600, Size: info.Size(), Format: tar.FormatPAX}); err != nil {
		return err
	}
	_, err = io.Copy(t, f)
	return err
}

func sumOf(path string) (string, error) {
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

// copyFile copies a file to a new one that only this user may read.
func copyFile(from, to string) (err error) {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Sync(), out.Close())
}

func syncFolder(dir string) error {
	f, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

func unwritable(to string, err error) error {
	return &fault.Error{Kind: fault.Unusable, Message: fmt.Sprintf("%s can't be written: %v", to, plain(err)), Err: err}
}

func unreadable(from string, err error) error {
	return &fault.Error{Kind: fault.Unusable, Message: fmt.Sprintf("%s can't be read: %v", from, plain(err)), Err: err}
}

// plain is the innermost cause.
func plain(err error) error {
	for inner := errors.Unwrap(err); inner != nil; inner = errors.Unwrap(err) {
		err = inner
	}
	return err
}
