package sheets

import (
	"bytes"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

// Encodings lists those a CSV may be read in.
func Encodings() []string {
	return []string{"utf-8", "utf-16le", "utf-16be", "windows-1252", "iso-8859-1", "iso-8859-15"}
}

// Separators lists what may stand between the values of a CSV.
func Separators() []string { return []string{",", ";", "\t", "|"} }

func readCSV(data []byte, how Options) (*Table, error) {
	name := how.Encoding
	if name == "" {
		var err error
		if name, err = encodingOf(data); err != nil {
			return nil, err
		}
	}
	text, err := decode(data, name)
	if err != nil {
		return nil, err
	}
	separator := how.Separator
	if first, rest, _ := strings.Cut(text, "\n"); strings.HasPrefix(strings.ToLower(first), "sep=") && len(strings.TrimSpace(first)) <= 5 {
		said := strings.TrimSuffix(first[4:], "\r")
		if separator == "" && isSeparator(said) {
			separator = said
		}
		text = "\n" + rest // the line stays a row, so that addresses are those a person sees
	}
	if separator == "" {
		separator = separatorOf(text)
	}
	if !isSeparator(separator) {
		return nil, refuse("%q can't stand between values. Choose a separator from the list.", separator)
	}
	t := &Table{Encoding: name, Separator: separator}
	return t, t.split(text, separator[0])
}

func isSeparator(s string) bool { return len(s) == 1 && strings.Contains(",;\t|", s) }

// encodingOf looks at the first bytes. One-byte encodings can't be told apart for
// certain: Windows-1252 is what offices write most, and the page says what was taken.
func encodingOf(data []byte) (string, error) {
	head := data[:min(len(data), 4096)]
	switch {
	case bytes.HasPrefix(data, []byte{0xEF, 0xBB, 0xBF}):
		return "utf-8", nil
	case bytes.HasPrefix(data, []byte{0xFF, 0xFE}):
		return "utf-16le", nil
	case bytes.HasPrefix(data, []byte{0xFE, 0xFF}):
		return "utf-16be", nil
	}
	even, odd := 0, 0
	for i, b := range head {
		if b == 0 && i%2 == 0 {
			even++
		} else if b == 0 {
			odd++
		}
	}
	switch {
	case odd > len(head)/4 && even == 0:
		return "utf-16le", nil
	case even > len(head)/4 && odd == 0:
		return "utf-16be", nil
	case even+odd > 0:
		return "", refuse("This is neither a workbook (.xlsx) nor a list of values (.csv).")
	case utf8.Valid(data):
		return "utf-8", nil
	case bytes.IndexByte(data, 0x81) >= 0 || bytes.IndexByte(data, 0x8D) >= 0 || bytes.IndexByte(data, 0x8F) >= 0 ||
		bytes.IndexByte(data, 0x90) >= 0 || bytes.IndexByte(data, 0x9D) >= 0: // not in Windows-1252
		return "", refuse("The encoding of the file can't be told. Choose it, or save the list as CSV in UTF-8.")
	}
	return "windows-1252", nil
}

func decode(data []byte, name string) (string, error) {
	var from encoding.Encoding
	switch name {
	case "utf-8":
		data = bytes.TrimPrefix(data, []byte{0xEF, 0xBB, 0xBF})
		if !utf8.Valid(data) {
			return "", refuse("The file is not in UTF-8. Choose its encoding.")
		}
		return plain(string(data))
	case "utf-16le":
		from = unicode.UTF16(unicode.LittleEndian, unicode.UseBOM)
	case "utf-16be":
		from = unicode.UTF16(unicode.BigEndian, unicode.UseBOM)
	case "windows-1252":
		from = charmap.Windows1252
	case "iso-8859-1":
		from = charmap.ISO8859_1
	case "iso-8859-15":
		from = charmap.ISO8859_15
	default:
		return "", refuse("%q is not an encoding from the list.", name)
	}
	out, err := from.NewDecoder().Bytes(data)
	if err != nil || !utf8.Valid(out) || bytes.ContainsRune(out, utf8.RuneError) {
		return "", refuse("The file is not in %s. Choose its encoding.", strings.ToUpper(name))
	}
	return plain(string(out))
}

func plain(text string) (string, error) {
	if strings.ContainsRune(text, 0) {
		return "", refuse("This is neither a workbook (.xlsx) nor a list of values (.csv).")
	}
	return text, nil
}

// separatorOf returns what stands outside quotes in most lines of the start, as
// often in each; a comma where nothing does.
func separatorOf(text string) string {
	best, most := ",", 0
	for _, s := range Separators() {
		score, first := 0, -1
		for i, line := range strings.SplitN(text, "\n", 30) {
			if i == 29 || strings.TrimSpace(line) == "" {
				continue
			}
			n := outside(line, s[0])
			if first < 0 {
				first = n
			}
			if n > 0 && n == first {
				score += 10 + n
			} else if n > 0 {
				score++
			}
		}
		if score > most {
			best, most = s, score
		}
	}
	return best
}

func outside(line string, separator byte) (n int) {
	quoted := false
	for i := range len(line) {
		switch {
		case line[i] == '"':
			quoted = !quoted
		case line[i] == separator && !quoted:
			n++
		}
	}
	return n
}

// split cuts the text into rows. Every line is a row, empty ones too, as a
// spreadsheet counts them.
func (t *Table) split(text string, separator byte) error {
	row := Row{Number: 1}
	for at := 0; at <= len(text); {
		value, next, err := field(text, at, separator, len(row.Cells), row.Number)
		if err != nil {
			return err
		}
		value = clean(value)
		if err := check(len(row.Cells), row.Number, value); err != nil && value != "" {
			return err
		}
		c := Cell{Text: value}
		if value != "" {
			c.Is = Text
		}
		if len(row.Cells) < MaxColumns {
			row.Cells = append(row.Cells, c)
		}
		if next < len(text) && text[next] == separator {
			at = next + 1
			continue
		}
		if err := t.add(row); err != nil {
			return err
		}
		if next >= len(text) {
			return nil
		}
		if text[next] == '\r' && next+1 < len(text) && text[next+1] == '\n' {
			next++
		}
		at, row = next+1, Row{Number: row.Number + 1}
	}
	return nil
}

// field reads one value from at and returns where it ended: at a separator, a
// line's end or the text's.
func field(text string, at int, separator byte, column, row int) (value string, next int, err error) {
	if at >= len(text) || text[at] != '"' {
		n := strings.IndexAny(text[at:], string(separator)+"\r\n")
		if n < 0 {
			return text[at:], len(text), nil
		}
		return text[at : at+n], at + n, nil
	}
	var b strings.Builder
	for at++; ; {
		n := strings.IndexByte(text[at:], '"')
		if n < 0 {
			return "", 0, refuse("%s: a quotation mark is opened and never closed.", Address(min(column, MaxColumns), row))
		}
		b.WriteString(text[at : at+n])
		if at += n + 1; at >= len(text) || text[at] != '"' {
			break
		}
		b.WriteByte('"')
		at++
	}
	if at < len(text) && text[at] != separator && text[at] != '\n' && text[at] != '\r' {
		return "", 0, refuse("%s: text follows a closing quotation mark. Save the list as CSV again.", Address(min(column, MaxColumns), row))
	}
	return b.String(), at, nil
}

// clean makes single spaces of all white space and drops what can't be seen, so
// that two cells that look the same are the same.
func clean(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case r == '\u00AD' || r >= '\u200B' && r <= '\u200F' || r >= '\u202A' && r <= '\u202E' || r == '\u2060' || r == '\uFEFF':
			return -1
		case r < ' ' || r == 0x7F:
			return ' '
		}
		return r
	}, s)
	return strings.Join(strings.Fields(s), " ")
}
