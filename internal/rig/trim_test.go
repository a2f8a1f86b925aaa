package rig

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	"image/jpeg"
	"strings"
	"testing"
)

// phonePhoto is a picture with some light and dark in it, as large as asked.
func phonePhoto(t testing.TB, wide, high int) []byte {
	t.Helper()
	m := image.NewRGBA(image.Rect(0, 0, wide, high))
	for x := range wide {
		for y := range high {
			m.Set(x, y, color.RGBA{byte(x * 7), byte(y * 5), byte(x ^ y), 255})
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// segment puts a segment behind the start of a picture.
func segment(photo []byte, mark byte, data []byte) []byte {
	head := append([]byte{0xff, 0xd8, 0xff, mark}, binary.BigEndian.AppendUint16(nil, uint16(len(data)+2))...)
	return append(append(head, data...), photo[2:]...)
}

func TestWhatStandsBehindAPictureIsCutAndNothingElse(t *testing.T) {
	photo := phonePhoto(t, 60, 40)
	thumb := segment(photo, 0xe1, append([]byte("Exif\x00\x00"), phonePhoto(t, 9, 5)...)) // a small picture within
	with := func(b []byte, more string) []byte { return append(bytes.Clone(b), more...) }
	noEnd := photo[:len(photo)-2]
	size := bytes.Clone(photo) // says that it is 65500 dots wide and high
	at := bytes.Index(size, []byte{0xff, 0xc0})
	copy(size[at+5:], []byte{0xff, 0xdc, 0xff, 0xdc})
	bent := bytes.Clone(photo) // its table of codes is another
	bent[bytes.Index(bent, []byte{0xff, 0xc4})+6] ^= 0x3f
	for _, c := range []struct {
		name string
		data []byte
		want []byte // what is kept; nil = as it is
	}{
		{"a picture alone", photo, nil},
		{"zeros behind", with(photo, strings.Repeat("\x00", 900)), photo},
		{"a second picture behind", with(photo, string(phonePhoto(t, 20, 20))), photo},
		{"a moving picture behind", with(photo, "\x00\x00\x00\x18ftypmp42"), photo},
		{"an archive behind", with(photo, "PK\x03\x04 PK\x05\x06"), photo},
		{"a page of the web behind", with(photo, "<html><script>"), photo},
		{"a picture within, and something behind", with(thumb, "notes"), thumb},
		{"a picture within, alone", thumb, nil},
		{"cut short, and something behind", with(noEnd, "notes"), nil},
		{"cut short, and a picture behind", with(noEnd, string(photo)), nil},
		{"as large as no phone takes them", with(size, "notes"), nil},
		{"no picture though it looks like one", with(bent, "notes"), nil},
		{"an end at the beginning", append([]byte{0xff, 0xd8, 0xff, 0xd9}, photo...), nil},
		{"a program that calls itself a picture", []byte("\xff\xd8\xff\xe0\x00\x02#!/bin/sh"), nil},
		{"a PNG with something behind", with(somePNG(t), "notes"), nil},
		{"a PDF", []byte(somePDF), nil},
		{"more than is taken", with(photo, strings.Repeat("\x00", MaxFile)), nil},
		{"nothing", nil, nil},
	} {
		kept, cut := Trim(c.data)
		want := c.want
		if want == nil {
			want = c.data
		}
		if !bytes.Equal(kept, want) || cut != len(c.data)-len(want) {
			t.Errorf("%s: %d of %d bytes kept, want %d; %d cut", c.name, len(kept), len(c.data), len(want), cut)
		}
		if kind, err := TypeOf(kept); c.want != nil && (err != nil || kind != JPEG) {
			t.Errorf("%s: what is kept is refused: %v", c.name, err)
		}
	}
}

// FuzzTrim looks that what is cut leaves a whole picture that another reader takes,
// that nothing of what stood behind is kept, and that a second cut finds nothing.
func FuzzTrim(f *testing.F) {
	photo := phonePhoto(f, 20, 12)
	for _, more := range []string{"", "\x00\x00", "PK\x05\x06", "\xff\xd9", string(photo), "<script>"} {
		f.Add(append(bytes.Clone(photo), more...))
		f.Add(append(segment(photo, 0xfe, []byte("\xff\xd9"+more)), more...))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		kept, cut := Trim(b)
		if !bytes.HasPrefix(b, kept) || len(kept)+cut != len(b) {
			t.Fatalf("%d bytes kept and %d cut of %d", len(kept), cut, len(b))
		}
		if cut == 0 {
			return
		}
		if kind, err := TypeOf(kept); err != nil || kind != JPEG || !bytes.HasSuffix(kept, []byte{0xff, 0xd9}) {
			t.Fatalf("what is kept is %q, %v", kind, err)
		}
		if _, err := jpeg.Decode(bytes.NewReader(kept)); err != nil {
			t.Fatalf("what is kept is no picture: %v", err)
		}
		if again, more := Trim(kept); more != 0 || len(again) != len(kept) {
			t.Fatalf("%d bytes more are cut", more)
		}
	})
}
