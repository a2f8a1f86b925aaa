package chart

import (
	"bytes"
	"context"
	"regexp"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"rungbook/web"
)

var usualLooks = []Look{{0, 9_400_000, 96_000}, {4_000, 151_200, 118_000}, {10_000, 138_900, 126_000}, {22_000, 134_210, 129_600}, {40_000, 133_480, 130_900}}

func TestGapLooksAsItDid(t *testing.T) {
	var b bytes.Buffer
	if err := GapFigure(NewGap(usualLooks, 560), "cost 133 480, bound 130 900").Render(context.Background(), &b); err != nil {
		t.Fatal(err)
	}
	golden(t, "gap.svg", b.String())
}

func TestGapScaleBeginsNearTheBoundAndSaysSo(t *testing.T) {
	cases := []struct {
		name     string
		looks    []Look
		from, to string
		cut      bool
	}{
		{"the first rough plan lies beyond the scale", usualLooks, "125 000", "140 000", true},
		{"one look", []Look{{0, 500, 400}}, "400", "500", false},
		{"proven best at once", []Look{{0, 7, 7}}, "7", "8", false},
		{"nothing to plan", []Look{{0, 0, 0}}, "0", "1", false},
		{"the cost fell to the bound", []Look{{0, 90, 50}, {100, 60, 60}}, "60", "61", true},
		{"huge", []Look{{0, 4 << 60, 1 << 60}, {10, 3 << 60, 1 << 60}}, "1 000 000 000 000 000 000", "4 000 000 000 000 000 000", true},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			g := NewGap(c.looks, 560)
			plain := strings.NewReplacer("\u202f", " ")
			if from, to := plain.Replace(g.From), plain.Replace(g.To); from != c.from || to != c.to || g.Cut != c.cut {
				t.Errorf("the scale runs from %s to %s, cut %t; want %s to %s, %t", from, to, g.Cut, c.from, c.to, c.cut)
			}
		})
	}
}

func TestGapHoldsItsLinesAndKeepsItsNamesApart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		looks := drawLooks(t)
		width := rapid.IntRange(240, 800).Draw(t, "width")
		g := NewGap(looks, width)
		for name, d := range map[string]string{"cost": g.Cost, "bound": g.Bound, "room": g.Room} {
			for _, q := range points(t, d) {
				if q.x < 0 || q.x > float64(width) || q.y < 0 || q.y > gapHeight {
					t.Fatalf("the %s leaves the drawing at %v", name, q)
				}
			}
		}
		if cost, bound := number(t, g.Names[0].Y), number(t, g.Names[1].Y); bound-cost < nameRoom-0.2 {
			t.Fatalf("the names stand at %v and %v", cost, bound)
		}
		if n := len(g.Ticks); n < 2 || n > gapTicks+2 {
			t.Fatalf("%d ticks", n)
		}
		if last := looks[len(looks)-1]; !strings.Contains(g.Feet[len(g.Feet)-1].Words, web.Number(last.Steps)) && last.Steps > 0 {
			t.Fatalf("%d steps stand as %q", last.Steps, g.Feet)
		}
	})
}

// drawLooks draws a search: steps and bound rise, the cost falls and keeps above it.
func drawLooks(t *rapid.T) []Look {
	n := rapid.IntRange(1, 40).Draw(t, "looks")
	looks := make([]Look, n)
	bound, cost := rapid.Int64Range(0, 1<<40).Draw(t, "bound"), int64(1)<<42
	for i := range looks {
		bound += rapid.Int64Range(0, 1<<30).Draw(t, "rise")
		cost = max(bound, cost-rapid.Int64Range(0, 1<<38).Draw(t, "fall"))
		looks[i] = Look{Steps: int64(i) * rapid.Int64Range(0, 1000).Draw(t, "steps"), Cost: cost, Bound: bound}
		if i > 0 {
			looks[i].Steps = max(looks[i].Steps, looks[i-1].Steps)
		}
	}
	return looks
}

var coordinates = regexp.MustCompile(`(-?[\d.]+) (-?[\d.]+)`)

func points(t *rapid.T, d string) []pt {
	var out []pt
	for _, m := range coordinates.FindAllStringSubmatch(d, -1) {
		out = append(out, pt{number(t, m[1]), number(t, m[2])})
	}
	if len(out) < 2 {
		t.Fatalf("%q is no line", d)
	}
	return out
}
