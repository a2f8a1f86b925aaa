package archive

import (
	"archive/zip"
	"bufio"
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"

	"github.com/go-json-experiment/json"

	"rungbook/internal/fault"
)

// limits bound what is read of an archive, which may come from anybody.
type limits struct {
	members  int   // in the file
	manifest int64 // bytes of the manifest
	line     int   // bytes of a line; an entry has at most 65,535, a draft's chart is thinned out
	file     int64 // bytes of what is held in memory as a whole: a key, a draft's file
	ratio    int64 // bytes unpacked for each byte of the file; lists of ours have 3 to 30
}

var common = limits{members: 200_000, manifest: 64 << 20, line: 4 << 20, file: 64 << 20, ratio: 200}

// opened is an archive whose manifest was read.
type opened struct {
	limits
	ctx      context.Context
	members  map[string]*zip.File
	manifest Manifest
}

// damaged says what is wrong with one member.
func damaged(member, format string, args ...any) error {
	return fault.New(fault.Unusable, "%s %s", member, fmt.Sprintf(format, args...))
}

// open reads the table of contents and the manifest, and compares the two; nothing
// else is unpacked.
func open(ctx context.Context, from io.ReaderAt, size int64, l limits) (*opened, error) {
	z, err := zip.NewReader(from, size)
	if err != nil {
		return nil, fault.New(fault.Unusable, "it is no ZIP file, or not a whole one")
	}
	if len(z.File) > l.members {
		return nil, fault.New(fault.Unusable, "it has %d members; an archive has at most %d", len(z.File), l.members)
	}
	o := &opened{limits: l, ctx: ctx, members: map[string]*zip.File{}}
	var total uint64
	for _, f := range z.File {
		if o.members[f.Name] != nil {
			return nil, damaged(named(f.Name), "is in it twice")
		}
		if total += f.UncompressedSize64; f.UncompressedSize64 > 1<<62 || total > uint64(size)*uint64(l.ratio) {
			return nil, fault.New(fault.Unusable, "it would unpack to more than %d times its own size, which no archive does", l.ratio)
		}
		o.members[f.Name] = f
	}
	if o.members[manifestName] == nil {
		return nil, fault.New(fault.Unusable, "it has no %s", manifestName)
	}
	text, err := o.whole(manifestName, l.manifest)
	if err != nil {
		return nil, err
	}
	if err := o.readManifest(text); err != nil {
		return nil, err
	}
	return o, o.agree()
}

// named is a name that came from outside, for a message.
func named(name string) string {
	if len(name) > 100 {
		name = name[:100] + "…"
	}
	return fmt.Sprintf("%q", name)
}

func (o *opened) readManifest(text []byte) error {
	var head struct {
		Format string `json:"format"`
	}
	if err := json.Unmarshal(text, &head); err != nil {
		return damaged(manifestName, "can't be read: %v", err)
	}
	if head.Format != format {
		return fault.New(fault.Unusable, "it is an archive of the form %q, this program reads %q. Use the program that wrote it", head.Format, format)
	}
	if err := json.Unmarshal(text, &o.manifest, json.RejectUnknownMembers(true)); err != nil {
		return damaged(manifestName, "can't be read: %v", err)
	}
	return nil
}

// agree compares the manifest with the table of contents.
func (o *opened) agree() error {
	seen := map[string]bool{manifestName: true}
	for _, f := range o.manifest.Files {
		m := o.members[f.Name]
		switch {
		case seen[f.Name]:
			return damaged(manifestName, "names %s twice", named(f.Name))
		case m == nil:
			return damaged(named(f.Name), "is missing, and the manifest names it")
		case m.UncompressedSize64 != uint64(f.Bytes):
			return damaged(named(f.Name), "has %d bytes, and %d in the manifest", m.UncompressedSize64, f.Bytes)
		}
		seen[f.Name] = true
	}
	for name := range o.members {
		if !seen[name] {
			return damaged(named(name), "is in the file, and the manifest does not name it")
		}
	}
	for _, p := range parts() {
		if !seen[p.name] {
			return damaged(p.name, "is missing")
		}
	}
	if seen[keyName] != o.manifest.Key {
		return damaged(manifestName, "is wrong about whether the signing key is in it")
	}
	return nil
}

// whole reads a member that may be held in memory.
func (o *opened) whole(name string, most int64) ([]byte, error) {
	m := o.members[name]
	if m == nil {
		return nil, damaged(named(name), "is missing")
	}
	if m.UncompressedSize64 > uint64(most) {
		return nil, damaged(named(name), "has %d bytes; at most %d are read", m.UncompressedSize64, most)
	}
	in, err := m.Open()
	if err != nil {
		return nil, damaged(named(name), "can't be unpacked: %v", err)
	}
	b, err := io.ReadAll(io.LimitReader(in, most+1))
	if err = errors.Join(err, in.Close()); err != nil || int64(len(b)) > most {
		return nil, damaged(named(name), "can't be unpacked: %v", err)
	}
	return b, nil
}

// compareSums unpacks every member once, without keeping it.
func (o *opened) compareSums() error {
	buffer := make([]byte, 256<<10)
	for _, f := range o.manifest.Files {
		in, err := o.members[f.Name].Open()
		if err != nil {
			return damaged(named(f.Name), "can't be unpacked: %v", err)
		}
		h := sha256.New()
		_, err = io.CopyBuffer(h, readers{o.ctx, in}, buffer)
		if err = errors.Join(err, in.Close()); err != nil {
			if o.ctx.Err() != nil {
				return o.ctx.Err()
			}
			return damaged(named(f.Name), "can't be unpacked: %v", err)
		}
		if hex.EncodeToString(h.Sum(nil)) != f.SHA256 {
			return damaged(named(f.Name), "is not as it was written: its SHA-256 is not that of the manifest")
		}
	}
	return nil
}

// readers stops reading once nobody waits any more.
type readers struct {
	ctx context.Context
	io.Reader
}

func (r readers) Read(b []byte) (int, error) {
	if err := r.ctx.Err(); err != nil {
		return 0, err
	}
	return r.Reader.Read(b)
}

// lines reads a list line by line.
type lines struct {
	name string
	most int
	at   int64 // lines read
	in   *bufio.Reader
	end  io.Closer
	long []byte
}

func (o *opened) lines(name string) (*lines, error) {
	in, err := o.members[name].Open()
	if err != nil {
		return nil, damaged(name, "can't be unpacked: %v", err)
	}
	return &lines{name: name, most: o.line, in: bufio.NewReaderSize(readers{o.ctx, in}, 64<<10), end: in}, nil
}

// next returns the next line without its end, io.EOF after the last. It is good until
// the one after.
func (l *lines) next() ([]byte, error) {
	l.long = l.long[:0]
	for {
		piece, err := l.in.ReadSlice('\n')
		if len(l.long)+len(piece) > l.most {
			l.at++
			return nil, l.wrong(fmt.Errorf("it has more than %d bytes", l.most))
		}
		l.long = append(l.long, piece...)
		switch {
		case err == nil:
			l.at++
			return bytes.TrimSuffix(l.long, []byte{'\n'}), nil
		case errors.Is(err, bufio.ErrBufferFull):
			continue
		case errors.Is(err, io.EOF) && len(l.long) == 0:
			return nil, io.EOF
		case errors.Is(err, io.EOF):
			l.at++
			return nil, l.wrong(errors.New("it has no end"))
		}
		return nil, err
	}
}

// wrong says where in a list something is wrong. What is wrong with the disk is not
// of the line.
func (l *lines) wrong(err error) error {
	if fault.Of(err) == fault.Unusable || errors.Is(err, context.Canceled) {
		return err
	}
	return damaged(l.name, "line %d: %s", l.at, said(err))
}

// said is what an error says to a person.
func said(err error) string {
	if m := fault.Message(err); m != "" {
		return m
	}
	return err.Error()
}

func (l *lines) close() error { return l.end.Close() }
