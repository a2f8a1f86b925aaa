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
			at = append(at, wanted{len(beside) - 1, middle, st, r.sideways(), st.labelSide(r)})
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
	}
	f.sheet.zones = append(f.sheet.zones, out)
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
	wishes := make([]float64, len(column))
	for i, f := range column {
		wishes[i] = f.middle.y + f.middle.h/2
	}
	for i, y := range spread(wishes, labelGap, 22, s.ground-20) {
		f := column[i]
		x, anchor, edge, elbow := c.bodyLeft-2*stub, "end", f.middle.x, c.bodyLeft-stub
		if side == Right {
			x, anchor, edge, elbow = c.bodyRight+2*stub, "start", f.middle.x+f.middle.w, c.bodyRight+stub
		}
		var p path
		p.move(pt{x, y}).line(pt{elbow, y}, pt{edge, wishes[i]})
		places[f.place].Leader = p.String()
		places[f.place].Dot = Box{X: num(edge), Y: num(wishes[i])}
		pad := 4.0
		if side == Left {
			pad = -4
		}
		label(&places[f.place], f.station, pt{x + pad, y}, anchor)
	}
}

// flagLabels stand above the cluster on poles: the leftmost station has the
// highest, so that no pole crosses a text.
func (s *sheet) flagLabels(c *cluster, places []Place, all []wanted) {
	var poles []wanted
	for _, f := range all {
		if !f.sideways {
			poles = append(poles, f)
		}
	}
	slices.SortStableFunc(poles, func(a, b wanted) int { return cmp.Compare(a.middle.x, b.middle.x) })
	roof := s.ground - float64(c.top)*s.scale
	for i, f := range poles {
		x := f.middle.x + poleAt(f.middle.w)
		y := roof - 20 - labelGap*float64(len(poles)-1-i)
		places[f.place].Leader = segment(pt{x, y + 14}, pt{x, f.middle.y})
		places[f.place].Dot = Box{X: num(x), Y: num(f.middle.y)}
		label(&places[f.place], f.station, pt{x + 1, y}, "start")
	}
}

// label writes a station's two lines around the height of at.
func label(p *Place, st Station, at pt, anchor string) {
	p.Name = Text{X: num(at.x), Y: num(at.y - 3), Anchor: anchor, Words: cut(st.Name, nameChars)}
	p.Line = Text{X: num(at.x), Y: num(at.y + 12), Anchor: anchor, Words: cut(st.Line, nameChars+3)}
	p.Spoken = st.Mark + " " + p.Name.Words + " " + p.Line.Words + ": " + st.Say
	w := labelWidth(st) + 2
	x := at.x - 1
	if anchor == "end" {
		x = at.x - w + 1
	}
	p.Target = boxOf(box{x, at.y - 17, w, 34})
}

// names stand below the ground, one line a rig.
func (s *sheet) names(c *cluster) {
	for i, r := range c.rigs {
		s.text(Text{Kind: "rig", Anchor: "middle", Words: r.caption(), Href: r.Href}, pt{(c.bodyLeft + c.bodyRight) / 2, s.ground + 26 + 18*float64(i)})
	}
}

// heights are the dimension lines: a tower's at its left beyond the labels, the
// others' at their right.
func (s *sheet) heights(c *cluster) {
	r := c.rigs[0]
	left := c.bodyLeft - float64(c.lo)*s.scale
	right := left + float64(r.Width)*s.scale
	switch {
	case r.Kind == Tower:
		x := c.bodyLeft - c.labelLeft - 8
		s.heightLine(x, 0, r.Height, left)
	case r.Kind == Nacelle:
		s.heightLine(c.bodyRight+20, 0, r.BaseHeight, right)
		s.heightLine(c.bodyRight+20, r.BaseHeight, r.BaseHeight+r.Height, right)
	case r.Kind != Blade:
		s.heightLine(c.bodyRight+20, 0, r.Height, right)
	}
}
