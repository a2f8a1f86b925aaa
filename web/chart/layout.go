package chart

import (
	"cmp"
	"slices"
)

// cluster is what stands together: a tower with the blades that hang on it, or
// one rig alone.
type cluster struct {
	rigs                []Rig // the one that stands on the ground first
	offs                []int // of each rig's frame from the first one's, decimetres
	lo, hi, top         int   // extent of all bodies, decimetres in the first one's frame
	zoneLo, zoneHi      int   // extent of their zones on the ground, the same
	bodyLeft, bodyRight float64
	labelLeft           float64 // width of the labels' columns, pixels
	labelRight          float64
	flags               float64 // height of the labels above
	column              float64 // height of the higher column of labels beside
	dimLeft, dimRight   float64
}

// clusters groups a yard's rigs. A blade whose tower the yard lacks stands alone.
func clusters(y Yard) []cluster {
	var out []cluster
	index := map[string]int{}
	for _, r := range y.Rigs {
		if r.HangsOn == "" || !has(y, r.HangsOn) {
			index[r.ID] = len(out)
			out = append(out, cluster{rigs: []Rig{r}, offs: []int{0}})
		}
	}
	for _, r := range y.Rigs {
		if i, ok := index[r.HangsOn]; ok && r.HangsOn != "" {
			c := &out[i]
			off := c.rigs[0].Width + r.Off
			if r.Side == Left {
				off = -r.Off - r.Width
			}
			c.rigs, c.offs = append(c.rigs, r), append(c.offs, off)
		}
	}
	for i := range out {
		out[i].measure()
	}
	return out
}

func has(y Yard, rigID string) bool {
	return slices.ContainsFunc(y.Rigs, func(r Rig) bool { return r.ID == rigID })
}

// measure finds the extent of the bodies and the room the labels need.
func (c *cluster) measure() {
	left, right := 0.0, 0.0
	for i, r := range c.rigs {
		lo, hi, top := r.extent()
		c.lo, c.hi, c.top = min(c.lo, c.offs[i]+lo), max(c.hi, c.offs[i]+hi), max(c.top, top)
		for _, z := range r.Zones {
			c.zoneLo, c.zoneHi = min(c.zoneLo, c.offs[i]+z.From), max(c.zoneHi, c.offs[i]+z.To)
		}
		for _, s := range r.Stations {
			l := labelOf(s, r)
			switch w := l.width() + 2*stub + 6; {
			case !r.sideways():
				c.flags += l.height()
			case s.labelSide(r) == Left:
				c.labelLeft = max(c.labelLeft, w)
				left += l.height()
			default:
				c.labelRight = max(c.labelRight, w)
				right += l.height()
			}
		}
		if r.Kind == Tower {
			c.dimLeft = levelRoom
		} else if !r.sideways() {
			c.dimRight = dimRoom
		}
	}
	c.column = max(left, right)
}

// namesWidth is the room of the widest name under the cluster.
func (c *cluster) namesWidth() float64 {
	widest := 0
	for _, r := range c.rigs {
		widest = max(widest, len([]rune(r.caption())))
	}
	return float64(widest) * rigWidth
}

// caption names a rig, with its state where it is not in service.
func (r Rig) caption() string {
	if r.State == "" {
		return r.Name
	}
	return r.Name + ": " + r.State
}

// extent is what a rig's body takes: left and right end and top, decimetres.
func (r Rig) extent() (lo, hi, top int) {
	hi, top = r.Width, r.Height
	switch r.Kind {
	case Tower:
		for _, d := range r.Decks {
			lo, hi = min(lo, -d.Out), max(hi, r.Width+d.Out)
		}
		top += 12 // the railing of a deck on its top
	case Blade:
		top = r.Lift + r.Height
	case Nacelle:
		top = r.BaseHeight + r.Height*6/5 // with its wind vane
		if nose := r.Height / 2; r.Side != Right {
			lo = -nose
		} else {
			hi += nose
		}
	default:
		lo, hi, top = -4, r.Width+4, r.Height+roof(r)
	}
	for _, s := range r.Stations {
		lo, hi, top = min(lo, s.X), max(hi, s.X+s.Width), max(top, s.Y+s.Height)
	}
	return lo, hi, top
}

// sideways reports whether a rig is tall, so that its labels stand beside it.
func (r Rig) sideways() bool { return r.Kind == Tower || r.Kind == Blade }

// labelSide is where a station's label stands; the blade's own side if not said.
func (s Station) labelSide(r Rig) Side {
	return cmp.Or(s.Side, r.Side, Left)
}

// fit returns the greatest scale at which the drawing is neither wider nor
// higher than it may be. Labels have a width of their own, so the drawing's
// width is no simple multiple of the scale and is searched by halving.
func fit(groups []cluster, o Options) float64 {
	tallest := 1
	for _, c := range groups {
		tallest = max(tallest, c.top)
	}
	lo, hi := 0.05, highest/float64(tallest)
	for range 30 {
		mid := (lo + hi) / 2
		s := &sheet{options: o, scale: mid}
		if s.place(groups) <= o.Width {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

// overhang is how far the labels above reach beyond the body's right end.
func (c *cluster) overhang(scale float64) float64 {
	over := 0.0
	for i, r := range c.rigs {
		for _, s := range r.Stations {
			if !r.sideways() {
				pole := float64(c.offs[i]+s.X-c.lo)*scale + poleAt(float64(s.Width)*scale)
				over = max(over, pole+poleText+labelOf(s, r).width()-float64(c.hi-c.lo)*scale)
			}
		}
	}
	return over
}

// poleAt is where on a station's width its flag's pole stands.
func poleAt(width float64) float64 { return min(width/2, 10) }

// poleText is how far a flag's text stands from its pole.
const poleText = 5.0

// place gives each cluster its room and the sheet its size, and returns its width.
func (s *sheet) place(groups []cluster) float64 {
	gap, x := 8.0, boxPadding
	if s.options.Labels {
		gap = between
	}
	above, below, rows := 0.0, 12.0, 0
	for i := range groups {
		c := &groups[i]
		// Where labels stand there is room for zones too.
		left, right, flags := max(0, float64(c.lo-c.zoneLo)*s.scale), max(0, float64(c.zoneHi-c.hi)*s.scale), 0.0
		if s.options.Labels {
			name := (c.namesWidth() - float64(c.hi-c.lo)*s.scale) / 2 // names stand centred under the body
			left = max(left, c.labelLeft+c.dimLeft, name)
			right = max(right, c.labelRight, c.dimRight, c.overhang(s.scale), name)
			flags = c.flags
			above = max(above, c.column)
		}
		x += left
		c.bodyLeft = x
		x += float64(c.hi-c.lo) * s.scale
		c.bodyRight = x
		x += right + gap
		above = max(above, float64(c.top)*s.scale+flags)
		rows = max(rows, len(c.rigs))
	}
	if s.options.Labels {
		below = 30 + 18*float64(rows)
		if zonesInUse(groups) {
			s.zoneRow = 16
		}
		below += s.zoneRow
	}
	s.ground = above + 2*boxPadding + 10
	s.width = max(x-gap+boxPadding, 60)
	s.height = s.ground + below
	return s.width
}

func zonesInUse(groups []cluster) bool {
	for _, c := range groups {
		for _, r := range c.rigs {
			if slices.ContainsFunc(r.Zones, func(z Zone) bool { return z.InUse }) {
				return true
			}
		}
	}
	return false
}

// frameOf returns the frame of the cluster's n-th rig.
func (s *sheet) frameOf(c *cluster, n int) frame {
	return frame{s, c.bodyLeft + float64(c.offs[n]-c.lo)*s.scale}
}
