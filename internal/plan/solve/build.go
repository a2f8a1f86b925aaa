package solve

import (
	"cmp"
	"slices"
)

// batches divides the needs into those of an intake each, in an order of its own
// for each search: the first to end, the first to begin, and by chance.
func (r *run) batches(number int) [][]int {
	t := r.t
	order := make([]int, len(t.intakes))
	for i := range order {
		order[i] = i
	}
	chance := newChance(uint64(r.o.Seed), 1000+uint64(number))
	chance.Shuffle(len(order), func(i, j int) { order[i], order[j] = order[j], order[i] })
	end := func(in int) int { return t.traineeDays[t.intakes[in].trainees[0]].to }
	begin := func(in int) int { return t.traineeDays[t.intakes[in].trainees[0]].from }
	switch number % 4 {
	case 0, 3:
		slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(end(a), end(b)) })
	case 1:
		slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(begin(a), begin(b)) })
	}
	var out [][]int
	const most = 400
	for n, owed := range t.owed {
		if owed && len(out) == 0 {
			out = append(out, nil)
		}
		if owed {
			out[0] = append(out[0], n)
		}
	}
	for _, in := range order {
		var batch []int
		for _, tr := range t.intakes[in].trainees {
			batch = append(batch, t.needsOf[tr]...)
			if len(batch) > most {
				out, batch = append(out, batch), nil
			}
		}
		if len(batch) > 0 {
			out = append(out, batch)
		}
	}
	return out
}

const (
	// mostRetries is how many batches may be tried again in vain while the first plan
	// is built; where more fail there is too little room, and the search will do it.
	mostRetries = 6
	// tries is how often a batch is tried again.
	tries = 5
)

// build seats the next batch of needs for the first time, all of it if it can.
func (w *walk) build() {
	w.s.log = w.s.log[:0]
	w.step++
	batch := w.building[0]
	w.building = w.building[1:]
	// Searches differ in how much they hurry, since neither is best everywhere.
	haste := w.s.t.scale * int64(w.number%4) / 16
	w.seatBatch(batch, look{haste: haste}, byDepth)
	for i := 0; i < tries && w.retries > 0 && w.lacks(batch); i++ {
		before, at := w.s.guide(), len(w.s.log)
		for _, n := range batch {
			if x := w.s.where[n]; x != nil && w.mayUnseat(x) {
				w.unseat(n, func(m int) { w.take(m) })
			}
		}
		hurry := look{haste: w.chance.Int64N(w.s.t.scale + 1), noise: w.chance.Int64N(256)}
		w.seatBatch(batch, hurry, ordering(w.chance.IntN(int(orders))))
		if w.s.guide() >= before {
			w.s.undo(at)
		}
	}
	if w.lacks(batch) {
		w.retries--
	}
	w.current = w.s.guide()
	if w.s.rating().less(w.bestCost) {
		w.keepBest()
	}
}

// draws is how often an intake's outline is drawn once all have been built.
const draws = 6

// redraw seats the next batch anew, day by day by an outline, as often as that is
// better: as long as a plan has seen few steps, chance has not yet found the days of
// an intake that must be full to the minute.
func (w *walk) redraw() {
	w.s.log = w.s.log[:0]
	batch := w.drawing[0]
	w.drawing = w.drawing[1:]
	for range draws {
		t := w.s.t.needs[batch[w.chance.IntN(len(batch))]].trainee
		o := w.s.t.outlineOf[t]
		if o == nil {
			return
		}
		w.step++
		before, at := w.s.guide(), len(w.s.log)
		w.look, w.inOrder = look{}, byDepth
		stretch := w.s.t.traineeDays[t]
		met, rest, members := w.unseatAlike(t, w.s.t.intakes[w.s.t.intakeOf[t]].trainees, stretch)
		days := o.draw(w.s.c, met, rest, w.chance)
		w.seatDays(members, days, w.outlineDays(t, days, stretch))
		w.limit(before)
		if !w.rebuild() || w.s.guide() >= before {
			w.s.undo(at)
		}
		w.noLimit()
	}
	w.current = w.s.guide()
	if w.s.rating().less(w.bestCost) {
		w.keepBest()
	}
}

// seatBatch seats what of a batch has no seat; if what comes of it is not valid,
// it leaves all as it was.
func (w *walk) seatBatch(batch []int, l look, o ordering) {
	at := len(w.s.log)
	w.look, w.inOrder = l, o
	for _, n := range batch {
		w.take(n)
	}
	if !w.rebuild() {
		w.s.undo(at)
	}
	w.step++
}

// lacks reports whether one of a batch has no seat.
func (w *walk) lacks(batch []int) bool {
	return slices.ContainsFunc(batch, func(n int) bool { return w.s.where[n] == nil })
}
