package archive

import (
	"archive/zip"
	"compress/flate"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"hash"
	"io"
	"strings"
	"time"

	"rungbook/internal/civil"
	"rungbook/internal/store"
)

// Form says what an archive says of itself, and whether the signing key goes into it.
type Form struct {
	Version string // of the program
	Clock   civil.Clock
	Key     []byte // the key's file; nil = left out
}

// Write writes the archive of a store as one ZIP file (APPNOTE 6.3, deflate), in one
// read of the store, also while it is written to. ZIP, and not a tar, because every
// office machine opens it, a single list can be taken out alone, and the manifest can
// be written last and read first. What is written is never held in memory as a whole.
func Write(ctx context.Context, st *store.Store, to io.Writer, f Form) (m Manifest, err error) {
	err = st.Read(ctx, func(v *store.View) error {
		made := f.Clock().UTC().Truncate(time.Second)
		m = Manifest{Format: format, Version: f.Version, Made: made.Format(time.RFC3339), Origin: st.Origin(), Entries: v.Entries(), Key: f.Key != nil}
		if _, _, m.Head, err = v.Checkpoint(); err != nil {
			return err
		}
		w := &writing{ctx: ctx, view: v, zip: zip.NewWriter(to), made: made}
		w.zip.RegisterCompressor(zip.Deflate, func(out io.Writer) (io.WriteCloser, error) { return flate.NewWriter(out, flate.DefaultCompression) })
		if err := w.told(m, st.VerifierKey()); err != nil {
			return err
		}
		if err := w.held(); err != nil {
			return err
		}
		if f.Key != nil {
			if err := w.text(keyName, f.Key); err != nil {
				return err
			}
		}
		m.Files = w.files
		text, err := json.MarshalIndent(m, "", " ")
		if err != nil {
			return err
		}
		if err := w.text(manifestName, append(text, '\n')); err != nil {
			return err
		}
		return w.zip.Close()
	})
	return m, err
}

// writing is an archive under way: one member after the other.
type writing struct {
	ctx   context.Context
	view  *store.View
	zip   *zip.Writer // nil: only the sums are wanted
	made  time.Time
	files []File

	out io.Writer // of the member under way
	sum hash.Hash
	now File
}

// told writes what explains the rest.
func (w *writing) told(m Manifest, public string) error {
	if err := w.text(readmeName, readme(m)); err != nil {
		return err
	}
	for _, p := range parts() {
		text, err := schemaOf(p)
		if err != nil {
			return err
		}
		if err := w.text(schemaName(p), text); err != nil {
			return err
		}
	}
	return w.text(publicName, []byte(public+"\n"))
}

// held writes what the store holds.
func (w *writing) held() error {
	for _, p := range parts() {
		if err := w.member(p.name, func() error { return p.out(w) }); err != nil {
			return err
		}
	}
	if err := eachDraftFile(w.view, w.text); err != nil {
		return err
	}
	return eachEvidenceFile(w.view, w.text)
}

// text writes a member that is at hand.
func (w *writing) text(name string, text []byte) error {
	return w.member(name, func() error { return w.bytes(text) })
}

// member writes one member and notes its sum.
func (w *writing) member(name string, fill func() error) error {
	w.now, w.sum, w.out = File{Name: name}, sha256.New(), io.Discard
	if w.zip != nil {
		out, err := w.zip.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: w.made})
		if err != nil {
			return err
		}
		w.out = out
	}
	if err := fill(); err != nil {
		return err
	}
	w.now.SHA256 = hex.EncodeToString(w.sum.Sum(nil))
	w.files = append(w.files, w.now)
	return nil
}

func (w *writing) bytes(b []byte) error {
	w.sum.Write(b)
	w.now.Bytes += int64(len(b))
	_, err := w.out.Write(b)
	return err
}

// put writes a kept value as a line.
func (w *writing) put(kept any) error {
	line, err := w.view.Line(kept)
	if err != nil {
		return err
	}
	return w.line(line)
}

// line writes one line; whoever waits for it may have left.
func (w *writing) line(line []byte) error {
	if err := w.ctx.Err(); err != nil {
		return err
	}
	w.now.Lines++
	if err := w.bytes(line); err != nil {
		return err
	}
	return w.bytes([]byte{'\n'})
}

// schemaName is where the schema of a part stands.
func schemaName(p part) string {
	name := strings.TrimSuffix(p.name, ".jsonl")
	return "schema/" + strings.ReplaceAll(name, "/", "-") + ".schema.json"
}
