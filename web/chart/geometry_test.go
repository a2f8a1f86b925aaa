package chart

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestNumbersAreShortAndNeverMinusZero(t *testing.T) {
	for v, want := range map[float64]string{0: "0", -0.04: "0", 1.25: "1.3", 2: "2", -3.14: "-3.1", 0.05: "0.1"} {
		if got := num(v); got != want {
			t.Errorf("num(%v) = %q, want %q", v, got, want)
		}
	}
}

func TestCutKeepsWhatFits(t *testing.T) {
	for _, c := range []struct {
		s    string
		n    int
		want string
	}{{"Deck 9", 6, "Deck 9"}, {"Deck 99", 6, "Deck…"}, {"Krūmiņa", 7, "Krūmiņa"}, {"Krūmiņa", 6, "Krūmi…"}} {
		if got := cut(c.s, c.n); got != c.want {
			t.Errorf("cut(%q, %d) = %q, want %q", c.s, c.n, got, c.want)
		}
	}
}

// ends reads the segments of a path made of M and L.
func ends(t interface{ Fatalf(string, ...any) }, d string) []pt {
	var out []pt
	for _, word := range strings.FieldsFunc(d, func(r rune) bool { return r == 'M' || r == 'L' }) {
		x, y, ok := strings.Cut(word, " ")
		a, err1 := strconv.ParseFloat(x, 64)
		b, err2 := strconv.ParseFloat(y, 64)
		if !ok || err1 != nil || err2 != nil {
			t.Fatalf("%q is no point of %q", word, d)
		}
		out = append(out, pt{a, b})
	}
	return out
}

func TestHatchLinesStayInsideTheirFigure(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y := rapid.Float64Range(-50, 50).Draw(t, "x"), rapid.Float64Range(-50, 50).Draw(t, "y")
		w, h := rapid.Float64Range(1, 200).Draw(t, "w"), rapid.Float64Range(1, 200).Draw(t, "h")
		slope := rapid.SampledFrom([]int{1, -1}).Draw(t, "slope")
		points := ends(t, hatch(corners(x, y, w, h), slope, rapid.Float64Range(2, 12).Draw(t, "gap")))
		for _, p := range points {
			if p.x < x-0.1 || p.x > x+w+0.1 || p.y < y-0.1 || p.y > y+h+0.1 {
				t.Fatalf("%v lies outside %v %v %v %v", p, x, y, w, h)
			}
		}
		for i := 0; i+1 < len(points); i += 2 {
			a, b := points[i], points[i+1]
			if rise := (b.y - a.y) + float64(slope)*(b.x-a.x); math.Abs(rise) > 0.3 {
				t.Fatalf("line %v %v has not slope %d", a, b, slope)
			}
		}
	})
}

func TestHatchFillsAFigureWiderThanItsGap(t *testing.T) {
	if n := len(ends(t, hatch(corners(0, 0, 100, 40), 1, 6))); n < 2*10 {
		t.Errorf("%d ends of hatch lines in a figure of 100 × 40, want at least 20", n)
	}
}

func TestSpreadKeepsOrderHeightsAndRoom(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		wishes := rapid.SliceOfN(rapid.Float64Range(0, 400), 0, 8).Draw(t, "wishes")
		slices.Sort(wishes)
		heights := rapid.SliceOfN(rapid.Float64Range(10, 47), len(wishes), len(wishes)).Draw(t, "heights")
		at := spread(wishes, heights, 20, 400)
		for i := range at {
			if at[i] < 20-1e-9 || at[i]+heights[i] > 400+1e-9 {
				t.Fatalf("%v of heights %v leave [20, 400]", at, heights)
			}
			if i > 0 && at[i]-at[i-1] < heights[i-1]-1e-9 {
				t.Fatalf("%v: one of heights %v begins above the end of the one before", at, heights)
			}
		}
	})
}

func TestSpreadLeavesWhatAlreadyFits(t *testing.T) {
	wishes := []float64{30, 90, 200}
	if at := spread(wishes, []float64{38, 52, 38}, 20, 400); !slices.Equal(at, wishes) {
		t.Errorf("spread moved %v to %v without need", wishes, at)
	}
}
