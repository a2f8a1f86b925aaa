//go:build browser

package browsertest

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf16"

	"github.com/chromedp/cdproto/page"
)

// A Paper is what comes out of the printer.
type Paper struct {
	Bytes  []byte // the PDF file
	Sheets []Sheet
}

// A Sheet is one side of paper.
type Sheet struct {
	Width, Height float64 // millimetres
	Text          string  // what is printed on it, in drawing order
}

// Has says whether any sheet holds the text. Spaces do not count: where a
// printer sets words apart it need not print a space.
func (p *Paper) Has(text string) bool {
	tight := func(s string) string { return strings.Join(strings.Fields(s), "") }
	for _, s := range p.Sheets {
		if strings.Contains(tight(s.Text), tight(text)) {
			return true
		}
	}
	return false
}

// Landscape says whether the sheet is wider than high.
func (s Sheet) Landscape() bool { return s.Width > s.Height }

// Print prints the page as the reader's browser would, on A4 unless the page's
// style asks for another size.
func (p *Page) Print() *Paper {
	p.t.Helper()
	p.settle()
	const a4Width, a4Height = 210 / 25.4, 297 / 25.4 // inches
	yes := true
	res := call(p, page.PrintToPDF, page.PrintToPDFParams{
		PreferCSSPageSize: &yes, PrintBackground: &yes, PaperWidth: a4Width, PaperHeight: a4Height,
	})
	sheets, err := readSheets(res.Data)
	if err != nil {
		p.t.Fatalf("%s: reading what was printed: %v", p.describe(), err)
	}
	return &Paper{Bytes: res.Data, Sheets: sheets}
}

// What follows reads just as much PDF (ISO 32000-1, from memory) as Chromium
// writes: objects in the open, streams compressed by zlib, text as two-byte
// glyphs with a map back to Unicode.

type pdfObject struct {
	head   string // all but the stream
	stream []byte // uncompressed; nil without
}

var (
	objectStart = regexp.MustCompile(`(\d+) 0 obj\s`)
	lengthKey   = regexp.MustCompile(`/Length (\d+)`)
	reference   = regexp.MustCompile(`(\d+) 0 R`)
	pagesRoot   = regexp.MustCompile(`/Type /Catalog\s[^>]*?/Pages (\d+) 0 R`)
	kidsKey     = regexp.MustCompile(`/Kids \[([^\]]*)\]`)
	boxKey      = regexp.MustCompile(`/MediaBox \[\S+ \S+ (\S+) (\S+)\]`)
	contentsKey = regexp.MustCompile(`/Contents (\d+) 0 R`)
	fontsKey    = regexp.MustCompile(`/Font <<([^>]*)>>`)
	fontRef     = regexp.MustCompile(`/(\S+) (\d+) 0 R`)
	unicodeKey  = regexp.MustCompile(`/ToUnicode (\d+) 0 R`)
	drawing     = regexp.MustCompile(`/(\S+) \S+ Tf|<([0-9A-Fa-f]*)>|\bTj\b|\bET\b`)
	mapSection  = regexp.MustCompile(`(?s)beginbf(char|range)(.*?)endbf`)
	hexWord     = regexp.MustCompile(`<([0-9A-Fa-f]+)>`)
)

func readSheets(file []byte) ([]Sheet, error) {
	objects, err := readObjects(file)
	if err != nil {
		return nil, err
	}
	for _, o := range objects {
		if root := pagesRoot.FindStringSubmatch(o.head); root != nil {
			return readTree(objects, root[1])
		}
	}
	return nil, fmt.Errorf("no catalogue in a file of %d bytes", len(file))
}

// readObjects returns the file's objects by number.
func readObjects(file []byte) (map[string]pdfObject, error) {
	objects := map[string]pdfObject{}
	for at := 0; ; {
		start := objectStart.FindSubmatchIndex(file[at:])
		if start == nil {
			return objects, nil
		}
		number := string(file[at+start[2] : at+start[3]])
		body := file[at+start[1]:]
		end := bytes.Index(body, []byte("endobj"))
		if end < 0 {
			return nil, fmt.Errorf("object %s does not end", number)
		}
		stream := bytes.Index(body[:end], []byte("stream\n"))
		if stream < 0 {
			objects[number] = pdfObject{head: string(body[:end])}
			at += start[1] + end
			continue
		}
		head := string(body[:stream])
		length := lengthKey.FindStringSubmatch(head)
		if length == nil {
			return nil, fmt.Errorf("the stream of object %s has no length", number)
		}
		n, err := strconv.Atoi(length[1])
		from := stream + len("stream\n")
		if err != nil || from+n > len(body) {
			return nil, fmt.Errorf("the stream of object %s is cut short", number)
		}
		data := body[from : from+n]
		if strings.Contains(head, "/FlateDecode") {
			r, err := zlib.NewReader(bytes.NewReader(data))
			if err != nil {
				return nil, fmt.Errorf("object %s: %w", number, err)
			}
			if data, err = io.ReadAll(r); err != nil {
				return nil, fmt.Errorf("object %s: %w", number, err)
			}
		}
		objects[number] = pdfObject{head: head, stream: data}
		at += start[1] + from + n
	}
}

// readTree returns the sheets below a node of the page tree, in order.
func readTree(objects map[string]pdfObject, number string) ([]Sheet, error) {
	o := objects[number]
	kids := kidsKey.FindStringSubmatch(o.head)
	if kids == nil {
		s, err := readSheet(objects, o)
		return []Sheet{s}, err
	}
	var sheets []Sheet
	for _, kid := range reference.FindAllStringSubmatch(kids[1], -1) {
		below, err := readTree(objects, kid[1])
		if err != nil {
			return nil, err
		}
		sheets = append(sheets, below...)
	}
	return sheets, nil
}

func readSheet(objects map[string]pdfObject, o pdfObject) (Sheet, error) {
	var s Sheet
	box, contents := boxKey.FindStringSubmatch(o.head), contentsKey.FindStringSubmatch(o.head)
	if box == nil || contents == nil {
		return s, fmt.Errorf("a page without a size or contents: %.200s", o.head)
	}
	for i, side := range []*float64{&s.Width, &s.Height} {
		points, err := strconv.ParseFloat(box[i+1], 64)
		if err != nil {
			return s, err
		}
		*side = points / 72 * 25.4
	}
	fonts := map[string]map[string]string{}
	if list := fontsKey.FindStringSubmatch(o.head); list != nil {
		for _, ref := range fontRef.FindAllStringSubmatch(list[1], -1) {
			if to := unicodeKey.FindStringSubmatch(objects[ref[2]].head); to != nil {
				fonts[ref[1]] = readGlyphs(string(objects[to[1]].stream))
			}
		}
	}
	s.Text = readText(string(objects[contents[1]].stream), fonts)
	return s, nil
}

// readText follows the drawing and gathers its text; a gap stands between
// pieces that were drawn apart.
func readText(stream string, fonts map[string]map[string]string) string {
	var b strings.Builder
	var glyphs map[string]string
	var pending string
	for _, op := range drawing.FindAllStringSubmatch(stream, -1) {
		switch {
		case op[1] != "":
			glyphs = fonts[op[1]]
		case op[0] == "Tj":
			for i := 0; i+4 <= len(pending); i += 4 {
				b.WriteString(glyphs[strings.ToUpper(pending[i:i+4])])
			}
			pending = ""
		case op[0] == "ET":
			b.WriteByte(' ')
		default:
			pending = op[2]
		}
	}
	return plain(b.String())
}

// readGlyphs reads a font's map from glyph, in four hexadecimal digits, to text.
func readGlyphs(cmap string) map[string]string {
	glyphs := map[string]string{}
	for _, section := range mapSection.FindAllStringSubmatch(cmap, -1) {
		words := hexWord.FindAllStringSubmatch(section[2], -1)
		if section[1] == "char" {
			for i := 0; i+1 < len(words); i += 2 {
				glyphs[strings.ToUpper(words[i][1])] = utf16Text(words[i+1][1], 0)
			}
			continue
		}
		for i := 0; i+2 < len(words); i += 3 {
			first, err1 := strconv.ParseUint(words[i][1], 16, 16)
			last, err2 := strconv.ParseUint(words[i+1][1], 16, 16)
			for g := first; err1 == nil && err2 == nil && g <= last; g++ {
				glyphs[fmt.Sprintf("%04X", g)] = utf16Text(words[i+2][1], uint16(g-first))
			}
		}
	}
	return glyphs
}

// utf16Text reads UTF-16 in hexadecimal, its last unit raised by step.
func utf16Text(hex string, step uint16) string {
	var units []uint16
	for i := 0; i+4 <= len(hex); i += 4 {
		unit, err := strconv.ParseUint(hex[i:i+4], 16, 16)
		if err != nil {
			return ""
		}
		units = append(units, uint16(unit))
	}
	if len(units) > 0 {
		units[len(units)-1] += step
	}
	return string(utf16.Decode(units))
}
