package rig

import (
	"bytes"
	"image"
	"image/jpeg"
	"image/png"
	"testing"

	"rungbook/internal/fault"
)

func somePNG(t testing.TB) []byte {
	var b bytes.Buffer
	if err := png.Encode(&b, image.NewGray(image.Rect(0, 0, 9, 5))); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func someJPEG(t testing.TB) []byte {
	var b bytes.Buffer
	if err := jpeg.Encode(&b, image.NewGray(image.Rect(0, 0, 9, 5)), nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

const somePDF = "%PDF-1.7\n1 0 obj\n<<>>\nendobj\ntrailer\n<<>>\nstartxref\n0\n%%EOF\n"

func TestAFileIsWhatItsContentSaysAndNothingElse(t *testing.T) {
	picture, photo := somePNG(t), someJPEG(t)
	with := func(b []byte, more string) []byte { return append(bytes.Clone(b), more...) }
	full := append([]byte("%PDF-1.7\n"), make([]byte, MaxFile-len("%PDF-1.7\n")-len("startxref\n%%EOF"))...)
	full = append(full, "startxref\n%%EOF"...)
	bent := bytes.Clone(picture)
	bent[len(bent)-20] ^= 1
	for _, c := range []struct {
		name string
		data []byte
		want FileType // "" = refused
	}{
		{"a PDF", []byte(somePDF), PDF},
		{"a PDF of version 2", []byte("%PDF-2.0" + somePDF[8:]), PDF},
		{"a PDF with empty lines behind", with([]byte(somePDF), "\r\n \n"), PDF},
		{"a PDF of just the largest size", full, PDF},
		{"a PDF of one byte more", append([]byte{'%'}, full...), ""},
		{"a PNG", picture, PNG},
		{"a JPEG", photo, JPEG},
		{"nothing", nil, ""},
		{"a PDF that begins later", with([]byte("MZ\x00\x00"), somePDF), ""},
		{"a PDF cut short", []byte(somePDF[:len(somePDF)-8]), ""},
		{"a PDF with something behind", with([]byte(somePDF), "#!/bin/sh\n"), ""},
		{"a PDF with a page of the web in it", []byte("%PDF-1.7\n<HTML><body>\n" + somePDF[9:]), ""},
		{"a PDF that is a ZIP too", []byte("%PDF-1.7\nPK\x05\x06" + somePDF[8:]), ""},
		{"a PDF with a script", []byte("%PDF-1.7\n<</JavaScript(app)>>" + somePDF[8:]), ""},
		{"a PDF with a file in it", []byte("%PDF-1.7\n<</EmbeddedFile 1>>" + somePDF[8:]), ""},
		{"a PNG with something behind", with(picture, "PK\x03\x04"), ""},
		{"a PNG cut short", picture[:len(picture)-1], ""},
		{"a PNG with a flipped bit", bent, ""},
		{"a PNG's mark alone", picture[:8], ""},
		{"a JPEG with something behind", with(photo, "<script>"), ""},
		{"a JPEG cut short", photo[:len(photo)-1], ""},
		{"a JPEG without a picture", []byte{0xff, 0xd8, 0xff, 0xd9}, ""},
		{"a GIF", []byte("GIF89a"), ""},
		{"a picture made of drawing orders, which may hold scripts", []byte("<svg xmlns='http://www.w3.org/2000/svg'/>"), ""},
		{"text", []byte("report"), ""},
	} {
		got, err := TypeOf(c.data)
		if c.want != "" && (err != nil || got != c.want) || c.want == "" && fault.Of(err) != fault.Invalid {
			t.Errorf("%s: %q, %v; want %q", c.name, got, err, c.want)
		}
	}
}

// FuzzTypeOf looks that no bytes break the reader, and that what it takes ends as its
// type must: nothing can be put behind it.
func FuzzTypeOf(f *testing.F) {
	f.Add([]byte(somePDF))
	f.Add(somePNG(f))
	f.Add(someJPEG(f))
	f.Add([]byte("\xff\xd8\xff\xda\x00\x02\xff"))
	f.Fuzz(func(t *testing.T, b []byte) {
		kind, err := TypeOf(b)
		if err != nil {
			if fault.Of(err) != fault.Invalid {
				t.Fatalf("%v is no refusal", err)
			}
			return
		}
		if again, err := TypeOf(append(bytes.Clone(b), "PK\x05\x06 x"...)); err == nil {
			t.Fatalf("%s taken with something behind it, as %s", kind, again)
		}
	})
}
