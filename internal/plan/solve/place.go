package solve

import "rungbook/internal/civil"

// placeCache remembers, by day, the starts at which a spot is free.
type placeCache struct {
	kept  []uint64 // as in freeDays
	trial session
}

// spotFree returns the starts of a day at which a spot's station, zones, circuits
// and kits are free for it; nil if there are none. The caller must not change the
// set.
func (s *state) spotFree(number, d int) slotSet {
	sp := &s.t.spots[number]
	light := sp.light[d]
	if light == nil {
		return nil
	}
	cache, stride := &s.placed[number], 1+s.t.words
	if cache.kept == nil {
		cache.kept = make([]uint64, s.t.days*stride)
	}
	entry := cache.kept[d*stride:][:stride]
	set := slotSet(entry[1:])
	if now := s.berths[sp.station].at(d); entry[0] != now {
		entry[0] = now
		copy(set, light)
		s.workOutPlace(sp, &cache.trial, d, set)
	}
	return set
}

func (s *state) workOutPlace(sp *spot, trial *session, d int, set slotSet) {
	ex := &s.c.exercises[sp.exercise]
	trial.exercise, trial.station = sp.exercise, sp.station
	for i := set.next(0); i >= 0; i = set.next(i + 1) {
		start := s.t.starts[d][i]
		trial.span = civil.Period{Start: start, End: start.Add(ex.minutes)}
		trial.hold = ex.hold(trial.span)
		if s.shutOut(trial) {
			set.drop(i, i+1)
		}
	}
}

// shutOut reports whether those on the board shut a session out of its station,
// zones, circuits or kits.
func (s *state) shutOut(x *session) bool {
	st := &s.c.stations[x.station]
	if x.hold.Length() > 0 {
		for _, o := range s.byStation[x.station].near(x.hold, st.turnaround, s.longest) {
			if apart(x, o) < st.turnaround {
				return true
			}
		}
		for _, z := range st.zones {
			for _, o := range s.byZone[z].near(x.hold, 0, s.longest) {
				if o.station != x.station && apart(x, o) < 0 {
					return true
				}
			}
		}
		for _, n := range s.c.exercises[x.exercise].energy {
			gap := s.c.circuits[n.circuit]
			for _, o := range s.byCircuit[n.circuit].near(x.hold, gap, s.longest) {
				if s.c.needsOther(o, n) && apart(x, o) < gap {
					return true
				}
			}
		}
	}
	for k := range s.c.kits {
		if n := s.c.takes(x, k); n > 0 && s.kitOver(k, x.hold, n) > 0 {
			return true
		}
	}
	return false
}

// apart is how far the holds of two sessions lie apart, negative if they overlap.
func apart(a, b *session) civil.Minutes {
	return max(a.hold.Start.Sub(b.hold.End), b.hold.Start.Sub(a.hold.End))
}
