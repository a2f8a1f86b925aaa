package session

import (
	"strconv"
	"strings"

	"rungbook/internal/fault"
)

// Drawing is a signature as it was drawn with a finger: strokes on a field of
// DrawingWide by DrawingHigh units, in the order they were drawn.
type Drawing []Stroke

// Stroke is a line from where the finger came down to where it was lifted.
type Stroke []Point

// Point lies so many units from the left and from the top of the field.
type Point struct{ X, Y int }

// The field of a drawing, in its own units, and what is asked of one.
const (
	DrawingWide = 600
	DrawingHigh = 200

	leastInk    = DrawingHigh / 2 // in units drawn along; less is a slip of the finger
	mostPoints  = 3000
	mostDrawing = mostPoints * len("600,200 ") // bytes of its text
)

// ParseDrawing reads a drawing as String writes it: points "x,y", a space between
// them, a semicolon between strokes. Error: fault.Invalid at "drawn".
func ParseDrawing(text string) (Drawing, error) {
	if strings.TrimSpace(text) == "" {
		return nil, fault.Field("drawn", "Nothing is drawn. Sign in the field, or countersign by code.")
	}
	broken := fault.Field("drawn", "The drawing could not be read. Clear it and sign again.")
	if len(text) > mostDrawing {
		return nil, fault.Field("drawn", "The drawing has more than %d points. Clear it and sign in fewer strokes.", mostPoints)
	}
	var out Drawing
	for _, stroke := range strings.Split(text, ";") {
		var line Stroke
		for _, word := range strings.Fields(stroke) {
			x, y, ok := strings.Cut(word, ",")
			left, err := strconv.ParseUint(x, 10, 16)
			top, err2 := strconv.ParseUint(y, 10, 16)
			if !ok || err != nil || err2 != nil || left > DrawingWide || top > DrawingHigh {
				return nil, broken
			}
			line = append(line, Point{X: int(left), Y: int(top)})
		}
		if len(line) > 0 {
			out = append(out, line)
		}
	}
	if out.ink() < leastInk {
		return nil, fault.Field("drawn", "That is too little for a signature. Clear it and sign again, or countersign by code.")
	}
	return out, nil
}

// ink is how far the finger went, along both sides of the field.
func (d Drawing) ink() (units int) {
	for _, line := range d {
		for i := 1; i < len(line); i++ {
			units += max(line[i].X-line[i-1].X, line[i-1].X-line[i].X) + max(line[i].Y-line[i-1].Y, line[i-1].Y-line[i].Y)
		}
	}
	return units
}

// String returns the text that ParseDrawing reads.
func (d Drawing) String() string { return strings.Join(d.Lines(), ";") }

// Lines returns each stroke as the points of a line in a picture of the field.
func (d Drawing) Lines() (out []string) {
	for _, line := range d {
		words := make([]string, len(line))
		for i, p := range line {
			words[i] = strconv.Itoa(p.X) + "," + strconv.Itoa(p.Y)
		}
		out = append(out, strings.Join(words, " "))
	}
	return out
}
