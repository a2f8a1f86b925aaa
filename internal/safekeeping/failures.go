package safekeeping

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"rungbook/internal/civil"
)

// failuresName is the file, in the folder of records, in which a server keeps what
// kept it from making backups: a start anew does not forget it. It is no part of the
// record and of no backup.
const failuresName = "backup-failures.json"

// failuresFormat names what that file looks like.
const failuresFormat = "rungbook.backup.failures.v1"

// keptFailures is what the file holds.
type keptFailures struct {
	Format string    `json:"format"`
	InRow  int       `json:"in_a_row"` // since the last backup that was made
	List   []Failure `json:"failures"` // newest first
}

// mostFailures is how many bytes of it are read.
const mostFailures = 64 << 10

// readFailures reads what a server kept; nothing where it kept none. What can't be
// read is an error: it may have told of a failure.
func readFailures(dir string) (out keptFailures, err error) {
	f, err := os.Open(filepath.Join(dir, failuresName))
	if errors.Is(err, fs.ErrNotExist) {
		return out, nil
	}
	if err != nil {
		return out, err
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, mostFailures))
	if err != nil {
		return out, err
	}
	return parseFailures(text)
}

func parseFailures(text []byte) (out keptFailures, err error) {
	if err := json.Unmarshal(text, &out); err != nil {
		return keptFailures{}, err
	}
	switch {
	case out.Format != failuresFormat:
		return keptFailures{}, fmt.Errorf("it is of the form %q, this program reads %q", out.Format, failuresFormat)
	case out.InRow < 0 || out.InRow > 0 && len(out.List) == 0:
		return keptFailures{}, errors.New("it counts failures that it does not tell")
	}
	for i, x := range out.List {
		if x.At <= 0 || x.Why == "" || i > 0 && x.At > out.List[i-1].At {
			return keptFailures{}, errors.New("a failure in it lacks its moment or its reason, or stands out of order")
		}
	}
	out.List = out.List[:min(len(out.List), failuresKept)]
	return out, nil
}

// writeFailures replaces the file as a whole.
func writeFailures(dir string, k keptFailures) (err error) {
	k.Format = failuresFormat
	text, err := json.MarshalIndent(k, "", " ")
	if err != nil {
		return err
	}
	part, err := os.CreateTemp(dir, "."+failuresName+"-")
	if err != nil {
		return err
	}
	_, err = part.Write(append(text, '\n'))
	if err = errors.Join(err, part.Sync(), part.Close()); err == nil {
		err = os.Rename(part.Name(), filepath.Join(dir, failuresName))
	}
	if err != nil {
		err = errors.Join(err, os.Remove(part.Name()))
	}
	return err
}

// recall takes over what an earlier server kept. A new start tries at once: what
// failed may have been mended.
func (d *Desk) recall() {
	kept, err := readFailures(d.plan.Data)
	if err != nil {
		d.plan.Log.Warn("what kept earlier backups from being made can't be read", "err", err)
	}
	d.failures, d.inRow = kept.List, kept.InRow
}

// keep keeps failures over a start anew. Where that fails too, as on a full disk,
// this server remembers them. It is called with the lock held.
func (d *Desk) keep() {
	if err := writeFailures(d.plan.Data, keptFailures{InRow: d.inRow, List: d.failures}); err != nil {
		d.plan.Log.Warn("that a backup failed can't be kept over a start anew", "err", err)
	}
}

// failed looks at what a server kept of backups that failed; last is the last good
// one, 0 for none.
func (e *examination) failed(last civil.Instant) {
	kept, err := readFailures(e.Dir)
	switch {
	case err != nil:
		e.say(Look, "failed backups", "%s can't be read: %v", filepath.Join(e.Dir, failuresName), plain(err))
	case kept.InRow > 0 && kept.List[0].At > last:
		e.say(Look, "failed backups", "%d in a row, the last at %s: %s", kept.InRow, utc.Format(kept.List[0].At), kept.List[0].Why)
	}
}
