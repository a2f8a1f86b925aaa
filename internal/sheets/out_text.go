package sheets

import (
	"bufio"
	"encoding/csv"
	"encoding/json"
	"io"
)

// csvOut writes RFC 4180 in UTF-8, with a mark at the beginning by which office
// programs know the encoding. What it is about stands above the heads.
type csvOut struct {
	frame
	to  *csv.Writer
	row []string
}

func newCSVOut(w io.Writer, title string, about []string) (*csvOut, error) {
	if _, err := io.WriteString(w, "\ufeff"); err != nil {
		return nil, err
	}
	o := &csvOut{to: csv.NewWriter(w)}
	o.to.UseCRLF = true
	for _, line := range append([]string{title}, about...) {
		if err := o.to.Write([]string{harmless(line)}); err != nil {
			return nil, err
		}
	}
	return o, nil
}

func (o *csvOut) Part(name string, heads ...string) error {
	o.begin(heads)
	if name != "" {
		if err := o.to.Write([]string{harmless(name)}); err != nil {
			return err
		}
	}
	o.row = make([]string, len(heads))
	for i, h := range heads {
		o.row[i] = harmless(h)
	}
	return o.to.Write(o.row)
}

func (o *csvOut) Row(values ...any) error {
	if err := o.fits(values); err != nil {
		return err
	}
	for i, v := range values {
		o.row[i] = plainText(v)
		if _, typed := v.(string); typed {
			o.row[i] = harmless(o.row[i])
		}
	}
	return o.to.Write(o.row)
}

func (o *csvOut) Close() error {
	o.to.Flush()
	return o.to.Error()
}

// jsonOut writes one object: title, about, and rows with the heads as names; the
// lists of a file with several stand under parts, each with its name.
type jsonOut struct {
	frame
	to    *bufio.Writer
	names [][]byte // the heads, encoded
	rows  int
	named bool
	err   error // the first; bufio keeps those of writing
}

func newJSONOut(w io.Writer, title string, about []string) (*jsonOut, error) {
	o := &jsonOut{to: bufio.NewWriter(w)}
	if about == nil {
		about = []string{}
	}
	o.text(`{"title":`)
	o.value(title)
	o.text(",\n\"about\":")
	o.value(about)
	return o, o.err
}

func (o *jsonOut) text(s string) {
	if _, err := o.to.WriteString(s); err != nil && o.err == nil {
		o.err = err
	}
}

func (o *jsonOut) value(v any) {
	b, err := json.Marshal(v)
	if err != nil && o.err == nil {
		o.err = err
	}
	o.text(string(b))
}

func (o *jsonOut) Part(name string, heads ...string) error {
	switch {
	case o.parts == 0 && name == "":
		o.text(",\n")
	case o.parts == 0:
		o.named = true
		o.text(",\n\"parts\":[\n{\"name\":")
	default:
		o.text("]},\n{\"name\":")
	}
	o.begin(heads)
	if o.named {
		o.value(name)
		o.text(",\n")
	}
	o.names, o.rows = nil, 0
	for _, h := range heads {
		b, err := json.Marshal(h)
		if err != nil {
			return err
		}
		o.names = append(o.names, b)
	}
	o.text(`"heads":`)
	o.value(heads)
	o.text(",\n\"rows\":[")
	return o.err
}

func (o *jsonOut) Row(values ...any) error {
	if err := o.fits(values); err != nil {
		return err
	}
	separator := ",\n{"
	if o.rows == 0 {
		separator = "\n{"
	}
	o.rows++
	o.text(separator)
	for i, v := range values {
		if i > 0 {
			o.text(",")
		}
		o.text(string(o.names[i]) + ":")
		switch v.(type) {
		case int, int64:
			o.text(plainText(v))
		default:
			o.value(plainText(v))
		}
	}
	o.text("}")
	return o.err
}

func (o *jsonOut) Close() error {
	if o.parts > 0 {
		o.text("\n]")
	}
	if o.named {
		o.text("}]")
	}
	o.text("}\n")
	if o.err != nil {
		return o.err
	}
	return o.to.Flush()
}
