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
	"context"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"syscall"
	"time"

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
	Version string            `json:"version"`        // of the program that made it
	Made    string            `json:"made"`           // UTC, RFC 3339
	Entries int64             `json:"entries"`        // of the ledger
	Head    string            `json:"head,omitempty"` // hex root hash of the ledger's tree of those entries
	Yard    string            `json:"yard,omitempty"` // public half of the key that signs the ledger, as in signed notes
	Files   map[string]string `json:"files"`          // hex SHA-256 by name
}

// Wish says how a backup is to be made.
type Wish struct {
	Dir        string // the folder of records
	To         string // the file to write, which must not exist; or a folder, in which it is named by its moment
	Key        bool   // take the signing key along
	Passphrase string // encrypts the backup; "" = not encrypted
	Version    string
	Clock      civil.Clock
	ByServer   bool // it is one of a schedule, which takes it away again in time
}

// Made is a backup that stands.
type Made struct {
	About
	Path string
	Size int64
	Sum  string // hex SHA-256 of the file
}

// Backup writes a backup, also while a server writes to the record, reads it back
// and checks it; only then does it stand under its name, with a sidecar that states
// what it is. Errors: fault.Unusable and fault.Invalid with what to do.
func Backup(ctx context.Context, w Wish) (made Made, err error) {
	if info, err := os.Stat(w.To); err == nil && !info.IsDir() {
		return made, taken(w.To)
	}
	beside, work, err := w.rooms()
	if err != nil {
		return made, err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(beside), os.RemoveAll(work)) }()
	if made.About, err = w.gather(ctx, work); err != nil {
		return made, err
	}
	part := filepath.Join(beside, "part")
	if err := pack(ctx, part, filepath.Join(work, "yard"), made.About, w.Passphrase); err != nil {
		return made, unwritable(w.To, err)
	}
	if _, err := unpack(ctx, part, "", w.Passphrase); err != nil {
		return made, err
	}
	if made.Sum, err = sumOf(part); err != nil {
		return made, unreadable(part, err)
	}
	info, err := os.Stat(part)
	if err != nil {
		return made, unreadable(part, err)
	}
	made.Size = info.Size()
	if err := w.stand(part, &made); err != nil {
		return made, err
	}
	return made, syncFolder(filepath.Dir(made.Path))
}

func taken(to string) error {
	return fault.New(fault.Invalid, "%s is there already. Give a new name; a backup is never written over.", to)
}

// folder is where the backup is to stand.
func (w Wish) folder() string {
	if info, err := os.Stat(w.To); err == nil && info.IsDir() {
		return w.To
	}
	return filepath.Dir(w.To)
}

// roomMark begins the names of folders in which a backup comes to be.
const roomMark = ".rungbook-backup-"

// rooms makes two folders of our own: one on the disk where the backup is to stand,
// and one for copies that are not encrypted. Where the backup is to be encrypted
// those stay off its disk: in the folder of records, or else in the system's own.
// Their disk is not filled to the brim: a server may be recording on it.
func (w Wish) rooms() (beside, work string, err error) {
	size := int64(0)
	for _, name := range []string{databaseName, databaseName + "-wal"} {
		if info, err := os.Stat(filepath.Join(w.Dir, name)); err == nil {
			size += info.Size()
		}
	}
	size += sizeOfFiles(w.Dir)
	if beside, err = os.MkdirTemp(w.folder(), roomMark); err != nil {
		return "", "", unwritable(w.To, err)
	}
	if work = beside; w.Passphrase != "" {
		if work, err = os.MkdirTemp(w.Dir, roomMark); err != nil {
			work, err = os.MkdirTemp("", roomMark)
		}
	}
	if err == nil {
		if free, ok := freeOn(work); ok && free < uint64(roomNeeded*size) {
			err = fault.New(fault.Unusable, "%s has %s free, and to make and check this backup takes up to %s there. Make room.", filepath.Dir(work), InBytes(int64(free)), InBytes(roomNeeded*size))
		}
	}
	if err != nil {
		return "", "", errors.Join(unwritable(w.To, err), os.RemoveAll(beside), os.RemoveAll(work))
	}
	return beside, work, nil
}

// roomNeeded is how often the database fits into what a backup takes while it comes
// to be: the copy, the copy that is replayed with its fresh tables, the file.
const roomNeeded = 4

// gather copies what the backup is to hold into work/yard and checks it.
func (w Wish) gather(ctx context.Context, work string) (about About, err error) {
	yard := filepath.Join(work, "yard")
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
	for _, name := range []string{databaseName, keyName} {
		if name == keyName && !w.Key {
			continue
		}
		if about.Files[name], err = sumOf(filepath.Join(yard, name)); err != nil {
			return about, err
		}
	}
	// The copy that is checked is opened, which may change its file; the one that is
	// packed is not.
	trial := filepath.Join(work, "trial")
	sound, err := soundCopy(ctx, yard, trial, w.Clock)
	about.Entries, about.Head, about.Yard = sound.entries, sound.head, sound.yard
	if err = errors.Join(err, os.RemoveAll(trial)); err != nil {
		return about, err
	}
	kept, _, err := copyFiles(w.Dir, yard, sound.files)
	for _, hash := range kept {
		about.Files[filesStart+hash] = hash
	}
	return about, err
}

// sound is what a replayed ledger turned out to be.
type sound struct {
	entries    int64
	head, yard string   // as in About
	files      []string // hashes of the files beside the database
}

// soundCopy copies a folder of records and replays its ledger: whether every entry,
// hash, signature and table is as it must be.
func soundCopy(ctx context.Context, yard, trial string, clock civil.Clock) (out sound, err error) {
	if err := os.Mkdir(trial, 0o700); err != nil {
		return out, err
	}
	for _, name := range []string{databaseName, keyName} {
		if err := copyFile(filepath.Join(yard, name), filepath.Join(trial, name)); err != nil {
			return out, err
		}
	}
	st, err := store.Open(ctx, store.Options{Dir: trial, Clock: clock, MustExist: true})
	if err != nil {
		return out, err
	}
	out.yard = st.VerifierKey()
	report, err := st.Rebuild(ctx)
	if err == nil {
		err = st.Read(ctx, func(v *store.View) error {
			_, root, _, err := v.Checkpoint()
			out.head = hex.EncodeToString(root[:])
			if err != nil {
				return err
			}
			out.files, err = v.FileHashes()
			return err
		})
	}
	if err = errors.Join(err, st.Close()); err != nil {
		return out, err
	}
	condition, err := store.Examine(ctx, trial)
	if err != nil {
		return out, err
	}
	if len(condition.Damaged)+len(condition.Dangling) > 0 {
		return out, fault.New(fault.Unusable, "The record is damaged: %s. Go back to an older backup; run rungbook doctor for all of it.", append(condition.Damaged, condition.Dangling...)[0])
	}
	if !report.Equal() {
		return out, fault.New(fault.Unusable, "The record is not what its ledger says. Run rungbook rebuild for where.\n%s", report.String())
	}
	out.entries = report.Entries
	return out, nil
}

func unwritable(to string, err error) error {
	said := fmt.Sprintf("%s can't be written: %v", to, plain(err))
	if errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EDQUOT) || errors.Is(err, syscall.EFBIG) {
		said = fmt.Sprintf("%s can't be written: the disk is full. Make room and try again", to)
	}
	return &fault.Error{Kind: fault.Unusable, Message: said, Err: err}
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
