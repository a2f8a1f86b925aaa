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
	first, last := set.next(0), set.prev(len(set)*64-1)
	if first < 0 {
		return
	}
	c, ex, st, list := s.c, &s.c.exercises[sp.exercise], &s.c.stations[sp.station], s.t.starts[d]
	trial.exercise, trial.station = sp.exercise, sp.station
	at := func(i int) civil.Period {
		return ex.hold(civil.Period{Start: list[i], End: list[i].Add(ex.minutes)})
	}
	around := civil.Period{Start: at(first).Start, End: at(last).End}
	// bar strikes out the starts less than a gap from a session.
	bar := func(o *session, gap civil.Minutes) {
		set.drop(list.from(o.hold.Start.Add(-gap-ex.minutes-ex.strike+1)), list.from(o.hold.End.Add(gap+ex.setup)))
	}
	for _, o := range s.byStation[sp.station].near(around, st.turnaround, s.longest) {
		bar(o, st.turnaround)
	}
	for _, z := range st.zones {
		for _, o := range s.byZone[z].near(around, 0, s.longest) {
			if o.station != sp.station {
				bar(o, 0)
			}
		}
	}
	for _, n := range ex.energy {
		gap := c.circuits[n.circuit]
		for _, o := range s.byCircuit[n.circuit].near(around, gap, s.longest) {
			if c.needsOther(o, n) {
				bar(o, gap)
			}
		}
	}
	for k := range c.kits {
		if n := c.takes(trial, k); n > 0 {
			for i := set.next(0); i >= 0; i = set.next(i + 1) {
				if s.kitOver(k, at(i), n) > 0 {
					set.drop(i, i+1)
				}
			}
		}
	}
}
