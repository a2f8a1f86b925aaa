package chart

// body draws a rig without its stations. A rig that is not in service has a
// dashed outline.
func (f frame) body(r Rig) {
	outline := "outline"
	if r.State != "" {
		outline = "hidden"
	}
	switch r.Kind {
	case Tower:
		f.tower(r, outline)
	case Blade:
		f.blade(r, outline)
	case Nacelle:
		f.nacelle(r, outline)
	case Workshop:
		f.hall(r, outline)
		f.gate(r)
	default:
		f.hall(r, outline)
		f.windows(r)
	}
}

// tower is a shell that narrows a little upwards, with a door, flanges, a
// centre line and its decks.
func (f frame) tower(r Rig, outline string) {
	w, h := float64(r.Width), float64(r.Height)
	in := w * 0.06 // of each side at the top
	f.sheet.draw("shell", polygon(f.at(0, 0), f.at(in, h), f.at(w-in, h), f.at(w, 0)))
	f.sheet.draw(outline, polygon(f.at(0, 0), f.at(in, h), f.at(w-in, h), f.at(w, 0)))
	f.sheet.draw("thin", segments(f.at(in-1.5, h), f.at(w-in+1.5, h), f.at(in-1.5, h-2), f.at(w-in+1.5, h-2)))
	f.sheet.draw("centre", segment(f.at(w/2, -6), f.at(w/2, h+6)))
	door := min(10, w*0.3)
	f.sheet.draw("thin", polygon(f.at(w/2-door/2, 0), f.at(w/2-door/2, 18), f.at(w/2-door/4, 21), f.at(w/2+door/4, 21), f.at(w/2+door/2, 18), f.at(w/2+door/2, 0)))
	for _, d := range r.Decks {
		f.deck(r, d)
	}
}

// deck is a platform with struts under it and a railing of 1.1 m.
func (f frame) deck(r Rig, d Deck) {
	w, y, out := float64(r.Width), float64(d.Height), float64(d.Out)
	const thick, rail = 2, 11
	f.sheet.draw("fill", polygon(f.at(-out, y), f.at(w+out, y), f.at(w+out, y-thick), f.at(-out, y-thick)))
	for _, side := range []struct{ shell, end float64 }{{0, -out}, {w, w + out}} {
		if out == 0 {
			break
		}
		f.sheet.draw("thin", segments(f.at(side.end, y-thick), f.at(side.shell, y-thick-out*0.7),
			f.at(side.end, y+rail), f.at(side.shell, y+rail), f.at(side.end, y+rail/2), f.at(side.shell, y+rail/2),
			f.at(side.end, y), f.at(side.end, y+rail), f.at((side.end+side.shell)/2, y), f.at((side.end+side.shell)/2, y+rail)))
	}
}

// blade hangs root up beside its tower, its trailing edge outwards, held by two brackets.
func (f frame) blade(r Rig, outline string) {
	w, h, lift := float64(r.Width), float64(r.Height), float64(r.Lift)
	x := func(v float64) float64 { // v is measured from the leading edge
		if r.Side == Left {
			return w - v
		}
		return v
	}
	var p path
	p.move(f.at(x(w*0.12), lift+h))
	p.line(f.at(x(w*0.52), lift+h))
	p.curve(f.at(x(w*0.52), lift+h*0.9), f.at(x(w), lift+h*0.88), f.at(x(w), lift+h*0.74))
	p.curve(f.at(x(w*0.86), lift+h*0.5), f.at(x(w*0.42), lift+h*0.2), f.at(x(w*0.2), lift))
	p.curve(f.at(x(w*0.02), lift+h*0.1), f.at(x(0), lift+h*0.5), f.at(x(w*0.12), lift+h))
	f.sheet.draw("shell", p.close().String())
	f.sheet.draw(outline, p.String())
	f.sheet.draw("thin", segments(f.at(x(w*0.06), lift+h), f.at(x(w*0.58), lift+h), f.at(x(w*0.11), lift+h*0.955), f.at(x(w*0.53), lift+h*0.955)))
	f.sheet.draw("hidden", segments(f.at(x(w*0.26), lift+h*0.95), f.at(x(w*0.2), lift+h*0.06), f.at(x(w*0.42), lift+h*0.93), f.at(x(w*0.3), lift+h*0.22)))
	f.sheet.draw("thin", segments(
		f.at(x(-float64(r.Off)), lift+h*0.97), f.at(x(w*0.12), lift+h*0.97), f.at(x(-float64(r.Off)), lift+h*0.93), f.at(x(w*0.12), lift+h*0.97),
		f.at(x(-float64(r.Off)), lift+h*0.42), f.at(x(w*0.04), lift+h*0.42)))
}

// nacelle is the house on its short tower: nose with two cut-off blade roots at
// one end, hatch and wind vane at the other.
func (f frame) nacelle(r Rig, outline string) {
	w, h, b := float64(r.Width), float64(r.Height), float64(r.BaseHeight)
	bw := float64(r.BaseWidth)
	mid := w * 0.42
	if r.Side == Right {
		mid = w - mid
	}
	base := []pt{f.at(mid-bw/2, 0), f.at(mid-bw*0.46, b-4), f.at(mid+bw*0.46, b-4), f.at(mid+bw/2, 0)}
	f.sheet.draw("shell", polygon(base...))
	f.sheet.draw(outline, polygon(base...))
	f.sheet.draw("fill", polygon(f.at(mid-bw*0.52, b-4), f.at(mid-bw*0.52, b), f.at(mid+bw*0.52, b), f.at(mid+bw*0.52, b-4)))
	x := func(v float64) float64 { // v is measured from the nose's end
		if r.Side == Right {
			return w - v
		}
		return v
	}
	house := []pt{f.at(x(0), b+h*0.06), f.at(x(0), b+h*0.9), f.at(x(w*0.06), b+h), f.at(x(w*0.86), b+h), f.at(x(w), b+h*0.8), f.at(x(w), b+h*0.12), f.at(x(w*0.9), b), f.at(x(w*0.02), b)}
	f.sheet.draw("shell", polygon(house...))
	f.sheet.draw(outline, polygon(house...))
	var nose path
	n := h * 0.5
	nose.move(f.at(x(0), b+h*0.82)).curve(f.at(x(-n*0.7), b+h*0.82), f.at(x(-n), b+h*0.66), f.at(x(-n), b+h*0.48))
	nose.curve(f.at(x(-n), b+h*0.3), f.at(x(-n*0.7), b+h*0.14), f.at(x(0), b+h*0.14))
	f.sheet.draw("shell", nose.String())
	f.sheet.draw("thin", nose.String())
	f.sheet.draw("thin", segments(
		f.at(x(-n*0.25), b+h*0.8), f.at(x(-n*0.25), b+h*1.08), f.at(x(-n*0.7), b+h*0.72), f.at(x(-n*0.7), b+h*1.08),
		f.at(x(-n*0.8), b+h*1.11), f.at(x(-n*0.15), b+h*1.05),
		f.at(x(w*0.9), b+h*0.93), f.at(x(w*0.9), b+h*1.2), f.at(x(w*0.87), b+h*1.2), f.at(x(w*0.93), b+h*1.2)))
}

func roof(r Rig) int { return max(r.Width/10, 8) }

// hall is a box under a low roof with eaves.
func (f frame) hall(r Rig, outline string) {
	w, h, top := float64(r.Width), float64(r.Height), float64(r.Height+roof(r))
	f.sheet.draw("shell", polygon(f.at(0, 0), f.at(0, h), f.at(w, h), f.at(w, 0)))
	f.sheet.draw(outline, polygon(f.at(0, 0), f.at(0, h), f.at(w, h), f.at(w, 0)))
	f.sheet.draw("shell", polygon(f.at(-4, h), f.at(w/2, top), f.at(w+4, h)))
	f.sheet.draw(outline, polygon(f.at(-4, h), f.at(w/2, top), f.at(w+4, h)))
}

// windows stand in a row above the stations' places.
func (f frame) windows(r Rig) {
	w, h := float64(r.Width), float64(r.Height)
	n := max(int(w/16), 1)
	step := w / float64(n)
	for i := range n {
		x := float64(i)*step + step*0.2
		f.sheet.draw("thin", polygon(f.at(x, h*0.78), f.at(x, h*0.94), f.at(x+step*0.6, h*0.94), f.at(x+step*0.6, h*0.78)))
	}
}

// gate is the rolling gate's track and the rail of a hoist.
func (f frame) gate(r Rig) {
	w, h := float64(r.Width), float64(r.Height)
	f.sheet.draw("thin", segments(f.at(3, h*0.9), f.at(w-3, h*0.9), f.at(w*0.62, h*0.9), f.at(w*0.62, h*0.72), f.at(w*0.6, h*0.72), f.at(w*0.64, h*0.72)))
}
