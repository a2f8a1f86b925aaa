package safekeeping

import (
	"archive/tar"
	"bufio"
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"filippo.io/age"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
)

// Return says what is to be brought back.
type Return struct {
	From       string // a backup
	Dir        string // the folder to make; absent or empty
	Passphrase string
	KeyFile    string // the signing key, for a backup that has none
	Clock      civil.Clock
}

// Restore makes a folder of records from a backup: sums, ledger and tables are
// checked before the folder stands under its name. It writes over nothing. Errors:
// fault.Unusable and fault.Invalid with what to do.
func Restore(ctx context.Context, r Return) (about About, err error) {
	if err := vacant(r.Dir); err != nil {
		return about, err
	}
	parent := filepath.Dir(r.Dir)
	if err := os.MkdirAll(parent, 0o700); err != nil {
		return about, unwritable(r.Dir, err)
	}
	room, err := os.MkdirTemp(parent, ".rungbook-restore-")
	if err != nil {
		return about, unwritable(r.Dir, err)
	}
	defer func() { err = errors.Join(err, os.RemoveAll(room)) }()
	yard := filepath.Join(room, "yard")
	if err := os.Mkdir(yard, 0o700); err != nil {
		return about, unwritable(r.Dir, err)
	}
	if about, err = unpack(ctx, r.From, yard, r.Passphrase); err != nil {
		return about, err
	}
	if err := r.key(yard, about); err != nil {
		return about, err
	}
	found, err := soundCopy(ctx, yard, filepath.Join(room, "trial"), r.Clock)
	if err != nil {
		return about, err
	}
	if found.entries != about.Entries || about.Head != "" && found.head != about.Head {
		return about, fault.New(fault.Unusable, "%s says that it holds %d entries, and holds %d or others. Use another backup.", r.From, about.Entries, found.entries)
	}
	if err := os.Remove(r.Dir); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return about, unwritable(r.Dir, err)
	}
	if err := os.Rename(yard, r.Dir); err != nil {
		return about, unwritable(r.Dir, err)
	}
	return about, syncFolder(parent)
}

// vacant refuses a folder that holds anything.
func vacant(dir string) error {
	list, err := os.ReadDir(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return unreadable(dir, err)
	case len(list) > 0:
		return fault.New(fault.Invalid, "%s is not empty. Give a folder that does not exist; nothing is ever written over.", dir)
	}
	return nil
}

// key puts the signing key beside the database.
func (r Return) key(yard string, about About) error {
	_, packed := about.Files[keyName]
	switch {
	case packed && r.KeyFile != "":
		return fault.New(fault.Invalid, "%s holds the signing key itself. Leave --key out.", r.From)
	case packed:
		return nil
	case r.KeyFile == "":
		return fault.New(fault.Invalid, "%s holds no signing key, without which nothing can be checked or written. Give the kept %s with --key FILE.", r.From, keyName)
	}
	if err := copyFile(r.KeyFile, filepath.Join(yard, keyName)); err != nil {
		return unreadable(r.KeyFile, err)
	}
	return nil
}

// ageMark begins every file that age wrote (age-encryption.org/v1).
var ageMark = []byte("age-encryption.org/")

// mostAbout is the longest description of a backup that is read.
const mostAbout = 1 << 20

// unpack reads a backup into an empty folder and compares every sum; "" = compares
// them and writes nothing.
func unpack(ctx context.Context, from, into, passphrase string) (about About, err error) {
	f, err := os.Open(from)
	if err != nil {
		return about, unreadable(from, err)
	}
	defer f.Close()
	return unpackFrom(from, whileWanted{ctx, f}, into, passphrase)
}

func unpackFrom(from string, file io.Reader, into, passphrase string) (about About, err error) {
	broken := func(err error) error {
		var named *fault.Error
		if errors.As(err, &named) || errors.Is(err, context.Canceled) {
			return err
		}
		return &fault.Error{Kind: fault.Unusable, Message: from + " is not a whole Rungbook backup: " + plain(err).Error() + ". Use another.", Err: err}
	}
	in, err := opened(from, bufio.NewReader(file), passphrase)
	if err != nil {
		return about, broken(err)
	}
	z, err := gzip.NewReader(in)
	if err != nil {
		return about, broken(err)
	}
	t := tar.NewReader(z)
	if about, err = aboutOf(t); err != nil {
		return about, broken(err)
	}
	if about.Format != format {
		return about, fault.New(fault.Unusable, "%s is a backup of the form %q, this program reads %q. Use the program that made it.", from, about.Format, format)
	}
	if err := unpackFiles(t, into, about); err != nil {
		return about, broken(err)
	}
	if _, err := io.Copy(io.Discard, z); err != nil { // to the end: age and gzip check it there
		return about, broken(err)
	}
	return about, nil
}

// aboutOf reads what stands first in a backup.
func aboutOf(t *tar.Reader) (about About, err error) {
	head, err := t.Next()
	if err != nil {
		return about, err
	}
	if head.Name != aboutName {
		return about, errors.New("it does not begin with " + aboutName)
	}
	err = json.NewDecoder(io.LimitReader(t, mostAbout)).Decode(&about)
	return about, err
}

// opened takes off the encryption.
func opened(from string, in *bufio.Reader, passphrase string) (io.Reader, error) {
	mark, err := in.Peek(len(ageMark))
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, err
	}
	if !bytes.Equal(mark, ageMark) {
		if passphrase != "" {
			return nil, fault.New(fault.Invalid, "%s is not encrypted. Leave the passphrase out.", from)
		}
		return in, nil
	}
	if passphrase == "" {
		return nil, fault.New(fault.Invalid, "%s is encrypted. Give its passphrase, as a file with --passphrase-file or in RUNGBOOK_PASSPHRASE.", from)
	}
	who, err := age.NewScryptIdentity(passphrase)
	if err != nil {
		return nil, err
	}
	out, err := age.Decrypt(in, who)
	if noMatch := (*age.NoIdentityMatchError)(nil); errors.As(err, &noMatch) {
		return nil, fault.New(fault.Invalid, "This is not the passphrase of %s.", from)
	}
	return out, err
}

// unpackFiles writes the files that a backup says it holds, and no others.
func unpackFiles(t *tar.Reader, into string, about About) error {
	got := map[string]bool{}
	for {
		head, err := t.Next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return err
		}
		want, named := about.Files[head.Name]
		hash, file := fileHash(head.Name)
		if !named || got[head.Name] || head.Name != databaseName && head.Name != keyName && !(file && hash == want) {
			return errors.New("it holds " + head.Name + ", of which it does not speak")
		}
		got[head.Name] = true
		sum, err := sumInto(into, head.Name, t)
		if err != nil {
			return err
		}
		if sum != want {
			return errors.New(head.Name + " is not what was saved (its SHA-256 differs)")
		}
	}
	if !got[databaseName] || len(got) != len(about.Files) {
		return errors.New("a file that it speaks of is missing")
	}
	return nil
}

// sumInto writes what in gives to a file of a folder, "" = to none, and returns its
// hex SHA-256.
func sumInto(dir, name string, in io.Reader) (sum string, err error) {
	h := sha256.New()
	if dir == "" {
		_, err = io.Copy(h, in)
		return hex.EncodeToString(h.Sum(nil)), err
	}
	path := filepath.Join(dir, filepath.FromSlash(name))
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return "", unwritable(path, err)
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return "", unwritable(path, err)
	}
	read := &readError{in: in}
	_, err = io.Copy(io.MultiWriter(f, h), read)
	if err = errors.Join(err, f.Sync(), f.Close()); err != nil && read.err == nil {
		return "", unwritable(path, err)
	}
	return hex.EncodeToString(h.Sum(nil)), err
}

// readError tells a failure to read from one to write.
type readError struct {
	in  io.Reader
	err error
}

func (r *readError) Read(p []byte) (int, error) {
	n, err := r.in.Read(p)
	if err != nil && !errors.Is(err, io.EOF) {
		r.err = err
	}
	return n, err
}
