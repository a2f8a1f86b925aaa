package rig

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"

	"rungbook/internal/fault"
)

// FileType is what a file is by its content; a closed list.
type FileType string

// The types that are taken.
const (
	PDF  FileType = "application/pdf"
	PNG  FileType = "image/png"
	JPEG FileType = "image/jpeg"
)

// Ending is what a file of the type is called at its end.
func (t FileType) Ending() string {
	return map[FileType]string{PDF: ".pdf", PNG: ".png", JPEG: ".jpg"}[t]
}

// MaxFile is how many bytes a file may have: a scanned report of some dozen pages.
const MaxFile = 10 << 20

// TypeOf says what a file is, by its content and never by its name. It is taken only
// if it is that and nothing else: what begins before, or goes on behind, could be
// another program's file in disguise. A file is never run, and never shown as part of
// a page; whether its content is true is for whoever accepts it. Errors: fault.Invalid.
func TypeOf(b []byte) (FileType, error) {
	switch {
	case len(b) == 0:
		return "", fault.Field("file", "The file is empty. Choose another.")
	case len(b) > MaxFile:
		return "", tooLarge()
	case bytes.HasPrefix(b, []byte("%PDF-1.")), bytes.HasPrefix(b, []byte("%PDF-2.")):
		return PDF, wholePDF(b)
	case bytes.HasPrefix(b, pngMark):
		return PNG, wholePNG(b)
	case bytes.HasPrefix(b, jpegMark):
		return JPEG, wholeJPEG(b)
	}
	return "", fault.Field("file", "This is no PDF, PNG or JPEG, whatever its name says. Scan the paper or print it to a PDF.")
}

// PictureOf is TypeOf for a picture.
func PictureOf(b []byte) (FileType, error) {
	t, err := TypeOf(b)
	if err == nil && t == PDF {
		return "", fault.Field("file", "This is a PDF. Choose a picture: PNG or JPEG.")
	}
	return t, err
}

func tooLarge() error {
	return fault.Field("file", "The file has more than %d MB. Scan it with fewer dots, or split it.", MaxFile>>20)
}

func broken(what string) error {
	return fault.Field("file", "The %s is not whole, or holds something else too. Save it anew, or print it to a PDF.", what)
}

// wholePDF looks at both ends of a PDF (ISO 32000-2:2020, 7.5): it ends with its own
// mark, holds no table of a ZIP archive there, and begins as no page of the web.
func wholePDF(b []byte) error {
	end := bytes.TrimRight(b, " \t\r\n\x00")
	head, tail := bytes.ToLower(b[:min(len(b), 1024)]), b[max(0, len(b)-(64<<10)-22):]
	switch {
	case !bytes.HasSuffix(end, []byte("%%EOF")), !bytes.Contains(tail, []byte("startxref")),
		bytes.Contains(tail, []byte("PK\x05\x06")), bytes.Contains(head, []byte("<html")), bytes.Contains(head, []byte("<script")):
		return broken("PDF")
	}
	for _, acts := range []string{"/JavaScript", "/Launch", "/EmbeddedFile"} { // as far as it is not packed
		if bytes.Contains(b, []byte(acts)) {
			return fault.Field("file", "The PDF holds a program or another file. Print it to a PDF without them.")
		}
	}
	return nil
}

var pngMark = []byte("\x89PNG\r\n\x1a\n")

// wholePNG walks the chunks (PNG, Third Edition, 5.3): the first is the header, the
// last the end, each with its sum, and nothing behind.
func wholePNG(b []byte) error {
	rest := b[len(pngMark):]
	for first := true; ; first = false {
		if len(rest) < 12 {
			return broken("picture")
		}
		n := binary.BigEndian.Uint32(rest)
		if uint64(n)+12 > uint64(len(rest)) {
			return broken("picture")
		}
		kind, sum := string(rest[4:8]), binary.BigEndian.Uint32(rest[8+n:])
		if sum != crc32.ChecksumIEEE(rest[4:8+n]) || first != (kind == "IHDR") || first && n != 13 {
			return broken("picture")
		}
		rest = rest[12+n:]
		if kind == "IEND" {
			if len(rest) > 0 || n > 0 {
				return broken("picture")
			}
			return nil
		}
	}
}

var jpegMark = []byte{0xff, 0xd8, 0xff}

// wholeJPEG looks that a picture ends where the file does.
func wholeJPEG(b []byte) error {
	end, err := jpegEnd(b)
	if err == nil && end != len(b) {
		return broken("picture")
	}
	return err
}

// jpegEnd walks the segments (ITU-T T.81, Annex B) from the start to the end of the
// picture, with at least one frame and one scan, and returns how many bytes they are.
func jpegEnd(b []byte) (int, error) {
	frame, scan := false, false
	for at := 2; at+2 <= len(b); {
		rest := b[at:]
		mark := rest[1]
		switch {
		case rest[0] != 0xff:
			return 0, broken("picture")
		case mark == 0xff: // fill
			at++
			continue
		case mark == 0xd9:
			if !frame || !scan {
				return 0, broken("picture")
			}
			return at + 2, nil
		case len(rest) < 4 || mark < 0xc0 || mark >= 0xd0 && mark <= 0xd8:
			return 0, broken("picture")
		}
		n := int(binary.BigEndian.Uint16(rest[2:]))
		if n < 2 || n+2 > len(rest) {
			return 0, broken("picture")
		}
		frame = frame || isFrame(mark)
		if at += n + 2; mark == 0xda {
			scan = true
			at = len(b) - len(afterScan(b[at:]))
		}
	}
	return 0, broken("picture")
}

// isFrame reports whether a mark begins a frame (T.81, table B.1).
func isFrame(mark byte) bool {
	return mark >= 0xc0 && mark <= 0xcf && mark != 0xc4 && mark != 0xc8 && mark != 0xcc
}

// passes reports whether a picture is built up in passes: its frame is no plain one.
func passes(b []byte) bool {
	for at := 2; at+4 <= len(b) && b[at] == 0xff; {
		if b[at+1] == 0xff {
			at++
			continue
		}
		if isFrame(b[at+1]) {
			return b[at+1] > 0xc1
		}
		at += 2 + int(binary.BigEndian.Uint16(b[at+2:]))
	}
	return true
}

// afterScan skips a scan's data: up to a mark that is neither stuffing nor a restart.
func afterScan(b []byte) []byte {
	for i := 0; i+1 < len(b); i++ {
		if b[i] == 0xff && b[i+1] != 0 && (b[i+1] < 0xd0 || b[i+1] > 0xd7) && b[i+1] != 0xff {
			return b[i:]
		}
	}
	return nil
}
