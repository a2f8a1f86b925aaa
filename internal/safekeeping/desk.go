package safekeeping

import (
	"context"
	"errors"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
)

// Plan says how a server keeps backups of its record.
type Plan struct {
	Data string // the folder of records
	Yard string // the public half of the key that signs its ledger
	To   string // the folder of backups; "" = nobody said where
	Schedule
	Key        bool                   // take the signing key along
	Passphrase func() (string, error) // read anew for each; "" = not encrypted
	Version    string
	Clock      civil.Clock
	Log        *slog.Logger // nil = silent
}

// Desk makes the backups of a server, by schedule and when asked, and says how they
// stand. Run is its one maker; the rest may be called at any time.
type Desk struct {
	plan   Plan
	folder *Folder
	wake   chan struct{}

	mu       sync.Mutex
	asked    []*request // newest last; the ones before are remembered by their key
	failures []Failure  // newest first
	inRow    int        // failures since the last one that was made, by an earlier server too
	tries    int        // of these, this server's: what the wait grows by
	making   civil.Instant
	looked   bool // the folder was read once
}

// Failure is a backup that could not be made.
type Failure struct {
	At    civil.Instant `json:"at"`    // minutes since 1970, UTC
	Why   string        `json:"why"`   // a sentence
	Asked bool          `json:"asked"` // somebody asked for it; else it was due
}

// request is a wish for a backup now.
type request struct {
	key   string
	begun bool
	done  chan struct{} // closed when it was made or failed
	made  Made
	err   error
}

const (
	keysKept     = 64
	failuresKept = 10
	// lookAgain is the longest that the maker sleeps: a clock that was set, or a folder
	// that came back, is seen by then.
	lookAgain = 10 * time.Minute
	// rereadAfter is how long the reading of a file is believed. Common practice, no source.
	rereadAfter = civil.Minutes(7 * 24 * 60)
)

// New returns the desk of a plan.
func New(p Plan) *Desk {
	if p.Log == nil {
		p.Log = slog.New(slog.NewTextHandler(io.Discard, nil))
	}
	if p.Passphrase == nil {
		p.Passphrase = func() (string, error) { return "", nil }
	}
	d := &Desk{plan: p, folder: NewFolder(p.To, p.Yard), wake: make(chan struct{}, 1)}
	d.recall()
	return d
}

// Run makes backups until the context ends; one that is under way is then broken
// off. Where nobody said where they go it only waits. It returns when nothing of
// it runs any more.
func (d *Desk) Run(ctx context.Context) {
	if d.plan.To == "" {
		<-ctx.Done()
		return
	}
	d.sweep()
	for {
		timer := time.NewTimer(d.round(ctx))
		select {
		case <-ctx.Done():
			timer.Stop()
			return
		case <-d.wake:
			timer.Stop()
		case <-timer.C:
		}
	}
}

// round reads the folder, makes what is due or asked for, takes away what need not
// stay, and returns how long to wait.
func (d *Desk) round(ctx context.Context) time.Duration {
	now := d.now()
	if err := d.folder.Read(ctx, now.Add(-rereadAfter), now); err != nil && ctx.Err() == nil {
		d.plan.Log.Error("the folder of backups can't be read", "err", err)
	}
	d.mu.Lock()
	d.looked = true
	d.mu.Unlock()
	if ctx.Err() != nil {
		return 0
	}
	asked := d.begin()
	if asked != nil || d.due() <= d.now() {
		d.make(ctx, asked)
	}
	d.tidy()
	due := time.Unix(int64(d.due())*60, 0)
	return min(max(due.Sub(d.plan.Clock()), time.Second), lookAgain)
}

func (d *Desk) now() civil.Instant { return civil.InstantOf(d.plan.Clock()) }

// begin takes the request that waits, if there is one.
func (d *Desk) begin() *request {
	d.mu.Lock()
	defer d.mu.Unlock()
	for _, r := range d.asked {
		if !r.begun {
			r.begun = true
			return r
		}
	}
	return nil
}

// due is when the next one is due by schedule. A folder that can't be read holds no
// good one: it is tried, and fails with the reason.
func (d *Desk) due() civil.Instant {
	list, _, err := d.folder.List()
	if err != nil {
		list = nil
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.dueAfter(list, d.now())
}

// dueAfter is called with the lock held.
func (d *Desk) dueAfter(list []Found, now civil.Instant) civil.Instant {
	last, _ := LastGood(list, now)
	var tried civil.Instant
	if len(d.failures) > 0 {
		tried = d.failures[0].At
	}
	return d.plan.Due(last.Made, tried, d.tries, now)
}

// make makes one backup and notes how it went.
func (d *Desk) make(ctx context.Context, asked *request) {
	d.mu.Lock()
	d.making = d.now()
	d.mu.Unlock()
	made, err := d.write(ctx)
	if err == nil {
		err = d.folder.Read(ctx, 0, d.now())
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	d.making = 0
	switch {
	case err == nil:
		if d.inRow > 0 {
			d.inRow, d.tries = 0, 0
			d.keep()
		}
		d.plan.Log.Info("backup made and read back", "file", filepath.Base(made.Path), "entries", made.Entries, "bytes", made.Size)
	case ctx.Err() != nil: // the server ends: no failure
	default:
		d.inRow, d.tries = d.inRow+1, d.tries+1
		d.failures = slices.Insert(d.failures, 0, Failure{At: d.now(), Why: why(err), Asked: asked != nil})
		d.failures = d.failures[:min(len(d.failures), failuresKept)]
		d.keep()
		d.plan.Log.Error("a backup could not be made", "err", err, "in_a_row", d.inRow)
	}
	if asked != nil {
		asked.made, asked.err = made, err
		close(asked.done)
	}
}

func (d *Desk) write(ctx context.Context) (made Made, err error) {
	// The folder is never made here: a disk that is not mounted would leave an empty
	// place for it, and the backups would fill the wrong one.
	info, err := os.Stat(d.plan.To)
	switch {
	case err != nil:
		return made, unwritable(d.plan.To, err)
	case !info.IsDir():
		return made, fault.New(fault.Unusable, "%s is not a folder.", d.plan.To)
	}
	passphrase, err := d.plan.Passphrase()
	if err != nil {
		return made, err
	}
	return Backup(ctx, Wish{Dir: d.plan.Data, To: d.plan.To, Key: d.plan.Key, Passphrase: passphrase, Version: d.plan.Version, Clock: d.plan.Clock, ByServer: true})
}

// why is what a person is told of a failure.
func why(err error) string {
	if text := fault.Message(err); fault.Of(err) != fault.Internal {
		return strings.TrimSuffix(text, ".") + "."
	}
	return plain(err).Error() + "."
}

// tidy takes away what the schedule says need not stay: first the backup, then what
// speaks of it.
func (d *Desk) tidy() {
	list, _, err := d.folder.List()
	if err != nil {
		return
	}
	for _, f := range d.plan.Surplus(list, d.now(), utc.DayOf) {
		path := filepath.Join(d.plan.To, f.Name)
		if err := errors.Join(os.Remove(path), os.Remove(path+sidecarEnd)); err != nil {
			d.plan.Log.Error("an old backup can't be taken away", "err", err)
			continue
		}
		d.plan.Log.Info("an old backup was taken away", "file", f.Name)
	}
}

// utc is where weeks and months are counted.
var utc = func() civil.Zone {
	z, err := civil.LoadZone("UTC")
	if err != nil {
		panic("safekeeping: the embedded zones lack UTC: " + err.Error())
	}
	return z
}()

// sweep takes away the rooms of backups that were broken off with the program. A
// room of the last day may be one that is still worked in.
func (d *Desk) sweep() {
	for _, dir := range []string{d.plan.To, d.plan.Data} {
		rooms, err := filepath.Glob(filepath.Join(dir, roomMark+"*"))
		if err != nil {
			continue // the folder's name is a pattern that can't be read
		}
		for _, room := range rooms {
			info, err := os.Lstat(room)
			if err == nil && info.IsDir() && d.plan.Clock().Sub(info.ModTime()) > 24*time.Hour {
				err = os.RemoveAll(room)
			}
			if err != nil {
				d.plan.Log.Warn("what a broken-off backup left can't be taken away", "err", err)
			}
		}
	}
}

// Ask asks for a backup now and waits for it as long as the context allows; done is
// false where it is still under way then. A key that was used before asks for no
// second one. Errors: fault.Forbidden; fault.Invalid where nobody said a folder; else why
// it failed.
func (d *Desk) Ask(ctx context.Context, actor access.Actor, key string) (made Made, done bool, err error) {
	if _, err := access.Require(actor, access.MakeBackup); err != nil {
		return made, false, err
	}
	if d.plan.To == "" {
		return made, false, fault.New(fault.Invalid, "No folder for backups was said. Start the server with --backups DIR.")
	}
	r := d.request(key)
	select {
	case d.wake <- struct{}{}:
	default: // it is awake
	}
	select {
	case <-r.done:
		return r.made, true, r.err
	case <-ctx.Done():
		return made, false, nil
	}
}

// request returns the request of a key: the one there was, one that waits to begin,
// or a new one.
func (d *Desk) request(key string) *request {
	d.mu.Lock()
	defer d.mu.Unlock()
	for _, r := range d.asked {
		if r.key == key || !r.begun {
			return r
		}
	}
	r := &request{key: key, done: make(chan struct{})}
	d.asked = append(d.asked, r)
	d.asked = d.asked[max(0, len(d.asked)-keysKept):]
	return r
}
