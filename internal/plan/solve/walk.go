package solve

// walk is one logical search: large neighbourhood search under annealing.
type walk struct {
	*rebuilder
	number   int
	anneal   annealing
	ruinBy   *choice
	best     snapshot
	bestCost rating  // of best
	current  int64   // guide of the state
	building [][]int // needs still to be seated for the first time, a batch a step
	drawing  [][]int // needs still to be seated by outlines after that, likewise
	retries  int     // batches that may still be tried again
	steps    int64
	packer   packer
	apart    bool // it works on a plan of its own and keeps the best
	cycled   bool // a cycle has ended since the last barrier
}

// rating compares plans: first by what they owe, then by their cost.
type rating struct {
	owed int
	cost int64
}

func (r rating) less(o rating) bool { return r.owed < o.owed || r.owed == o.owed && r.cost < o.cost }

func (s *state) rating() rating { return rating{s.owed, s.cost()} }

// walkStep takes one step: a batch of the first plan as long as there is one, then
// one by its outlines, then ruin, rebuild, accept or take back.
func (w *walk) walkStep(o *Tuning) {
	w.steps++
	if len(w.building) > 0 {
		w.build()
		return
	}
	if len(w.drawing) > 0 {
		w.redraw()
		return
	}
	w.step++
	if len(w.s.open) > 0 && w.chance.IntN(o.Pack) == 0 {
		w.packStep()
		return
	}
	how := w.pickRuin()
	w.s.log = w.s.log[:0]
	before := w.current
	most := before + w.anneal.allows(w.chance)
	w.pickLook(o)
	if len(w.s.sessions) > 0 {
		if x := w.pickSession(); x != nil {
			ruins[how].do(w.rebuilder, x, w.pickSize(o))
		}
	}
	w.addOpen(o)
	w.limit(most)
	valid := w.rebuild()
	w.noLimit()
	after := w.s.guide()
	points := int64(0)
	if valid && (after <= most || w.s.rating().less(w.bestCost)) {
		w.current = after
		if after < before {
			points = 2
		}
		if now := w.s.rating(); now.less(w.bestCost) {
			points = 6
			w.bestCost = now
			if w.apart {
				w.best.copyFrom(w.s)
			}
		}
	} else {
		w.s.undo(0)
	}
	w.ruinBy.reward(how, points)
	if w.anneal.next() {
		w.cycled = true
	}
}

// limit tells the rebuild what it must not exceed to be kept: in the cost that the
// search goes by, or else in cost.
func (w *walk) limit(most int64) {
	if w.bestCost.owed == 0 && w.s.owed == 0 {
		w.ceiling, w.record = most, w.bestCost.cost
	}
}

// packStep takes a step that puts the sessions of a day into another order.
func (w *walk) packStep() {
	w.s.log = w.s.log[:0]
	before := w.current
	valid := w.pack()
	after := w.s.guide()
	if !valid || after-before > w.anneal.allows(w.chance) {
		w.s.undo(0)
		return
	}
	w.current = after
	if w.s.rating().less(w.bestCost) {
		w.bestCost = w.s.rating()
		if w.apart {
			w.best.copyFrom(w.s)
		}
	}
}

// keepBest copies the state, which is better than all before.
func (w *walk) keepBest() {
	w.bestCost = w.s.rating()
	w.best.copyFrom(w.s)
}

// pickRuin draws a way to ruin. As long as needs have no seat, every other step is
// for them, whether or not that has paid lately: each seat counts more than all else.
func (w *walk) pickRuin() int {
	if len(w.s.open) > 0 && w.chance.IntN(2) == 0 {
		return len(ruins) - 1 - count(w.chance.IntN(4) == 0)
	}
	return w.ruinBy.pick(w.chance)
}

// pickSession draws a session that may be changed; nil if it finds none soon.
func (w *walk) pickSession() *session {
	for range 40 {
		x := w.s.sessions[w.chance.IntN(len(w.s.sessions))]
		if len(x.trainees) > 0 && w.mayUnseat(x) {
			return x
		}
	}
	return nil
}

// pickLook draws how greedy the next rebuild is.
func (w *walk) pickLook(o *Tuning) {
	w.inOrder = ordering(w.chance.IntN(int(orders)))
	w.look = look{late: w.chance.IntN(4) == 0, blink: o.Blink}
	if w.chance.IntN(2) == 0 {
		w.look.noise = w.chance.Int64N(o.Noise + 1)
	}
	if w.chance.IntN(2) == 0 {
		w.look.haste = w.chance.Int64N(w.s.t.scale/o.Haste + 1)
	}
}

// pickSize draws how many needs to unseat; small ruins are the most frequent.
func (w *walk) pickSize(o *Tuning) int {
	most := o.Ruin
	n := w.chance.IntN(most) + 1
	n = min(n, w.chance.IntN(most)+1)
	return max(2, n)
}

// addOpen takes up some of the needs that have no seat: all of them if they are
// few, else some of those of the same exercises.
func (w *walk) addOpen(o *Tuning) {
	open := w.s.open
	if len(open) == len(w.pending) {
		return
	}
	for range min(o.Open, len(open)) {
		w.take(open[w.chance.IntN(len(open))])
	}
}
