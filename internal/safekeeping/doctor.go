package safekeeping

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"rungbook/internal/civil"
	"rungbook/internal/store"
)

// Grade is how a line of a doctor's report stands.
type Grade string

// The grades, from good to bad.
const (
	Well Grade = "well"
	Look Grade = "look" // nothing is lost, but it asks for somebody's attention
	Bad  Grade = "bad"
)

// Line is one thing that was looked at.
type Line struct {
	Grade Grade
	What  string
	Found string // and, where it is not well, what to do
}

// Checkup says what to look at.
type Checkup struct {
	Dir     string
	Backups string // the folder of backups; "" = not said
	Version string
	Clock   civil.Clock
}

// lowDisk is the free room below which a doctor says so: a yard's year takes a
// few hundred megabytes with its backups. Common practice, no source.
const lowDisk = 1 << 30

// LateBackup is the age beyond which the last good backup is called old, where
// nobody said another. Common practice, no source.
const LateBackup = civil.Minutes(3 * 24 * 60)

// Examine looks at a folder of records without changing it. It may run beside a
// server. Errors only where nothing can be looked at: fault.Unusable.
func Examine(ctx context.Context, c Checkup) ([]Line, error) {
	e := &examination{Checkup: c}
	e.say(Well, "program", "rungbook %s; zones and compiler %s", c.Version, runtime.Version())
	e.folder()
	e.writing()
	condition, err := store.Examine(ctx, c.Dir)
	if err != nil {
		return nil, err
	}
	e.database(condition)
	if err := e.ledger(ctx, condition); err != nil {
		return nil, err
	}
	e.disk()
	if err := e.copies(ctx); err != nil {
		return nil, err
	}
	return e.lines, nil
}

// examination gathers lines.
type examination struct {
	Checkup
	lines []Line
	yard  string // whose record it is, where the key and the ledger could be read
}

func (e *examination) say(g Grade, what, found string, args ...any) {
	e.lines = append(e.lines, Line{g, what, fmt.Sprintf(found, args...)})
}

// folder looks at who may read the folder and the key.
func (e *examination) folder() {
	for _, f := range []struct{ what, path string }{{"folder", e.Dir}, {"key file", filepath.Join(e.Dir, keyName)}, {"database file", filepath.Join(e.Dir, databaseName)}} {
		info, err := os.Stat(f.path)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			e.say(Bad, f.what, "%s is missing: put it back from the backup", f.path)
		case err != nil:
			e.say(Bad, f.what, "%s can't be looked at: %v", f.path, plain(err))
		case runtime.GOOS != "windows" && info.Mode().Perm()&0o077 != 0:
			e.say(Bad, f.what, "%s may be read or changed by other users (mode %04o): take their rights away with chmod go= %s", f.path, info.Mode().Perm(), f.path)
		default:
			e.say(Well, f.what, "%s is for its user only", f.path)
		}
	}
}

// writing looks at whether the record can be added to.
func (e *examination) writing() {
	if err := mayWrite(e.Dir); err != nil {
		e.say(Bad, "writing", "nothing can be recorded in %s: %v. It was looked at as it lies there", e.Dir, plain(err))
	}
}

func (e *examination) database(c store.Condition) {
	e.say(Well, "size", "%s", InBytes(c.Bytes))
	if info, err := os.Stat(filepath.Join(e.Dir, databaseName+"-wal")); err == nil {
		g := Well
		if info.Size() > 256<<20 {
			g = Look
		}
		e.say(g, "write-ahead log", "%s", InBytes(info.Size()))
	}
	for _, list := range []struct {
		what  string
		found []string
	}{{"integrity", c.Damaged}, {"foreign keys", c.Dangling}} {
		if n := len(list.found); n > 0 {
			e.say(Bad, list.what, "%d findings, the first: %s; go back to a backup", n, list.found[0])
		} else {
			e.say(Well, list.what, "no finding")
		}
	}
	switch {
	case c.Schema > c.Known:
		e.say(Bad, "schema", "step %d, this program knows %d: use the newer program", c.Schema, c.Known)
	case c.Schema < c.Known:
		e.say(Look, "schema", "step %d of %d: the next start takes the rest, after a copy", c.Schema, c.Known)
	default:
		e.say(Well, "schema", "step %d, none is waiting", c.Schema)
	}
}

// ledger replays a copy, so that an older schema is not changed by looking at it.
func (e *examination) ledger(ctx context.Context, c store.Condition) (err error) {
	if c.Schema > c.Known || len(c.Damaged) > 0 {
		e.say(Bad, "ledger", "not looked at: the database can't be used")
		return nil
	}
	room, err := os.MkdirTemp("", "rungbook-doctor-")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(room)) }()
	if err := store.Copy(ctx, e.Dir, filepath.Join(room, databaseName)); err != nil {
		return err
	}
	if err := copyFile(filepath.Join(e.Dir, keyName), filepath.Join(room, keyName)); err != nil {
		e.say(Bad, "ledger", "not looked at: the key can't be read")
		return nil
	}
	st, err := store.Open(ctx, store.Options{Dir: room, Clock: e.Clock, MustExist: true})
	if err != nil {
		e.say(Bad, "ledger", "%v", err)
		return nil
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	e.yard = st.VerifierKey()
	report, err := st.Rebuild(ctx)
	if err != nil {
		return err
	}
	if report.Equal() {
		e.say(Well, "ledger", "%d entries, the signed head covers them, %d tables are what they give", report.Entries, len(report.Tables))
	} else {
		e.say(Bad, "ledger", "%s", strings.ReplaceAll(strings.TrimSpace(report.String()), "\n", " "))
	}
	return st.Read(ctx, func(v *store.View) error {
		if err := e.files(v); err != nil {
			return err
		}
		at, entries, err := v.Latest()
		if err != nil || entries == 0 {
			return err
		}
		now, newest := civil.InstantOf(e.Clock()), civil.Instant(at)
		if now < newest {
			e.say(Bad, "clock", "it shows %s, and the newest entry was recorded at %s: set the clock of this machine", v.Zone().Format(now), v.Zone().Format(newest))
		} else {
			e.say(Well, "clock", "%s in the yard's zone, after the newest entry", v.Zone().Format(now))
		}
		return nil
	})
}

// files looks whether each file that an entry names lies beside the database, as it
// was put in.
func (e *examination) files(v *store.View) error {
	hashes, err := v.FileHashes()
	if err != nil || len(hashes) == 0 {
		return err
	}
	lost := 0
	for _, hash := range hashes {
		if _, err := store.ReadFile(e.Dir, hash); err != nil {
			lost++
			e.say(Bad, "evidence", "%s", strings.TrimSuffix(plain(err).Error(), "."))
		}
	}
	if lost == 0 {
		e.say(Well, "evidence", "%d files, each as it was put in", len(hashes))
	}
	return nil
}

func (e *examination) disk() {
	free, ok := freeOn(e.Dir)
	switch {
	case !ok:
		e.say(Look, "disk", "how much is free is not known on this system")
	case free < lowDisk:
		e.say(Bad, "disk", "%s free: make room, or nothing more can be recorded", InBytes(int64(free)))
	default:
		e.say(Well, "disk", "%s free", InBytes(int64(min(free, 1<<62))))
	}
}

// copies looks at the folder of backups, and reads every file in it.
func (e *examination) copies(ctx context.Context) error {
	if e.Backups == "" {
		e.failed(0)
		e.say(Look, "backups", "no folder of backups was said; give it with --backups DIR")
		return nil
	}
	now := civil.InstantOf(e.Clock())
	folder := NewFolder(e.Backups, e.yard)
	err := folder.Read(ctx, 0, now)
	if ctx.Err() != nil {
		return ctx.Err()
	}
	list, _, listErr := folder.List()
	if err = errors.Join(err, listErr); err != nil {
		e.failed(0)
		e.say(Bad, "backups", "%s can't be read: %v", e.Backups, plain(err))
		return nil
	}
	last, ok := LastGood(list, now)
	e.failed(last.Made)
	age := now.Sub(last.Made)
	switch {
	case !ok:
		e.say(Bad, "backups", "%s holds no good one: make one with rungbook backup", e.Backups)
	case age > LateBackup:
		e.say(Bad, "backups", "the last good one, %s, is %d days old: make one with rungbook backup", last.Name, age/(24*60))
	default:
		e.say(Well, "backups", "the last good one, %s, is %d hours old; it was %s", last.Name, max(0, age)/60, last.Known.Says())
	}
	for _, f := range list {
		if !f.Good(now) {
			e.say(Look, "backup", "%s does not count. %s", f.Name, f.Matter(now))
		}
	}
	if same, known := oneDisk(e.Dir, e.Backups); same && known {
		e.say(Look, "backups", "%s lies on the disk of the record: what takes the one takes the other; copy them to another machine", e.Backups)
	}
	return nil
}

// InBytes is a size as people write it, "1.5 MiB".
func InBytes(n int64) string {
	for _, u := range []struct {
		size int64
		name string
	}{{1 << 30, "GiB"}, {1 << 20, "MiB"}, {1 << 10, "KiB"}} {
		if n >= u.size {
			return fmt.Sprintf("%d.%d %s", n/u.size, n%u.size*10/u.size, u.name)
		}
	}
	return fmt.Sprintf("%d bytes", n)
}

// Worst is the worst grade of a report.
func Worst(lines []Line) Grade {
	for _, g := range []Grade{Bad, Look} {
		if slices.ContainsFunc(lines, func(l Line) bool { return l.Grade == g }) {
			return g
		}
	}
	return Well
}
