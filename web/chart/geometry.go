package chart

import (
	"math"
	"strconv"
	"strings"
)

// pt is a point of the drawing in pixels; y runs down, as in SVG.
type pt struct{ x, y float64 }

// num writes a coordinate with at most one decimal, so that drawings are short
// and the same on every machine.
func num(v float64) string {
	r := math.Round(v*10) / 10
	if r == 0 {
		return "0" // never "-0"
	}
	return strconv.FormatFloat(r, 'f', -1, 64)
}

// path builds the d attribute of an SVG path.
type path struct{ b strings.Builder }

func (p *path) word(op string, points ...pt) *path {
	p.b.WriteString(op)
	for i, q := range points {
		if i > 0 {
			p.b.WriteByte(' ')
		}
		p.b.WriteString(num(q.x) + " " + num(q.y))
	}
	return p
}

func (p *path) move(q pt) *path         { return p.word("M", q) }
func (p *path) line(q ...pt) *path      { return p.word("L", q...) }
func (p *path) curve(a, b, to pt) *path { return p.word("C", a, b, to) }
func (p *path) close() *path            { p.b.WriteByte('Z'); return p }
func (p *path) String() string          { return p.b.String() }

// polygon closes a figure around its corners.
func polygon(corners ...pt) string {
	var p path
	return p.move(corners[0]).line(corners[1:]...).close().String()
}

// segment draws one straight line.
func segment(a, b pt) string {
	var p path
	return p.move(a).line(b).String()
}

// segments draws straight lines from pairs of points.
func segments(ends ...pt) string {
	var p path
	for i := 0; i+1 < len(ends); i += 2 {
		p.move(ends[i]).line(ends[i+1])
	}
	return p.String()
}

// corners of an upright rectangle, clockwise from the upper left.
func corners(x, y, w, h float64) []pt {
	return []pt{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}}
}

// hatch fills a convex figure with parallel lines that rise (slope +1) or fall
// (slope −1) to the right, gap pixels apart measured across.
// Preconditions: at least three corners, gap > 0.
func hatch(figure []pt, slope int, gap float64) string {
	s := float64(slope)
	// A rising line in SVG's downward y is x + y = c, a falling one x − y = c.
	level := func(q pt) float64 { return q.x + s*q.y }
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, q := range figure {
		lo, hi = min(lo, level(q)), max(hi, level(q))
	}
	step := gap * math.Sqrt2
	var p path
	for c := (math.Floor(lo/step) + 1) * step; c < hi; c += step {
		if a, b, ok := crossing(figure, level, c); ok {
			p.move(a).line(b)
		}
	}
	return p.String()
}

// crossing returns the two points where a level line enters and leaves a convex figure.
func crossing(figure []pt, level func(pt) float64, c float64) (a, b pt, ok bool) {
	var found []pt
	for i, q := range figure {
		r := figure[(i+1)%len(figure)]
		u, v := level(q)-c, level(r)-c
		if (u < 0) == (v < 0) { // both ends on one side; a corner counts as above
			continue
		}
		t := u / (u - v)
		found = append(found, pt{q.x + t*(r.x-q.x), q.y + t*(r.y-q.y)})
	}
	if len(found) < 2 {
		return pt{}, pt{}, false
	}
	a, b = found[0], found[1]
	if a.x > b.x {
		a, b = b, a
	}
	return a, b, true
}

// spread moves things of given heights apart, so that each begins where the one
// above it ends or lower and all stay in [lo, hi] as far as there is room; the
// order is kept. Wishes are their upper edges. Precondition: wishes ascend.
func spread(wishes, heights []float64, lo, hi float64) []float64 {
	at := make([]float64, len(wishes))
	for i, w := range wishes {
		at[i] = max(w, lo)
		if i > 0 {
			at[i] = max(at[i], at[i-1]+heights[i-1])
		}
	}
	limit := hi
	for i := len(at) - 1; i >= 0; i-- {
		at[i] = min(at[i], limit-heights[i])
		limit = at[i]
	}
	return at
}

// cut shortens a text to n characters with an ellipsis.
func cut(s string, n int) string {
	r := []rune(s)
	if len(r) <= n {
		return s
	}
	return strings.TrimRight(string(r[:n-1]), " ·,") + "…"
}
