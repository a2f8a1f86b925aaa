package chart

import "strings"

// Sizes of a label, in pixels and characters.
const (
	nameWidth  = 7.0 // of one character of a name, generous for all lettering faces
	lineWidth  = 6.3 // of one character of a line
	nameHeight = 17.0
	lineHeight = 14.0
	labelGap   = 8.0 // below a label
	nameChars  = 24  // longest name
	sideChars  = 20  // longest line beside a tower, where width is dear
	flagChars  = 28  // longest line above a roof, where height is
)

// label is what stands at the end of a station's leader.
type label struct {
	name  string
	lines []string
}

// labelOf words a station's label for its rig.
func labelOf(st Station, r Rig) label {
	out := label{name: cut(st.Name, nameChars)}
	if r.sideways() {
		for _, phrase := range st.Lines {
			out.lines = append(out.lines, wrap(phrase, sideChars)...)
		}
		return out
	}
	row := ""
	for _, phrase := range st.Lines {
		switch joined := row + " · " + phrase; {
		case row == "":
			row = phrase
		case len([]rune(joined)) <= flagChars:
			row = joined
		default:
			out.lines = append(out.lines, wrap(row, flagChars)...)
			row = phrase
		}
	}
	if row != "" {
		out.lines = append(out.lines, wrap(row, flagChars)...)
	}
	return out
}

// width is the room a label takes, pixels.
func (l label) width() float64 {
	w := float64(len([]rune(l.name))) * nameWidth
	for _, line := range l.lines {
		w = max(w, float64(len([]rune(line)))*lineWidth)
	}
	return w
}

// height is the room a label takes with the gap below it, pixels.
func (l label) height() float64 {
	return nameHeight + lineHeight*float64(len(l.lines)) + labelGap
}

// write writes a station's label with its upper edge at at.y. Its texts begin
// (anchor "start") or end (anchor "end") at at.x.
func (l label) write(p *Place, st Station, at pt, anchor string) {
	p.Name = Text{X: num(at.x), Y: num(at.y + 13), Anchor: anchor, Words: l.name}
	spoken := []string{st.Mark, l.name}
	for i, line := range l.lines {
		y := at.y + nameHeight + lineHeight*float64(i) + 10
		p.Lines = append(p.Lines, Text{X: num(at.x), Y: num(y), Anchor: anchor, Words: line})
		spoken = append(spoken, line)
	}
	p.Spoken = strings.Join(spoken, " ") + ": " + st.Say
	w := l.width() + 2
	x := at.x - 1
	if anchor == "end" {
		x = at.x - w + 1
	}
	p.Target = boxOf(box{x, at.y, w, max(l.height()-labelGap, 24)})
}

// wrap breaks a phrase at spaces into at most two lines of n characters. What
// does not fit the second ends in an ellipsis.
func wrap(s string, n int) []string {
	if len([]rune(s)) <= n {
		return []string{s}
	}
	first, rest := "", strings.Fields(s)
	for len(rest) > 0 {
		longer := strings.TrimPrefix(first+" "+rest[0], " ")
		if len([]rune(longer)) > n {
			break
		}
		first, rest = longer, rest[1:]
	}
	if first == "" {
		return []string{cut(s, n)}
	}
	return []string{first, cut(strings.Join(rest, " "), n)}
}
