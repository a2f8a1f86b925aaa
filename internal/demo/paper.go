package demo

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"strings"

	"rungbook/internal/rig"
)

// paper is a small file as a dossier holds it: what it is by its content, its bytes.
type paper struct {
	kind  rig.FileType
	bytes []byte
}

// pdf writes lines on one A4 page (ISO 32000-2:2020, 7.5; Helvetica is one of the
// fonts that every reader has).
func pdf(lines []string) paper {
	var text strings.Builder
	text.WriteString("BT /F1 12 Tf 60 780 Td 16 TL\n")
	for _, l := range lines {
		fmt.Fprintf(&text, "(%s) Tj T*\n", strings.NewReplacer(`\`, `\\`, "(", `\(`, ")", `\)`).Replace(plainLetters(l)))
	}
	text.WriteString("ET")
	objects := []string{
		"<< /Type /Catalog /Pages 2 0 R >>", "<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
		"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 595 842] /Resources << /Font << /F1 5 0 R >> >> /Contents 4 0 R >>",
		fmt.Sprintf("<< /Length %d >>\nstream\n%s\nendstream", text.Len(), text.String()),
		"<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica >>",
	}
	var b bytes.Buffer
	b.WriteString("%PDF-1.4\n")
	at := make([]int, len(objects))
	for i, o := range objects {
		at[i] = b.Len()
		fmt.Fprintf(&b, "%d 0 obj\n%s\nendobj\n", i+1, o)
	}
	table := b.Len()
	fmt.Fprintf(&b, "xref\n0 %d\n0000000000 65535 f \n", len(objects)+1)
	for _, o := range at {
		fmt.Fprintf(&b, "%010d 00000 n \n", o)
	}
	fmt.Fprintf(&b, "trailer\n<< /Size %d /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF\n", len(objects)+1, table)
	return paper{rig.PDF, b.Bytes()}
}

// plainLetters leaves what the page's font has in its own encoding.
func plainLetters(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r > '~' {
			return '?'
		}
		return r
	}, s)
}

// drawn is a plain picture of boxes in a row, a different one for each number: it
// stands where a diagram or a photograph would.
func drawn(n int) *image.Gray {
	m := image.NewGray(image.Rect(0, 0, 240, 120))
	for y := range 120 {
		for x := range 240 {
			shade := uint8(250)
			if box := x / 40; x%40 > 6 && x%40 < 34 && y > 30 && y < 90-(box*n)%30 {
				shade = uint8(90 + 20*((box+n)%6))
			}
			if y == 100 {
				shade = 40
			}
			m.SetGray(x, y, color.Gray{Y: shade})
		}
	}
	return m
}

func pngOf(n int) (paper, error) {
	var b bytes.Buffer
	err := png.Encode(&b, drawn(n))
	return paper{rig.PNG, b.Bytes()}, err
}

func jpegOf(n int) (paper, error) {
	var b bytes.Buffer
	err := jpeg.Encode(&b, drawn(n), nil)
	return paper{rig.JPEG, b.Bytes()}, err
}
