package session

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/fault"
)

func TestADrawingIsASignatureOrIsRefusedWithWhatToDo(t *testing.T) {
	for name, c := range map[string]struct {
		text, say string
		lines     []string
	}{
		"two strokes":       {"0,0 100,50;10,10 60,200", "", []string{"0,0 100,50", "10,10 60,200"}},
		"spare separators":  {";; 0,0  600,200 ;", "", []string{"0,0 600,200"}},
		"just enough":       {"0,0 50,50", "", []string{"0,0 50,50"}},
		"nothing":           {" ", "Nothing is drawn", nil},
		"a dot":             {"300,100", "too little", nil},
		"dots":              {"0,0;600,200;300,100", "too little", nil},
		"a slip":            {"0,0 50,49", "too little", nil},
		"outside":           {"0,0 601,200", "could not be read", nil},
		"below":             {"0,0 600,201", "could not be read", nil},
		"negative":          {"-1,0 600,200", "could not be read", nil},
		"half a point":      {"0,0 600", "could not be read", nil},
		"three in a point":  {"0,0,0 600,200", "could not be read", nil},
		"markup":            {`0,0 "/><script>`, "could not be read", nil},
		"a huge number":     {"0,0 99999999999999999999,0", "could not be read", nil},
		"as if for a match": {strings.Repeat("600,200 ", 3001), "more than 3000 points", nil},
	} {
		t.Run(name, func(t *testing.T) {
			d, err := ParseDrawing(c.text)
			if c.say == "" {
				if err != nil || !slices.Equal(d.Lines(), c.lines) {
					t.Errorf("%v, %v", d.Lines(), err)
				}
				return
			}
			if fault.Of(err) != fault.Invalid || !strings.Contains(fmt.Sprint(err), c.say) {
				t.Errorf("%v, want %q", err, c.say)
			}
		})
	}
}

func TestADrawingIsReadAsItWasWritten(t *testing.T) {
	point := rapid.Custom(func(t *rapid.T) Point {
		return Point{X: rapid.IntRange(0, DrawingWide).Draw(t, "x"), Y: rapid.IntRange(0, DrawingHigh).Draw(t, "y")}
	})
	rapid.Check(t, func(t *rapid.T) {
		d := Drawing{{{0, 0}, {DrawingWide, 0}}} // enough ink
		for range rapid.IntRange(0, 5).Draw(t, "strokes") {
			d = append(d, rapid.SliceOfN(point, 1, 40).Draw(t, "stroke"))
		}
		back, err := ParseDrawing(d.String())
		if err != nil || back.String() != d.String() {
			t.Fatalf("%v became %v, %v", d, back, err)
		}
	})
}

func FuzzParseDrawing(f *testing.F) {
	for _, s := range []string{"", "0,0 100,50;10,10 60,200", "1,1;", "a", "600,200 0,0", "1,2,3"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		d, err := ParseDrawing(text)
		if err != nil {
			return
		}
		if strings.Trim(d.String(), "0123456789,; ") != "" {
			t.Fatalf("%q lets %q through", text, d)
		}
		if back, err := ParseDrawing(d.String()); err != nil || back.String() != d.String() {
			t.Fatalf("%q, then %q, %v", d, back, err)
		}
	})
}
