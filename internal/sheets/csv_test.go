package sheets

import (
	"encoding/csv"
	"strings"
	"testing"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"

	"rungbook/internal/fault"
)

const names = "Name;Town\nJürgen Ångström;Łódź"

func encoded(t *testing.T, name, text string) []byte {
	t.Helper()
	switch name {
	case "utf-8":
		return []byte(text)
	case "utf-8 with a mark":
		return append([]byte{0xEF, 0xBB, 0xBF}, text...)
	case "utf-16le with a mark":
		b, err := unicode.UTF16(unicode.LittleEndian, unicode.UseBOM).NewEncoder().Bytes([]byte(text))
		if err != nil {
			t.Fatal(err)
		}
		return b
	case "utf-16be without a mark":
		b, err := unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM).NewEncoder().Bytes([]byte(text))
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	t.Fatalf("no encoding %s", name)
	return nil
}

func TestACSVIsReadInTheEncodingItIsIn(t *testing.T) {
	for _, name := range []string{"utf-8", "utf-8 with a mark", "utf-16le with a mark", "utf-16be without a mark"} {
		got, err := Read(encoded(t, name, names), Options{})
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if got.Rows[1].Cells[0].Text != "Jürgen Ångström" || got.Rows[1].Cells[1].Text != "Łódź" || got.Separator != ";" {
			t.Errorf("%s: got %+v", name, got)
		}
	}
	const euro = "Name,Fee\nZoë Šimek,5 €"
	for name, m := range map[string]*charmap.Charmap{"windows-1252": charmap.Windows1252, "iso-8859-15": charmap.ISO8859_15} {
		b, err := m.NewEncoder().Bytes([]byte(euro))
		if err != nil {
			t.Fatal(err)
		}
		got, err := Read(b, Options{Encoding: name})
		if err != nil || got.Rows[1].Cells[0].Text != "Zoë Šimek" || got.Rows[1].Cells[1].Text != "5 €" {
			t.Errorf("%s: got %+v, %v", name, got, err)
		}
	}
	if got, err := Read([]byte("Zo\xEB;1\n"), Options{}); err != nil || got.Encoding != "windows-1252" || got.Rows[0].Cells[0].Text != "Zoë" {
		t.Errorf("not told: got %+v, %v; want windows-1252", got, err)
	}
	if got, err := Read([]byte("Zo\xEB;1\n"), Options{Encoding: "iso-8859-1"}); err != nil || got.Rows[0].Cells[0].Text != "Zoë" {
		t.Errorf("iso-8859-1: got %+v, %v", got, err)
	}
}

func TestWhatIsNoListIsRefusedWithASentence(t *testing.T) {
	cases := []struct{ name, data, want string }{
		{"nothing", "", "The file is empty."},
		{"an old workbook", "\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1", "This is a workbook of the old form (.xls), or one with a password. Save it as .xlsx without a password."},
		{"a picture", "\x89PNG\r\n\x1a\n\x00\x00\x00", "This is neither a workbook (.xlsx) nor a list of values (.csv)."},
		{"an open quotation mark", "a,b\n1,\"two", "B2: a quotation mark is opened and never closed."},
		{"text behind a quotation mark", "a,b\n\"one\"two,3", "A2: text follows a closing quotation mark. Save the list as CSV again."},
		{"too many columns", strings.Repeat("a,", 200) + "a", "GS1: the list has more than 200 columns. Take out those that are not needed."},
		{"a broken archive", "PK\x03\x04rubbish", "The workbook is damaged: it can't be unpacked."},
	}
	for _, c := range cases {
		_, err := Read([]byte(c.data), Options{})
		if fault.Of(err) != fault.Invalid || fault.Message(err) != c.want {
			t.Errorf("%s: got %v, want %q", c.name, err, c.want)
		}
	}
	if _, err := Read([]byte(strings.Repeat("a,", 199)+"a"), Options{}); err != nil {
		t.Errorf("200 columns: got %v, want them read", err)
	}
}

func TestSeparatorsAreFoundAndEmptyLinesKeepTheirNumber(t *testing.T) {
	for _, s := range Separators() {
		text := "Name" + s + "Town\n\"A" + s + "b\"" + s + "x\n\r\n\nLast" + s + "y\n"
		got, err := Read([]byte(text), Options{})
		if err != nil {
			t.Fatal(err)
		}
		if got.Separator != s || len(got.Rows) != 3 || got.Rows[1].Cells[0].Text != clean("A"+s+"b") || got.Rows[2].Number != 5 {
			t.Errorf("%q: got %+v", s, got)
		}
	}
	got, err := Read([]byte("sep=|\na|b,c\n"), Options{})
	if err != nil || got.Separator != "|" || got.Rows[0].Number != 2 || got.Rows[0].Cells[1].Text != "b,c" {
		t.Errorf("sep=: got %+v, %v", got, err)
	}
}

// A second reader of CSV, the library's, finds the same values where both read.
func FuzzCSV(f *testing.F) {
	for _, s := range []string{names, "a,b\n\"x\"\"y\",2\r\n\r\n3", "sep=;\na;b", "\"", "\xff\xfea\x00", "a\tb|c\n1\t2|3"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		got, err := Read(data, Options{Encoding: "utf-8", Separator: ","})
		if err != nil {
			if fault.Of(err) != fault.Invalid {
				t.Fatalf("got %v, want a refusal", err)
			}
			return
		}
		if strings.HasPrefix(strings.ToLower(string(data)), "sep=") || strings.Contains(string(data), "\r") || strings.HasPrefix(string(data), "PK") {
			return
		}
		r := csv.NewReader(strings.NewReader(strings.TrimPrefix(string(data), "\xEF\xBB\xBF")))
		r.FieldsPerRecord = -1
		want, err := r.ReadAll()
		if err != nil {
			return
		}
		i := 0
		for _, record := range want {
			if clean(strings.Join(record, "")) == "" {
				continue
			}
			for j, value := range record {
				if j < MaxColumns && got.Rows[i].Cell(j).Text != clean(value) {
					t.Fatalf("row %d value %d: got %q, want %q", i, j, got.Rows[i].Cell(j).Text, clean(value))
				}
			}
			i++
		}
	})
}
