package chart

import (
	"cmp"
	"slices"
)

// cluster draws a cluster whole: bodies, zones, stations, labels, names, heights.
func (s *sheet) cluster(c *cluster) {
	for i, r := range c.rigs {
		f := s.frameOf(c, i)
		for _, z := range r.Zones {
			f.zone(z)
		}
		f.body(r)
	}
	var beside []Place
	var at []wanted
	for i, r := range c.rigs {
		f := s.frameOf(c, i)
		for _, st := range r.Stations {
			p, middle := f.station(st)
			beside = append(beside, p)
			at = append(at, wanted{len(beside) - 1, middle, st, labelOf(st, r), r.sideways(), st.labelSide(r)})
		}
	}
	if s.options.Labels {
		s.sideLabels(c, beside, at, Left)
		s.sideLabels(c, beside, at, Right)
		s.flagLabels(c, beside, at)
		s.names(c)
		s.heights(c)
	}
	s.places = append(s.places, beside...)
}

// wanted is a station that wants a label.
type wanted struct {
	place    int
	middle   box
	station  Station
	label    label
	sideways bool
	side     Side
}

type box struct{ x, y, w, h float64 }

// station draws a station's box and its number.
func (f frame) station(st Station) (Place, box) {
	p := f.at(float64(st.X), float64(st.Y+st.Height))
	b := box{p.x, p.y, float64(st.Width) * f.sheet.scale, float64(st.Height) * f.sheet.scale}
	figure := corners(b.x, b.y, b.w, b.h)
	place := Place{
		Href: st.Href, State: st.State, Live: st.Live,
		Here: st.ID != "" && st.ID == f.sheet.options.Here,
		Box:  boxOf(b), Target: boxOf(b),
		Mark: Text{X: num(b.x + b.w/2), Y: num(b.y + b.h/2 + 4), Anchor: "middle", Words: st.Mark},
	}
	if f.sheet.options.Here != "" && !place.Here {
		place.Mark.Words = "" // a map that points out one station names that one alone
	}
	if st.Live {
		place.Hatch = hatch(figure, -1, 5)
	}
	if st.State == Shut || st.State == Stops {
		place.Cross = segments(figure[0], figure[2], figure[1], figure[3])
	}
	return place, b
}

func boxOf(b box) Box { return Box{num(b.x), num(b.y), num(b.w), num(b.h)} }

// zone hatches the ground and the air that is closed while somebody works above.
func (f frame) zone(z Zone) {
	figure := []pt{f.at(float64(z.TopFrom), float64(z.Height)), f.at(float64(z.TopTo), float64(z.Height)), f.at(float64(z.To), 0), f.at(float64(z.From), 0)}
	out := Zoned{Edge: polygon(figure...), InUse: z.InUse}
	if z.InUse {
		out.Hatch = hatch(figure, 1, 6)
		if f.sheet.options.Labels {
			f.sheet.zoneWords(z.Name+" in use", (figure[2].x+figure[3].x)/2)
		}
	}
	f.sheet.zones = append(f.sheet.zones, out)
}

// zoneWords names a zone in use under the ground, as near to x as the sheet and
// the words before it leave room.
func (s *sheet) zoneWords(words string, x float64) {
	half := float64(len([]rune(words))) * smallWidth / 2
	x = min(max(x, half+boxPadding, s.zoneEnd+half), s.width-half-boxPadding)
	s.zoneEnd = x + half + 8
	s.text(Text{Kind: "zone", Anchor: "middle", Words: words}, pt{x, s.ground + 20})
}

// sideLabels stand in a column beside the cluster, each as high as its station
// where there is room.
func (s *sheet) sideLabels(c *cluster, places []Place, all []wanted, side Side) {
	var column []wanted
	for _, f := range all {
		if f.sideways && f.side == side {
			column = append(column, f)
		}
	}
	slices.SortStableFunc(column, func(a, b wanted) int { return cmp.Compare(a.middle.y, b.middle.y) })
	wishes, heights := make([]float64, len(column)), make([]float64, len(column))
	for i, f := range column {
		wishes[i], heights[i] = f.middle.y+f.middle.h/2-leaderAt, f.label.height()
	}
	for i, top := range spread(wishes, heights, boxPadding, s.ground-2) {
		f := column[i]
		x, anchor, edge, elbow, pad := c.bodyLeft-2*stub, "end", f.middle.x, c.bodyLeft-stub, -4.0
		if side == Right {
			x, anchor, edge, elbow, pad = c.bodyRight+2*stub, "start", f.middle.x+f.middle.w, c.bodyRight+stub, 4
		}
		middle := f.middle.y + f.middle.h/2
		var p path
		p.move(pt{x, top + leaderAt}).line(pt{elbow, top + leaderAt}, pt{edge, middle})
		places[f.place].Leader = p.String()
		places[f.place].Dot = Box{X: num(edge), Y: num(middle)}
		f.label.write(&places[f.place], f.station, pt{x + pad, top}, anchor)
	}
}

// leaderAt is where a leader meets its label, from the label's upper edge.
const leaderAt = 9.0

// flagLabels stand above the cluster on poles: the leftmost station has the
// highest, so that no pole crosses a text.
func (s *sheet) flagLabels(c *cluster, places []Place, all []wanted) {
	var poles []wanted
	for _, f := range all {
		if !f.sideways {
			poles = append(poles, f)
		}
	}
	slices.SortStableFunc(poles, func(a, b wanted) int { return cmp.Compare(b.middle.x, a.middle.x) })
	top := s.ground - float64(c.top)*s.scale - 2
	for _, f := range poles {
		x := f.middle.x + poleAt(f.middle.w)
		top -= f.label.height()
		places[f.place].Leader = segment(pt{x, top + 3}, pt{x, f.middle.y})
		places[f.place].Dot = Box{X: num(x), Y: num(f.middle.y)}
		f.label.write(&places[f.place], f.station, pt{x + poleText, top}, "start")
	}
}

// names stand below the ground, one line a rig.
func (s *sheet) names(c *cluster) {
	for i, r := range c.rigs {
		s.text(Text{Kind: "rig", Anchor: "middle", Words: r.caption(), Href: r.Href}, pt{(c.bodyLeft + c.bodyRight) / 2, s.ground + 26 + s.zoneRow + 18*float64(i)})
	}
}

// heights are the dimension lines: a tower's levels at its left beyond the
// labels, the others' heights at their right.
func (s *sheet) heights(c *cluster) {
	r := c.rigs[0]
	right := c.bodyLeft + float64(r.Width-c.lo)*s.scale
	switch {
	case r.Kind == Tower:
		levels := []int{0, r.Height}
		for _, d := range r.Decks {
			levels = append(levels, d.Height)
		}
		slices.Sort(levels)
		s.levelLine(c.bodyLeft-c.labelLeft-6, slices.Compact(levels))
	case r.Kind == Nacelle:
		s.heightLine(c.bodyRight+18, 0, r.BaseHeight, right)
		s.heightLine(c.bodyRight+18, r.BaseHeight, r.BaseHeight+r.Height, right)
	case r.Kind != Blade:
		s.heightLine(c.bodyRight+18, 0, r.Height, right)
	}
}
