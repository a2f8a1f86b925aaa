package store

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"golang.org/x/mod/sumdb/note"

	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/ledger"
)

// originPrefix comes before the log's id in its origin line.
const originPrefix = "rungbook/"

// A key signs the ledger's checkpoints. Its file is secret and stands beside
// the database: mode 0600, one line, the text form of signed notes.
type key struct {
	note.Signer
	verifier note.Verifier
	public   string // the verifier's text form
}

// yard returns the id in the key's origin.
func (k key) yard() id.Yard { return id.Yard(strings.TrimPrefix(k.Name(), originPrefix)) }

// loadKey reads the key file. Where there is neither key nor database it makes
// one; either without the other is fault.Unusable: a database could not be
// signed, and a key that signed one ledger must not begin a second.
func loadKey(file, database string, maker *id.Maker, random io.Reader) (key, error) {
	_, err := os.Stat(database)
	kept := err == nil
	text, err := os.ReadFile(file)
	switch {
	case err == nil && !kept:
		return key{}, fault.New(fault.Unusable, "%s is missing beside its key: put the database back from the backup; a new yard begins in an empty folder", database)
	case err == nil:
		return parseKey(file, string(text))
	case !errors.Is(err, fs.ErrNotExist):
		return key{}, err
	}
	if kept {
		return key{}, fault.New(fault.Unusable, "%s is missing beside its database: put the key file back from the backup; without it nothing can be signed", file)
	}
	signer, _, err := ledger.NewKey(random, originPrefix+maker.New())
	if err != nil {
		return key{}, err
	}
	if err := writeKey(file, signer+"\n"); err != nil {
		return key{}, err
	}
	return parseKey(file, signer)
}

func parseKey(file, text string) (key, error) {
	bad := func(err error) error {
		return &fault.Error{Kind: fault.Unusable, Message: file + " does not hold the signing key of a Rungbook ledger; put it back from the backup", Err: err}
	}
	text = strings.TrimSpace(text)
	signer, err := note.NewSigner(text)
	if err != nil {
		return key{}, bad(err)
	}
	public, err := ledger.VerifierKey(text)
	if err != nil {
		return key{}, bad(err)
	}
	verifier, err := note.NewVerifier(public)
	if err != nil {
		return key{}, bad(err)
	}
	return key{signer, verifier, public}, nil
}

// writeKey writes the whole key or nothing: a half-written key would lock the
// ledger for ever.
func writeKey(file, text string) error {
	f, err := os.CreateTemp(filepath.Dir(file), "key-*") // made with mode 0600
	if err != nil {
		return err
	}
	_, err = f.WriteString(text)
	if err == nil {
		err = f.Sync()
	}
	err = errors.Join(err, f.Close())
	if err == nil {
		err = os.Rename(f.Name(), file)
	}
	if err != nil {
		return errors.Join(err, os.Remove(f.Name()))
	}
	return nil
}
