package safekeeping

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"regexp"
)

// sidecarEnd follows the name of a backup in the name of its sidecar.
const sidecarEnd = ".about.json"

// sidecarFormat names what a sidecar looks like.
const sidecarFormat = "rungbook.backup.about.v1"

// Sidecar stands beside a backup and states what it is, so that date, version and
// ledger head can be told without its passphrase. It is not signed: it is believed
// only as far as the file's hash goes.
type Sidecar struct {
	Format    string `json:"format"`
	File      string `json:"file"`   // the backup's name
	Size      int64  `json:"size"`   // bytes
	Sum       string `json:"sha256"` // hex, of the backup's file
	Encrypted bool   `json:"encrypted"`
	ByServer  bool   `json:"by_server"` // a schedule made it, and may take it away
	About     About  `json:"about"`
}

// writeSidecar writes a new file. The error is fs.ErrExist where there is one.
func writeSidecar(path string, s Sidecar) (err error) {
	text, err := json.MarshalIndent(s, "", " ")
	if err != nil {
		return err
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = f.Write(append(text, '\n'))
	if err = errors.Join(err, f.Sync(), f.Close()); err != nil {
		err = errors.Join(err, os.Remove(path))
	}
	return err
}

var hexSum = regexp.MustCompile(`^[0-9a-f]{64}$`)

// readSidecar reads what stands beside a backup. The error says what is wrong with
// it; fs.ErrNotExist where there is none.
func readSidecar(path string) (s Sidecar, err error) {
	f, err := os.Open(path)
	if err != nil {
		return s, err
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, mostAbout+1))
	if err != nil {
		return s, err
	}
	if len(text) > mostAbout {
		return s, fmt.Errorf("it is larger than %d kB", mostAbout>>10)
	}
	return parseSidecar(text)
}

func parseSidecar(text []byte) (s Sidecar, err error) {
	if err := json.Unmarshal(text, &s); err != nil {
		return s, err
	}
	switch {
	case s.Format != sidecarFormat:
		return s, fmt.Errorf("it is of the form %q, this program reads %q", s.Format, sidecarFormat)
	case s.File == "" || s.Size < 0 || !hexSum.MatchString(s.Sum) || s.About.Entries < 0:
		return s, errors.New("it lacks the file, its size or its sha256")
	}
	return s, nil
}
