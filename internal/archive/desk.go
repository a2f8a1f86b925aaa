package archive

import (
	"context"
	"errors"
	"io"
	"os"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/store"
)

// Desk hands archives out while a server runs. The signing key never leaves by it.
type Desk struct {
	store   *store.Store
	clock   civil.Clock
	version string
}

// New returns the desk of a store.
func New(s *store.Store, clock civil.Clock, version string) *Desk { return &Desk{s, clock, version} }

// Held is one list of an archive, as a page tells it.
type Held struct{ Name, Says string }

// Holds returns the lists that an archive holds; those for readers are one.
func Holds() []Held {
	var out []Held
	for _, p := range parts() {
		if p.readBack() {
			out = append(out, Held{p.name, p.says})
		}
	}
	return append([]Held{{"records/", "What stands now, a list for each kind of record, with what people typed in the clear."}}, out...)
}

// Taken is an archive that was written whole to a file without a name, so that a
// failure shows as one and a slow reader keeps nobody waiting.
type Taken struct {
	Size int64
	file *os.File
}

// Take writes an archive. Close it after use. Errors: fault.Forbidden.
func (d *Desk) Take(ctx context.Context, actor access.Actor) (t *Taken, err error) {
	if _, err := access.Require(actor, access.TakeArchive); err != nil {
		return nil, err
	}
	f, err := os.CreateTemp("", "rungbook-archive-") // for this user only
	if err != nil {
		return nil, err
	}
	t = &Taken{file: f}
	if _, err = Write(ctx, d.store, f, Form{Version: d.version, Clock: d.clock}); err == nil {
		if t.Size, err = f.Seek(0, io.SeekCurrent); err == nil {
			_, err = f.Seek(0, io.SeekStart)
		}
	}
	if err != nil {
		return nil, errors.Join(err, t.Close())
	}
	return t, nil
}

// WriteTo sends the archive.
func (t *Taken) WriteTo(w io.Writer) (int64, error) { return io.Copy(w, t.file) }

// Close forgets the archive.
func (t *Taken) Close() error { return errors.Join(t.file.Close(), os.Remove(t.file.Name())) }
