package store

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"rungbook/internal/fault"
)

// FilesName is the folder beside the database in which files lie, each named by the
// hex SHA-256 of its bytes.
const FilesName = "evidence"

// KeepFile puts a file beside the database and sees it onto the disk, before any
// entry names it: a file that no entry names harms nothing, an entry without its file
// would. The same bytes are kept once. It returns their hex SHA-256.
func (s *Store) KeepFile(b []byte) (hash string, err error) {
	hash, err = keepFile(s.options.Dir, b, !s.options.hasty)
	return hash, s.usable(err)
}

// KeepFileIn is KeepFile for a folder of records that is being brought back.
func KeepFileIn(dir string, b []byte) (hash string, err error) {
	hash, err = keepFile(dir, b, true)
	return hash, unusable(filepath.Join(dir, FilesName), err)
}

func keepFile(dir string, b []byte, sync bool) (hash string, err error) {
	sum := sha256.Sum256(b)
	hash = hex.EncodeToString(sum[:])
	folder := filepath.Join(dir, FilesName)
	if _, err := ReadFile(dir, hash); err == nil {
		return hash, nil
	}
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return "", err
	}
	part, err := os.CreateTemp(folder, ".part-") // for its user only
	if err != nil {
		return "", err
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, ignoreMissing(os.Remove(part.Name())))
		}
	}()
	_, err = part.Write(b)
	if sync {
		err = errors.Join(err, part.Sync())
	}
	if err = errors.Join(err, part.Close()); err != nil {
		return "", err
	}
	if err := os.Rename(part.Name(), filepath.Join(folder, hash)); err != nil {
		return "", err
	}
	if !sync {
		return hash, nil
	}
	return hash, errors.Join(syncFile(folder), syncFile(dir))
}

func ignoreMissing(err error) error {
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return err
}

// File returns a file that lies beside the database. Errors: fault.NotFound where it
// is missing, fault.Unusable where its bytes are not what its name says.
func (s *Store) File(hash string) ([]byte, error) { return ReadFile(s.options.Dir, hash) }

// File is Store.File for whoever reads a view.
func (v *View) File(hash string) ([]byte, error) { return v.s.File(hash) }

// ReadFile is File of a folder of records that is not open.
func ReadFile(dir, hash string) ([]byte, error) {
	if !isHash(hash) {
		return nil, fault.New(fault.NotFound, "There is no such file.")
	}
	b, err := os.ReadFile(filepath.Join(dir, FilesName, hash))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fault.New(fault.NotFound, "The file %s is missing beside the database. Bring it back from a backup.", hash)
	}
	if err != nil {
		return nil, err
	}
	if sum := sha256.Sum256(b); hex.EncodeToString(sum[:]) != hash {
		return nil, fault.New(fault.Unusable, "The file %s is not as it was put in: its SHA-256 differs. Bring it back from a backup.", hash)
	}
	return b, nil
}
