package store

import (
	"context"
	"crypto/rand"
	"database/sql"
	"errors"
	"io"
	"io/fs"
	"log/slog"
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"
	"time"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/ledger"
	"rungbook/internal/session"
)

// The files of a store, all in one folder.
const (
	databaseName = "rungbook.db"
	keyName      = "rungbook.key"
	signInsName  = "signin.db"
)

// Options say where a store is and what it draws on.
type Options struct {
	Dir    string
	Clock  civil.Clock
	Random io.Reader    // nil = crypto/rand
	Log    *slog.Logger // nil = silent

	// Waited is told how long each write waited for the one writer; nil = nobody.
	Waited func(time.Duration)

	MustExist bool // make nothing: a folder without a database is fault.Unusable

	breakAt func(step string) error // tests break a write at a named step
	hasty   bool                    // tests of meaning don't wait for the disk
}

// Store is one yard's record. It is safe for use by many goroutines: reads run
// beside each other and beside the one write.
type Store struct {
	options Options
	maker   *id.Maker
	key     key
	signIns *SignIns

	write    chan *conn // holds the one writing connection while nobody writes
	writable bool       // there is one
	writeDB  *sql.DB
	pool     *pool
	closing  sync.Once
	closed   error

	wrote   chan struct{} // closed by the next commit
	telling sync.Mutex    // guards wrote

	place      atomic.Pointer[place]
	references references
	sessions   bodies[session.Session]

	long atomic.Pointer[longWrite] // the long write under way, nil for none

	edge  map[int64]ledger.Hash // stored hashes that the next root needs; owned by the writer
	known map[string]bool       // ids known to be on record; owned by the writer
	rows  *projector            // of the writes so far, nil = a new one; owned by the writer
	stood int64                 // the ledger's size when rows was kept; another server on the folder may write too
	mu    sync.Mutex            // guards maker
}

// Open opens the store in a folder and makes folder, key and database where
// there are none. Errors: fault.Unusable with one sentence for a damaged or
// newer database, a missing or foreign key, a folder that can't be written, a
// full disk.
func Open(ctx context.Context, o Options) (*Store, error) {
	if o.Random == nil {
		o.Random = rand.Reader
	}
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	var err error
	if o.Dir, err = filepath.Abs(o.Dir); err != nil {
		return nil, err
	}
	s := &Store{options: o, maker: id.NewMaker(o.Random), write: make(chan *conn, 1), known: map[string]bool{}, wrote: make(chan struct{})}
	s.place.Store(&place{zone: utc})
	if err := s.open(ctx); err != nil {
		return nil, s.usable(errors.Join(err, s.Close()))
	}
	return s, nil
}

// utc serves until the yard's own record names its zone.
var utc = func() civil.Zone {
	z, err := civil.LoadZone("UTC")
	if err != nil {
		panic("store: the embedded zones lack UTC: " + err.Error())
	}
	return z
}()

func (s *Store) open(ctx context.Context) error {
	if _, err := os.Stat(s.file(databaseName)); s.options.MustExist && errors.Is(err, fs.ErrNotExist) {
		return fault.New(fault.Unusable, "There is no Rungbook database in %s.", s.options.Dir)
	}
	if err := os.MkdirAll(s.options.Dir, 0o700); err != nil {
		return err
	}
	var err error
	if s.key, err = loadKey(s.file(keyName), s.file(databaseName), s.maker, s.options.Random); err != nil {
		return err
	}
	s.options.Log.Debug("ledger key read", "origin", s.key.Name())
	if err := s.openWriter(ctx); err != nil {
		return err
	}
	readDB, err := openDatabase(ctx, s.file(databaseName), reading)
	if err != nil {
		return err
	}
	s.pool = newPool(readDB)
	err = s.Read(ctx, func(v *View) error {
		if err := s.checkHead(v); err != nil {
			return err
		}
		return s.loadPlace(v)
	})
	if err != nil {
		return err
	}
	s.signIns, err = openSignIns(ctx, s.file(signInsName))
	return err
}

func (s *Store) openWriter(ctx context.Context) error {
	if err := touch(s.file(databaseName)); err != nil {
		return err
	}
	how := writing
	if s.options.hasty {
		how = scratch
	}
	var err error
	if s.writeDB, err = openDatabase(ctx, s.file(databaseName), how); err != nil {
		return err
	}
	if err := migrate(ctx, s.writeDB, s.file(databaseName), s.options.Log); err != nil {
		return err
	}
	c, err := newConn(ctx, s.writeDB)
	if err != nil {
		return err
	}
	s.write <- c
	s.writable = true
	return nil
}

// touch makes a file that only this user may read; SQLite gives the files it
// puts beside it the same mode.
func touch(file string) error {
	f, err := os.OpenFile(file, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return err
	}
	return f.Close()
}

func (s *Store) file(name string) string { return filepath.Join(s.options.Dir, name) }

// Wrote returns a channel that is closed once something more is written.
func (s *Store) Wrote() <-chan struct{} {
	s.telling.Lock()
	defer s.telling.Unlock()
	return s.wrote
}

func (s *Store) tellWritten() {
	s.telling.Lock()
	defer s.telling.Unlock()
	close(s.wrote)
	s.wrote = make(chan struct{})
}

// Close ends the store after the write that is under way. Writes that come
// later are refused. Closing again does nothing.
func (s *Store) Close() error {
	s.closing.Do(func() { s.closed = s.close() })
	return s.closed
}

func (s *Store) close() error {
	var errs []error
	if s.signIns != nil {
		errs = append(errs, s.signIns.close())
	}
	if s.pool != nil {
		errs = append(errs, s.pool.close())
	}
	if s.writable {
		c := <-s.write
		close(s.write)
		errs = append(errs, c.close())
	}
	if s.writeDB != nil {
		errs = append(errs, s.writeDB.Close())
	}
	return errors.Join(errs...)
}

// Zone returns the time zone of the yard's record, UTC until there is one.
func (s *Store) Zone() civil.Zone { return s.place.Load().zone }

// YardID returns the id that this store's yard record takes: the one in the
// origin line of its checkpoints.
func (s *Store) YardID() id.Yard { return s.key.yard() }

// SignIns returns the keeper of sign-in sessions.
func (s *Store) SignIns() *SignIns { return s.signIns }

// place is what the yard's record says of every entry: whose it is and which
// clock it shows.
type place struct {
	yard id.Yard // "" until there is one
	zone civil.Zone
}

// loadPlace takes the yard's record that stands.
func (s *Store) loadPlace(v *View) error {
	r, err := v.Reference()
	if err != nil {
		return err
	}
	yard, ok := r.YardOn(v.Day())
	if !ok {
		return nil
	}
	z, err := civil.LoadZone(yard.Zone)
	if err != nil {
		return err
	}
	s.place.Store(&place{yard.ID, z})
	return nil
}
