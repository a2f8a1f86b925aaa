package solve

import "rungbook/internal/civil"

// clashes reports the rules between a session and the others on the board:
// station-clash, zone-clash, energy-clash. It doesn't matter whether s itself is
// on the board.
func (b *Board) clashes(s *session, f report) {
	st := &b.c.stations[s.station]
	for _, o := range b.byStation[s.station].near(s.hold, st.turnaround, b.longest) {
		if o != s {
			b.tooClose(stationClash, s, o, 0, st.turnaround, f)
		}
	}
	for _, z := range st.zones {
		for _, o := range b.byZone[z].near(s.hold, 0, b.longest) {
			if o != s && o.station != s.station {
				b.tooClose(zoneClash, s, o, z, 0, f)
			}
		}
	}
	for _, n := range b.c.exercises[s.exercise].energy {
		gap := b.c.circuits[n.circuit]
		for _, o := range b.byCircuit[n.circuit].near(s.hold, gap, b.longest) {
			if o != s && b.c.needsOther(o, n) {
				b.tooClose(energyClash, s, o, n.circuit, gap, f)
			}
		}
	}
}

// needsOther reports whether a session needs the circuit in the other state.
func (c *Compiled) needsOther(s *session, n energy) bool {
	for _, m := range c.exercises[s.exercise].energy {
		if m.circuit == n.circuit && m.state != n.state {
			return true
		}
	}
	return false
}

// tooClose reports r about s if the holds of s and o lie less than gap apart.
func (b *Board) tooClose(r rule, s, o *session, with int, gap civil.Minutes, f report) {
	apart := max(s.hold.Start.Sub(o.hold.End), o.hold.Start.Sub(s.hold.End))
	if apart < gap && s.hold.Length() > 0 && o.hold.Length() > 0 {
		f(fault{rule: r, session: s.id, at: int64(with), excess: int64(gap - apart)})
	}
}
