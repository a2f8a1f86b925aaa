package safekeeping

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"rungbook/internal/civil"
)

// Known is how far a file is known to be a backup of a yard.
type Known string

// The ways of knowing. Only the first two count.
const (
	ReadThrough Known = "read-through" // opened: every sum in it holds
	HashHolds   Known = "hash-holds"   // encrypted and not opened: its hash is what its sidecar states
	Unread      Known = "unread"       // not looked at yet
	Damaged     Known = "damaged"      // not what was saved
	Unstated    Known = "unstated"     // encrypted, and nothing beside it says what it is
	Foreign     Known = "foreign"      // another yard's, or it does not say whose
)

// Found is one file in a folder of backups.
type Found struct {
	Name      string
	Size      int64 // bytes
	Known     Known
	Why       string // where it does not count: what is the matter
	Sum       string // hex SHA-256 of the file; "" = not read
	Encrypted bool
	ByServer  bool          // its sidecar says that a schedule made it
	HasKey    bool          // the signing key is in it
	Made      civil.Instant // as it states itself, or its sidecar; 0 = it does not
	Entries   int64         // of the ledger
	Head      string        // hex root hash of those entries
	Version   string
}

// Good reports whether a backup counts at a moment.
func (f Found) Good(now civil.Instant) bool {
	return (f.Known == ReadThrough || f.Known == HashHolds) && f.Made != 0 && f.Made <= now.Add(slack)
}

// Says is how a good backup is known, after "it was".
func (k Known) Says() string {
	if k == HashHolds {
		return "not opened, only its hash checked"
	}
	return "opened, and every sum in it holds"
}

// Matter is why a backup does not count at a moment, in a sentence; "" = it does.
func (f Found) Matter(now civil.Instant) string {
	if f.Good(now) {
		return ""
	}
	if f.Why == "" {
		return "It is dated after now: set the clock of this machine, or take it away."
	}
	return f.Why
}

// Folder is a folder of backups. It remembers what it has read, so that a page
// need not wait for it. It may be used by several goroutines.
type Folder struct {
	dir, yard string

	mu   sync.Mutex
	seen map[string]reading
}

// reading is a file as it was when it was read.
type reading struct {
	stamp [2]fileStamp // of the file and its sidecar
	at    civil.Instant
	found Found
	stray bool
}

type fileStamp struct {
	changed time.Time
	size    int64
}

// NewFolder returns a folder; yard is the public half of the key that signs the
// ledger whose backups count, "" = of any yard.
func NewFolder(dir, yard string) *Folder {
	return &Folder{dir: dir, yard: yard, seen: map[string]reading{}}
}

// List returns the backups of the folder, newest first, and how many other files
// lie there. What was not read since it changed is Unread. The error says why the
// folder can't be read.
func (f *Folder) List() (list []Found, strays int, err error) {
	names, err := f.names()
	if err != nil {
		return nil, 0, err
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	for name := range f.seen {
		if !slices.Contains(names, name) {
			delete(f.seen, name)
		}
	}
	for _, name := range names {
		stamp, there := f.stamp(name)
		seen, known := f.seen[name]
		switch {
		case !there: // went while we looked
		case known && seen.stamp == stamp && seen.stray:
			strays++
		case known && seen.stamp == stamp:
			list = append(list, seen.found)
		default:
			list = append(list, Found{Name: name, Size: stamp[0].size, Known: Unread, Why: "It was not read yet."})
		}
	}
	slices.SortFunc(list, newestFirst)
	return list, strays, nil
}

// Read reads every file that it has not read since it changed, or since before a
// moment: a disk can spoil a file that nobody touched.
func (f *Folder) Read(ctx context.Context, before, now civil.Instant) error {
	names, err := f.names()
	if err != nil {
		return err
	}
	for _, name := range names {
		stamp, there := f.stamp(name)
		f.mu.Lock()
		seen, known := f.seen[name]
		f.mu.Unlock()
		if !there || known && seen.stamp == stamp && seen.at >= before {
			continue
		}
		found, stray := f.look(ctx, name, stamp[0].size)
		if err := ctx.Err(); err != nil {
			return err
		}
		f.mu.Lock()
		f.seen[name] = reading{stamp, now, found, stray}
		f.mu.Unlock()
	}
	return nil
}

// names are the files that may be backups: not hidden, no folder, no sidecar.
func (f *Folder) names() (out []string, err error) {
	list, err := os.ReadDir(f.dir)
	for _, e := range list {
		if e.Type().IsRegular() && !strings.HasPrefix(e.Name(), ".") && !strings.HasSuffix(e.Name(), sidecarEnd) {
			out = append(out, e.Name())
		}
	}
	return out, err
}

func (f *Folder) stamp(name string) (out [2]fileStamp, there bool) {
	for i, n := range []string{name, name + sidecarEnd} {
		info, err := os.Lstat(filepath.Join(f.dir, n))
		if err == nil {
			out[i] = fileStamp{info.ModTime(), info.Size()}
		} else if i == 0 {
			return out, false
		}
	}
	return out, true
}

// look reads one file whole. stray is a file that nothing says is a backup.
func (f *Folder) look(ctx context.Context, name string, size int64) (found Found, stray bool) {
	found = Found{Name: name, Size: size}
	path := filepath.Join(f.dir, name)
	beside, err := readSidecar(path + sidecarEnd)
	stated := err == nil
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		found.Known, found.Why = Damaged, fmt.Sprintf("%s can't be used: %v.", name+sidecarEnd, plain(err))
		return found, false
	}
	if stated {
		found.Encrypted, found.ByServer = beside.Encrypted, beside.ByServer
		found.state(beside.About)
	}
	about, err := found.readFile(ctx, path)
	switch {
	case !stated && !strings.HasSuffix(name, nameEnd) && (err != nil || found.Encrypted):
		return found, true
	case errors.Is(err, fs.ErrPermission):
		found.Known, found.Why = Damaged, "It can't be read: "+plain(err).Error()+"."
	case err != nil:
		found.Known, found.Why = Damaged, "It is damaged: "+plain(err).Error()+"."
	case stated && (beside.Sum != found.Sum || beside.Size != found.Size || beside.File != name):
		found.Known, found.Why = Damaged, "It is not the file that "+name+sidecarEnd+" speaks of: name, size or SHA-256 differ."
	case found.Encrypted && !stated:
		found.Known, found.Why = Unstated, "It is encrypted, and no "+name+sidecarEnd+" beside it says what it is."
	case found.Encrypted:
		about, found.Known = beside.About, HashHolds
	default:
		found.state(about)
		found.Known = ReadThrough
	}
	if found.Known == ReadThrough || found.Known == HashHolds {
		f.judge(&found, about)
	}
	return found, false
}

// judge says whether a whole backup is one of this yard's.
func (f *Folder) judge(found *Found, about About) {
	switch {
	case about.Format != format:
		found.Known, found.Why = Damaged, fmt.Sprintf("It is of the form %q, this program reads %q.", about.Format, format)
	case found.Made == 0:
		found.Known, found.Why = Damaged, "It does not say when it was made."
	case about.Yard == "" || f.yard != "" && about.Yard != f.yard:
		found.Known, found.Why = Foreign, "It is of another yard, or does not say of which."
	}
}

// state takes over what a backup states of itself.
func (f *Found) state(a About) {
	f.Entries, f.Head, f.Version = a.Entries, a.Head, a.Version
	_, f.HasKey = a.Files[keyName]
	f.Made = 0
	if made, err := time.Parse(time.RFC3339, a.Made); err == nil {
		f.Made = civil.InstantOf(made)
	}
}

// readFile reads a file to its end and fills in its hash. A backup that is not
// encrypted is opened, and every sum in it compared.
func (f *Found) readFile(ctx context.Context, path string) (about About, err error) {
	file, err := os.Open(path)
	if err != nil {
		return about, err
	}
	defer file.Close()
	hash := sha256.New()
	counted := &counter{}
	in := io.TeeReader(whileWanted{ctx, file}, io.MultiWriter(hash, counted))
	mark := make([]byte, len(ageMark))
	n, err := io.ReadFull(in, mark)
	if err != nil && !errors.Is(err, io.ErrUnexpectedEOF) && !errors.Is(err, io.EOF) {
		return about, err
	}
	if f.Encrypted = bytes.Equal(mark[:n], ageMark); !f.Encrypted {
		about, err = unpackFrom(path, io.MultiReader(bytes.NewReader(mark[:n]), in), "", "")
		if err != nil {
			return about, err
		}
	}
	if _, err := io.Copy(io.Discard, in); err != nil {
		return about, err
	}
	f.Sum, f.Size = hex.EncodeToString(hash.Sum(nil)), counted.n
	return about, nil
}

// counter counts bytes.
type counter struct{ n int64 }

func (c *counter) Write(p []byte) (int, error) {
	c.n += int64(len(p))
	return len(p), nil
}
