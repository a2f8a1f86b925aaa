package httpd

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"os"
)

// spool holds a file that is being written until it is whole, so that a failure
// shows as one and a slow reader holds up nothing. A large one lies in the system's
// folder for temporary files, where this user alone may read it, until it is closed.
type spool struct {
	small bytes.Buffer
	large *os.File
	size  int64
}

// spoolInMemory is how many bytes of a file are held in memory.
const spoolInMemory = 1 << 20

func (s *spool) Write(b []byte) (n int, err error) {
	if s.large == nil && s.small.Len()+len(b) > spoolInMemory {
		if s.large, err = os.CreateTemp("", "rungbook-list-*"); err != nil {
			return 0, err
		}
		if _, err := s.small.WriteTo(s.large); err != nil {
			return 0, err
		}
	}
	if s.large != nil {
		n, err = s.large.Write(b)
	} else {
		n, err = s.small.Write(b)
	}
	s.size += int64(n)
	return n, err
}

// sendTo writes the whole file.
func (s *spool) sendTo(w io.Writer) error {
	if s.large == nil {
		_, err := s.small.WriteTo(w)
		return err
	}
	if _, err := s.large.Seek(0, io.SeekStart); err != nil {
		return err
	}
	_, err := io.Copy(w, s.large)
	return err
}

// close leaves nothing behind.
func (s *spool) close() error {
	if s.large == nil {
		return nil
	}
	err := os.Remove(s.large.Name())
	if errors.Is(err, fs.ErrNotExist) {
		err = nil
	}
	return errors.Join(s.large.Close(), err)
}
