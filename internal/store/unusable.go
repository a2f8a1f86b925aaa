package store

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"syscall"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"rungbook/internal/fault"
)

// busyAfter is in how many seconds it is worth another try where another program
// holds the record longer than a write waits for it (common practice, no source).
const busyAfter = 10

// usable turns what SQLite and the file system say about the place of the data
// into one sentence for a person; every other error passes unchanged.
func (s *Store) usable(err error) error { return unusable(s.file(databaseName), err) }

func unusable(file string, err error) error {
	var named *fault.Error
	if err == nil || errors.As(err, &named) || errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	sentence := func(format string) error {
		return &fault.Error{Kind: fault.Unusable, Message: file + format, Err: err}
	}
	var said *sqlite.Error
	if errors.As(err, &said) {
		switch said.Code() & 0xff {
		case sqlite3.SQLITE_FULL:
			return sentence(" can't grow: the disk is full. Nothing was saved; make room and try again")
		case sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM:
			return sentence(" can't be written: the file or its folder is read-only")
		case sqlite3.SQLITE_CANTOPEN:
			return sentence(" can't be opened: its folder is missing or may not be used by this user")
		case sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB:
			return sentence(" is damaged or is not a Rungbook database; restore it from a backup")
		case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED:
			return &fault.Error{Kind: fault.Busy, After: busyAfter, Err: err,
				Message: fmt.Sprintf("Another program is writing to the record. Nothing of yours was saved; try again in about %d s.", busyAfter)}
		case sqlite3.SQLITE_IOERR: // of a full disk too, while it makes the files beside the database
			return sentence(" can't be read or written: the disk is full or reports an error. Nothing was saved; make room or see to the disk, and try again")
		}
		return err
	}
	switch {
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT), errors.Is(err, syscall.EFBIG):
		return sentence(" can't be written: the disk is full. Nothing was saved; make room and try again")
	case errors.Is(err, syscall.EROFS), errors.Is(err, fs.ErrPermission):
		return sentence(" can't be written: the folder is read-only or may not be used by this user")
	case errors.Is(err, syscall.ENOTDIR):
		return sentence(" can't be used: a file stands where the folder should be")
	case errors.Is(err, syscall.EISDIR):
		return sentence(" or its key can't be used: a folder stands where the file should be")
	}
	return err
}

// closing closes c after err and returns err, with a failed close told too.
func closing(c io.Closer, err error) error { return errors.Join(err, c.Close()) }
