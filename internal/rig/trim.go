package rig

import (
	"bytes"
	"image/jpeg"
	"io"
)

// The most dots of a picture that is read to be cut: as the largest phones take them.
// One built up in passes takes four times the memory to read.
const (
	mostDots       = 50 << 20
	mostDotsPassed = 12 << 20
)

// Trim returns a JPEG without what stands behind its picture, and how many bytes that
// were: phones put a second picture, a moving one or notes of their own there. Nothing
// of it is kept. It is cut only where two readers agree on where the picture ends: the
// walk over its segments and a decoder that reads all of it. Anything else is returned
// as it is, for TypeOf to refuse.
func Trim(b []byte) (kept []byte, cut int) {
	if len(b) > MaxFile || !bytes.HasPrefix(b, jpegMark) {
		return b, 0
	}
	end, err := jpegEnd(b)
	if err != nil || end == len(b) || !ends(b, end) {
		return b, 0
	}
	return b[:end:end], len(b) - end
}

// ends reports whether a decoder that is given all bytes reads a whole picture of them
// and stops at just this one.
func ends(b []byte, end int) bool {
	size, err := jpeg.DecodeConfig(bytes.NewReader(b[:end]))
	most := mostDots
	if passes(b[:end]) {
		most = mostDotsPassed
	}
	if err != nil || size.Width < 1 || size.Height < 1 || size.Width > most/size.Height {
		return false
	}
	counted := &oneByOne{rest: b}
	_, err = jpeg.Decode(counted)
	return err == nil && counted.read == end
}

// oneByOne gives a single byte to each read, so that nothing is read ahead.
type oneByOne struct {
	rest []byte
	read int
}

func (r *oneByOne) Read(p []byte) (int, error) {
	if len(r.rest) == 0 {
		return 0, io.EOF
	}
	if len(p) == 0 {
		return 0, nil
	}
	p[0], r.rest = r.rest[0], r.rest[1:]
	r.read++
	return 1, nil
}
