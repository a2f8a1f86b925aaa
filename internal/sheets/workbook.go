package sheets

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"path"
	"strconv"
	"strings"
)

// A workbook is an opened XLSX file.
type workbook struct {
	parts   map[string]*zip.File
	left    int64 // bytes that may still be unpacked
	strings []string
	days    []bool // by style: shown as a day or time
	since04 bool
	sheets  []sheetPart
}

type sheetPart struct {
	name, id, part string
	hidden         bool
}

// unsafe are parts that a list needs not and that could act or fetch.
var unsafe = []struct{ part, says string }{
	{"vbaproject", "The workbook holds macros. Save it as .xlsx, without macros."},
	{"xl/externallinks/", "The workbook takes values from other files. Paste them as values and save it again."},
	{"xl/connections", "The workbook fetches data from elsewhere. Paste it as values and save it again."},
	{"xl/querytables/", "The workbook fetches data from elsewhere. Paste it as values and save it again."},
	{"xl/embeddings/", "Other files are embedded in the workbook. Take them out and save it again."},
	{"xl/activex/", "The workbook holds controls that can act. Copy the list into a new workbook."},
	{"xl/macrosheets/", "The workbook holds macros. Save it as .xlsx, without macros."},
}

func readWorkbook(data []byte, how Options) (*Table, error) {
	b, err := openWorkbook(data)
	if err != nil {
		return nil, err
	}
	t := &Table{Since1904: b.since04, Hidden: map[int]bool{}}
	chosen := -1
	for i, s := range b.sheets {
		if !s.hidden {
			t.Sheets = append(t.Sheets, s.name)
		}
		if chosen < 0 && (s.name == how.Sheet || how.Sheet == "" && !s.hidden) {
			chosen = i
		}
	}
	if chosen < 0 || b.sheets[chosen].hidden {
		return nil, refuse("The workbook has no visible sheet of that name.")
	}
	t.Sheet = b.sheets[chosen].name
	return t, b.readSheet(t, b.sheets[chosen].part)
}

func openWorkbook(data []byte) (*workbook, error) {
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, refuse("The workbook is damaged: it can't be unpacked.")
	}
	if len(z.File) > maxParts {
		return nil, refuse("The workbook has more than %d parts. Copy the list into a new workbook.", maxParts)
	}
	b := &workbook{parts: map[string]*zip.File{}, left: min(maxUnpacked, int64(len(data))*maxRatio+1<<20)}
	var sum uint64
	for _, f := range z.File {
		name := strings.ToLower(strings.TrimPrefix(path.Clean(strings.ReplaceAll(f.Name, `\`, "/")), "/"))
		for _, u := range unsafe {
			if strings.Contains(name, u.part) {
				return nil, refuse("%s", u.says)
			}
		}
		if sum += f.UncompressedSize64; f.UncompressedSize64 > maxUnpacked || sum > uint64(b.left) {
			return nil, tooLarge()
		}
		if _, twice := b.parts[name]; twice {
			return nil, refuse("The workbook is damaged: it holds %q twice.", f.Name)
		}
		b.parts[name] = f
	}
	for _, read := range []func() error{b.readParts, b.readStrings, b.readStyles} {
		if err := read(); err != nil {
			return nil, err
		}
	}
	return b, nil
}

func tooLarge() error {
	return refuse("Unpacked, the workbook is larger than a list can be. Copy the list, as values, into a new workbook.")
}

var errTooLarge = errors.New("larger than it may be")

// bounded is a part's text as long as what was unpacked stays in bounds, whatever
// the file says of its sizes.
type bounded struct {
	from io.Reader
	left *int64
}

func (r bounded) Read(p []byte) (int, error) {
	n, err := r.from.Read(p)
	if *r.left -= int64(n); *r.left < 0 {
		return n, errTooLarge
	}
	return n, err
}

// each reads the elements of a part; a part that is not there has none. do is
// given one start element at a time and may read on in the part.
func (b *workbook) each(part string, do func(*xml.Decoder, xml.Token) error) error {
	f := b.parts[strings.ToLower(part)]
	if f == nil {
		return nil
	}
	from, err := f.Open()
	if err != nil {
		return refuse("The workbook is damaged: %s can't be read.", f.Name)
	}
	defer from.Close()
	d := xml.NewDecoder(bounded{from, &b.left})
	d.CharsetReader = func(string, io.Reader) (io.Reader, error) { return nil, errors.New("not UTF-8") }
	for {
		token, err := d.RawToken()
		if err == io.EOF {
			return nil
		}
		if err == nil {
			err = do(d, token)
		}
		switch {
		case errors.Is(err, errTooLarge):
			return tooLarge()
		case err != nil && isRefusal(err):
			return err
		case err != nil:
			return refuse("The workbook is damaged: %s can't be read.", f.Name)
		}
	}
}

// readParts finds the sheets and where each is.
func (b *workbook) readParts() error {
	if b.parts["xl/workbook.xml"] == nil {
		return refuse("This is no workbook of the form .xlsx.")
	}
	targets := map[string]string{}
	err := b.each("xl/_rels/workbook.xml.rels", func(_ *xml.Decoder, token xml.Token) error {
		if e, ok := token.(xml.StartElement); ok && e.Name.Local == "Relationship" {
			target := attribute(e, "Target")
			if !strings.HasPrefix(target, "/") {
				target = "xl/" + target
			}
			targets[attribute(e, "Id")] = strings.TrimPrefix(path.Clean(target), "/")
		}
		return nil
	})
	if err != nil {
		return err
	}
	err = b.each("xl/workbook.xml", func(_ *xml.Decoder, token xml.Token) error {
		e, ok := token.(xml.StartElement)
		switch {
		case ok && e.Name.Local == "workbookPr":
			b.since04 = isTrue(attribute(e, "date1904"))
		case ok && e.Name.Local == "sheet":
			id := ""
			for _, a := range e.Attr {
				if a.Name.Local == "id" { // r:id, beside sheetId
					id = a.Value
				}
			}
			state := attribute(e, "state")
			b.sheets = append(b.sheets, sheetPart{clean(attribute(e, "name")), id, targets[id], state == "hidden" || state == "veryHidden"})
		}
		return nil
	})
	return err
}

// readStrings reads the table of texts that cells share.
func (b *workbook) readStrings() error {
	return b.each("xl/sharedStrings.xml", func(d *xml.Decoder, token xml.Token) error {
		if e, ok := token.(xml.StartElement); ok && e.Name.Local == "si" {
			text, err := textIn(d, "si")
			b.strings = append(b.strings, text)
			return err
		}
		return nil
	})
}

// textIn joins the texts inside an element; readings (phonetic runs) are no text
// of the cell.
func textIn(d *xml.Decoder, until string) (string, error) {
	text, inText, reading := "", false, false
	for {
		token, err := d.RawToken()
		if err != nil {
			return "", errors.Join(err, io.ErrUnexpectedEOF)
		}
		switch e := token.(type) {
		case xml.StartElement:
			inText = e.Name.Local == "t"
			reading = reading || e.Name.Local == "rPh"
		case xml.CharData:
			if inText && !reading && len(text) <= maxText {
				text += string(e)
			}
		case xml.EndElement:
			inText = false
			if e.Name.Local == "rPh" {
				reading = false
			}
			if e.Name.Local == until {
				return clean(text), nil
			}
		}
	}
}

// readStyles finds out which styles show a number as a day or time.
func (b *workbook) readStyles() error {
	own := map[string]bool{}
	inCells := false
	return b.each("xl/styles.xml", func(_ *xml.Decoder, token xml.Token) error {
		switch e := token.(type) {
		case xml.StartElement:
			switch e.Name.Local {
			case "numFmt":
				own[attribute(e, "numFmtId")] = showsDay(attribute(e, "formatCode"))
			case "cellXfs":
				inCells = true
			case "xf":
				if inCells {
					id := attribute(e, "numFmtId")
					day, set := own[id]
					n, err := strconv.Atoi(id)
					b.days = append(b.days, set && day || !set && err == nil && builtInDay(n))
				}
			}
		case xml.EndElement:
			if e.Name.Local == "cellXfs" {
				inCells = false
			}
		}
		return nil
	})
}

// builtInDay reports whether a number format of the standard shows a day or time
// (ISO/IEC 29500-1, 18.8.30 numFmt: 14–22, 45–47; 27–36 and 50–58 in East Asian
// workbooks).
func builtInDay(id int) bool {
	return id >= 14 && id <= 22 || id >= 27 && id <= 36 || id >= 45 && id <= 47 || id >= 50 && id <= 58
}

// showsDay reports whether a format code holds a letter of a day or time outside
// quotation marks and brackets.
func showsDay(code string) bool {
	quoted, bracket, escaped := false, false, false
	for _, r := range strings.ToLower(code) {
		switch {
		case escaped:
			escaped = false
		case r == '\\' || r == '_' || r == '*':
			escaped = true
		case r == '"':
			quoted = !quoted
		case quoted:
		case r == '[':
			bracket = true
		case r == ']':
			bracket = false
		case bracket:
		case strings.ContainsRune("ymdhs", r):
			return true
		}
	}
	return false
}

func attribute(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name && a.Name.Space == "" {
			return a.Value
		}
	}
	return ""
}

func isTrue(s string) bool { return s == "1" || s == "true" || s == "on" }
