package chart

import (
	"slices"

	"rungbook/web"
)

// Look is how far a search for a plan had come when somebody looked: the points
// that the best plan costs, and a bound under which no plan can come.
type Look struct {
	Steps       int64
	Cost, Bound int64
}

// Gap is a drawing of cost and bound over the steps of a search: the room that is
// left between them. Its scale begins near the bound and not at nothing, which
// would hide the room; From and To say where it begins and ends.
type Gap struct {
	Width, Height string
	From, To      string // of the scale, in points
	Cut           bool   // some values lie beyond the scale and stand at its edge
	Rules         string // one line across at each tick
	Ticks         []Text
	Room          string // the figure between the two lines
	Cost, Bound   string
	Names         []Text // at the right end of each line
	Feet          []Text // under the drawing: the steps
}

const (
	gapHeight = 168.0
	gapTop    = 16.0  // room for the highest tick's number
	gapFoot   = 20.0  // room for the steps
	gapRight  = 46.0  // room for the names of the lines
	gapTicks  = 4     // no more than so many parts of the scale
	gapFirst  = 4     // the scale fits what came after the first 1/gapFirst of the steps
	nameRoom  = 14.0  // height of a name
	stepsRoom = 150.0 // width below which only the last number of steps stands
)

// NewGap draws looks in a given width in pixels. Precondition: looks is not empty
// and in the order of their steps.
func NewGap(looks []Look, width int) Gap {
	first, last := looks[0], looks[len(looks)-1]
	from, to, tick := gapScale(looks)
	foot, right := gapHeight-gapFoot, float64(width)-gapRight
	x := func(steps int64) float64 {
		if last.Steps == first.Steps {
			return right
		}
		return right * float64(steps-first.Steps) / float64(last.Steps-first.Steps)
	}
	y := func(points int64) float64 {
		points = min(max(points, from), to)
		return foot - (foot-gapTop)*float64(points-from)/float64(to-from)
	}
	g := Gap{Width: num(float64(width)), Height: num(gapHeight), From: web.Number(from), To: web.Number(to)}
	var rules path
	for v := from; v <= to; v += tick {
		rules.move(pt{0, y(v)}).line(pt{right, y(v)})
		g.Ticks = append(g.Ticks, Text{Kind: "tick", X: "0", Y: num(y(v) - 3), Anchor: "start", Words: web.Number(v)})
	}
	g.Rules = rules.String()
	cost, bound := stair(looks, x, y, right, costOf), stair(looks, x, y, right, boundOf)
	g.Cost, g.Bound = polyline(cost), polyline(bound)
	slices.Reverse(bound)
	g.Room = polygon(append(cost, bound...)...)
	g.Cut = slices.ContainsFunc(looks, func(l Look) bool { return l.Cost > to || l.Bound < from })

	at := spread([]float64{y(last.Cost) - nameRoom/2, y(last.Bound) - nameRoom/2}, []float64{nameRoom, nameRoom}, 0, foot+nameRoom/2)
	for i, words := range []string{"cost", "bound"} {
		g.Names = append(g.Names, Text{Kind: "name", X: num(right + 6), Y: num(at[i] + nameRoom - 3), Anchor: "start", Words: words})
	}
	if right > stepsRoom {
		g.Feet = append(g.Feet, Text{Kind: "tick", X: "0", Y: num(gapHeight - 4), Anchor: "start", Words: web.Number(first.Steps)})
	}
	g.Feet = append(g.Feet, Text{Kind: "tick", X: num(right), Y: num(gapHeight - 4), Anchor: "end", Words: web.Count(int(last.Steps), "step", "steps")})
	return g
}

// gapScale returns the ends of the scale and the distance of its ticks: round
// numbers around what came after the first part of the search, when the first
// rough plan is behind.
func gapScale(looks []Look) (from, to, tick int64) {
	last := looks[len(looks)-1]
	from, to = min(last.Bound, last.Cost), max(last.Cost, last.Bound)
	begin := looks[0].Steps + (last.Steps-looks[0].Steps)/gapFirst
	for _, l := range looks {
		if l.Steps >= begin {
			from, to = min(from, l.Bound), max(to, l.Cost)
		}
	}
	tick = 1
	for i := 0; (to-from)/tick >= gapTicks; i++ {
		if i%3 == 1 { // 1, 2, 5, 10, 20, 50 …
			tick = tick / 2 * 5
		} else {
			tick *= 2
		}
	}
	from -= from % tick
	to += (tick - to%tick) % tick
	if from == to {
		to += tick
	}
	return from, to, tick
}

// value picks one of the numbers of a look.
type value func(Look) int64

func costOf(l Look) int64  { return l.Cost }
func boundOf(l Look) int64 { return l.Bound }

// stair returns the corners of a line that keeps each value until the next look.
func stair(looks []Look, x func(int64) float64, y func(int64) float64, right float64, of value) []pt {
	var out []pt
	for i, l := range looks {
		if i > 0 {
			out = append(out, pt{x(l.Steps), out[len(out)-1].y})
		}
		out = append(out, pt{x(l.Steps), y(of(l))})
	}
	if len(looks) == 1 {
		out = append([]pt{{0, out[0].y}}, pt{right, out[0].y})
	}
	return out
}

func polyline(points []pt) string {
	var p path
	return p.move(points[0]).line(points[1:]...).String()
}
