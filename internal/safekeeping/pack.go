package safekeeping

import (
	"archive/tar"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"os"
	"path/filepath"

	"filippo.io/age"
)

// pack writes the file of a backup.
func pack(ctx context.Context, to, yard string, about About, passphrase string) (err error) {
	f, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	var out io.Writer = f
	end := func() error { return nil }
	if passphrase != "" {
		r, err := age.NewScryptRecipient(passphrase)
		if err != nil {
			return err
		}
		sealed, err := age.Encrypt(f, r)
		if err != nil {
			return err
		}
		out, end = sealed, sealed.Close
	}
	z := gzip.NewWriter(out)
	t := tar.NewWriter(z)
	text, err := json.MarshalIndent(about, "", " ")
	if err != nil {
		return err
	}
	if err := t.WriteHeader(&tar.Header{Name: aboutName, Mode: 0o600, Size: int64(len(text)), Format: tar.FormatPAX}); err != nil {
		return err
	}
	if _, err := t.Write(text); err != nil {
		return err
	}
	for _, name := range about.members() {
		if err := packFile(ctx, t, filepath.Join(yard, filepath.FromSlash(name)), name); err != nil {
			return err
		}
	}
	return errors.Join(t.Close(), z.Close(), end(), f.Sync())
}

func packFile(ctx context.Context, t *tar.Writer, path, name string) (err error) {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	info, err := f.Stat()
	if err != nil {
		return err
	}
	if err := t.WriteHeader(&tar.Header{Name: name, Mode: 0o600, Size: info.Size(), Format: tar.FormatPAX}); err != nil {
		return err
	}
	_, err = io.Copy(t, whileWanted{ctx, f})
	return err
}

// whileWanted reads until the context ends.
type whileWanted struct {
	ctx context.Context
	in  io.Reader
}

func (r whileWanted) Read(p []byte) (int, error) {
	if err := r.ctx.Err(); err != nil {
		return 0, err
	}
	return r.in.Read(p)
}

func sumOf(path string) (string, error) {
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

// copyFile copies a file to a new one that only this user may read.
func copyFile(from, to string) (err error) {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Sync(), out.Close())
}

func syncFolder(dir string) error {
	f, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}
