package chart

import (
	"math"
	"slices"

	"rungbook/web"
)

// Options choose how much of the elevation is drawn.
type Options struct {
	Width  float64 // pixels to fill, the drawing may be narrower, never wider
	Labels bool    // leaders, names and heights; without them the drawing is a small map
	Here   string  // the ID of the station to point out, "" for none
}

// Drawing is the yard's elevation, ready to be written down as SVG.
type Drawing struct {
	Width, Height string
	Name          string
	Lines         []Line
	Zones         []Zoned
	Texts         []Text
	Places        []Place
	Labels        bool
}

// Line is a path with a weight: ground, earth, outline, thin, hidden, centre, dim, fill.
type Line struct{ Weight, D string }

// Zoned is a zone: its edge, hatched while in use.
type Zoned struct {
	Edge, Hatch string
	InUse       bool
}

// Text is a word in the drawing: of a rig, a zone, a height, a level or the scale.
type Text struct {
	Kind, X, Y, Anchor string
	Turn               string // transform that turns it upright along a dimension line, or ""
	Words, Href        string
}

// Place is a station in the drawing: its box with its number, and a label at
// the end of a leader.
type Place struct {
	Href         string
	Spoken       string // its number, what its label shows, and the rest in words
	State        State
	Live, Here   bool
	Box          Box
	Hatch, Cross string
	Mark         Text
	Leader       string
	Dot          Box // only X and Y are used
	Name         Text
	Lines        []Text
	Target       Box // what a pointer can hit, at least 24 px high
}

// Box is an upright rectangle.
type Box struct{ X, Y, W, H string }

const (
	rigWidth   = 7.8  // of one character of a rig's name, generous for all lettering faces
	smallWidth = 6.0  // of one character of a zone's words
	stub       = 12.0 // from a label's text to the drawing
	dimRoom    = 28.0 // for a dimension line with its text along it
	levelRoom  = 46.0 // for a line of levels with their figures beside it
	between    = 24.0 // from rig to rig
	highest    = 460.0
	boxPadding = 4.0
)

// Elevation draws a yard to one scale, rig beside rig in their order. The
// ground between rigs is not to scale: a break in the ground line says so.
// A yard without rigs gives a drawing of bare ground.
func Elevation(y Yard, o Options) Drawing {
	groups := clusters(y)
	return drawn(y.Name, groups, o, row{scale: fit(groups, o), bar: true})
}

// Rows draws a yard in one row while that leaves its rigs at least half the size that
// two rows would give them, else in two: the labels of many rigs have a width of their
// own, beside which the rigs themselves would shrink to nothing.
func Rows(y Yard, o Options) []Drawing {
	groups := clusters(y)
	if _, two := parted(groups, o); 2*fit(groups, o) >= two {
		return []Drawing{Elevation(y, o)}
	}
	return TwoRows(y, o)
}

// parted returns where rigs part into two rows with the greatest scale, and that
// scale; the number of all of them and 0 where they can't part.
func parted(groups []cluster, o Options) (at int, best float64) {
	at = len(groups)
	for i := 1; i < len(groups); i++ {
		if scale := min(fit(groups[:i], o), fit(groups[i:], o)); scale > best {
			at, best = i, scale
		}
	}
	return at, best
}

// TwoRows draws a yard in two rows to one scale, for a sheet too narrow for one:
// the rigs part where the scale can be greatest. What can't part stays one row.
func TwoRows(y Yard, o Options) []Drawing {
	groups := clusters(y)
	at, best := parted(groups, o)
	if at == len(groups) {
		return []Drawing{Elevation(y, o)}
	}
	upper, lower := row{scale: best}, row{scale: best, bar: true}
	upper.width = (&sheet{options: o, scale: best}).place(groups[at:])
	lower.width = (&sheet{options: o, scale: best}).place(groups[:at])
	return []Drawing{drawn(y.Name, groups[:at], o, upper), drawn(y.Name, groups[at:], o, lower)}
}

// row is how a row of clusters is drawn.
type row struct {
	scale float64 // pixels per decimetre
	width float64 // of the row it shares its scale with; the wider one's counts
	bar   bool    // with a scale bar
}

func drawn(name string, groups []cluster, o Options, r row) Drawing {
	s := &sheet{options: o, scale: r.scale}
	s.width = max(s.place(groups), r.width)
	d := Drawing{Name: name, Labels: o.Labels}
	for i := range groups {
		s.cluster(&groups[i])
	}
	s.groundLine(groups)
	if o.Labels && r.bar {
		s.scaleBar()
	}
	d.Width, d.Height = num(s.width), num(s.height)
	d.Lines, d.Zones, d.Texts, d.Places = s.lines, s.zones, s.texts, s.places
	return d
}

// sheet is the paper while it is drawn on.
type sheet struct {
	options       Options
	scale         float64 // pixels per decimetre
	ground        float64 // y of the ground line
	zoneRow       float64 // height of the row under the ground that names zones in use
	zoneEnd       float64 // where the last of them ends
	width, height float64
	lines         []Line
	zones         []Zoned
	texts         []Text
	places        []Place
}

func (s *sheet) draw(weight, d string) { s.lines = append(s.lines, Line{weight, d}) }

// at turns a place of a rig's frame into a point of the sheet.
func (f frame) at(x, y float64) pt {
	return pt{f.left + x*f.sheet.scale, f.sheet.ground - y*f.sheet.scale}
}

// frame is a rig's own coordinate system on the sheet.
type frame struct {
	sheet *sheet
	left  float64 // pixels, of the rig's x = 0
}

// groundLine draws the ground with its earth hatching and a break where the
// distance between rigs is left out.
func (s *sheet) groundLine(groups []cluster) {
	from := 0.0
	for i := range groups {
		if i == 0 {
			continue
		}
		b := (groups[i-1].bodyRight + groups[i].bodyLeft) / 2
		s.earth(from, b-3)
		s.draw("thin", segments(pt{b - 5, s.ground + 6}, pt{b - 1, s.ground - 6}, pt{b + 1, s.ground + 6}, pt{b + 5, s.ground - 6}))
		from = b + 3
	}
	s.earth(from, s.width)
}

func (s *sheet) earth(from, to float64) {
	s.draw("ground", segment(pt{from, s.ground}, pt{to, s.ground}))
	var p path
	for x := from + 8; x < to-2; x += 11 {
		p.move(pt{x, s.ground + 1}).line(pt{x - 6, s.ground + 7})
	}
	s.draw("earth", p.String())
}

// scaleBar is 10 m long, in two halves.
func (s *sheet) scaleBar() {
	y, half := s.height-18, 50*s.scale
	x := boxPadding
	s.draw("fill", polygon(corners(x, y, half, 4)...))
	s.draw("thin", polygon(corners(x+half, y, half, 4)...))
	for i, words := range []string{"0", "5", "10 m"} {
		s.text(Text{Kind: "scale", Anchor: "middle", Words: words}, pt{x + float64(i)*half, y + 16})
	}
}

func (s *sheet) text(t Text, at pt) {
	t.X, t.Y = num(at.x), num(at.y)
	s.texts = append(s.texts, t)
}

// heightLine draws a dimension line from y = lo to y = hi (decimetres) at pixel x,
// with slashes for ends as on a building drawing and its length along it.
func (s *sheet) heightLine(x float64, lo, hi int, from float64) {
	a, b := s.ground-float64(lo)*s.scale, s.ground-float64(hi)*s.scale
	s.draw("dim", segments(pt{x, a}, pt{x, b}, pt{x - 4, a + 4}, pt{x + 4, a - 4}, pt{x - 4, b + 4}, pt{x + 4, b - 4}, pt{from, b}, pt{x, b}))
	if lo > 0 {
		s.draw("dim", segment(pt{from, a}, pt{x, a}))
	}
	at := pt{x - 5, (a + b) / 2}
	s.text(Text{Kind: "dim", Anchor: "middle", Words: web.Metres(hi - lo), Turn: "rotate(-90 " + num(at.x) + " " + num(at.y) + ")"}, at)
}

// levelLine draws the levels of a tower (decimetres, ascending) on a line at
// pixel x, each with its height over ground beside it. A figure too near to the
// one above it is left out.
func (s *sheet) levelLine(x float64, levels []int) {
	top := levels[len(levels)-1]
	y := func(v int) float64 { return s.ground - float64(v)*s.scale }
	s.draw("dim", segment(pt{x, s.ground}, pt{x, y(top)}))
	above := math.Inf(-1)
	for _, v := range slices.Backward(levels) {
		s.draw("dim", segments(pt{x - 4, y(v) + 4}, pt{x + 4, y(v) - 4}))
		if y(v)-above < 13 {
			continue
		}
		above = y(v)
		if v > 0 { // the ground says so itself
			s.text(Text{Kind: "level", Anchor: "end", Words: "+" + web.Metres(v)}, pt{x - 8, y(v) + 4})
		}
	}
}
