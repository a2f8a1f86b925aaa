package solve

import (
	"cmp"
	"math"
	"slices"
)

// ordering is the order in which a rebuild takes the exercises.
type ordering uint8

const (
	byChance   ordering = iota
	byPressure          // those whose teachers are asked for most come first
	byDepth             // in the order of `after`
	byHeight            // those with the longest chain behind them come first
	orders
)

// rebuilder seats needs that were unseated and others that had no seat.
type rebuilder struct {
	seater
	waiting [][]int // by exercise: trainees
	active  []int   // exercises somebody waits for
	rank    []int64 // by exercise
	ready   []int
	pending []int // needs to seat
	awaited []int // needs that waited in this step
	touched []*session
	asked   []uint32 // by need: the step that last took it up
	step    uint32
	evicted int
	urgent  int // exercise to seat before all others, −1 = none
	inOrder ordering
	// A rebuild that must end above ceiling, in guide, and at record or above, in
	// cost, is not kept, and is given up as soon as this is known.
	ceiling, record int64
	givenUp         int // needs that found no seat in this rebuild
}

func newRebuilder(s *state, seed, number uint64) *rebuilder {
	k := &rebuilder{waiting: make([][]int, len(s.c.exercises)), rank: make([]int64, len(s.c.exercises)), asked: make([]uint32, len(s.t.needs))}
	k.s, k.urgent = s, -1
	k.noLimit()
	k.chance = newChance(seed, number)
	k.recruit = recruiter{s: s, chance: k.chance}
	k.region = region{days: dayRange{0, s.t.days}}
	k.counts = make([]int, 64*s.t.words)
	k.scratch = make(slotSet, s.t.words)
	k.teacher = [2]slotSet{make(slotSet, s.t.words), make(slotSet, s.t.words)}
	k.pool = make([]rider, mostPool)
	for i := range k.pool {
		k.pool[i].buffer = [2]slotSet{make(slotSet, s.t.words), make(slotSet, s.t.words)}
	}
	return k
}

// take notes a need as one to seat in this step, once.
func (k *rebuilder) take(n int) bool {
	if k.asked[n] == k.step || !k.region.has(k.s.t.needs[n].trainee) {
		return false
	}
	k.asked[n] = k.step
	k.pending = append(k.pending, n)
	return true
}

// rebuild seats what is pending as well as it can. It reports whether what stands
// then is valid: not so if something would be left without what must come before
// it, and may not be touched.
func (k *rebuilder) rebuild() bool {
	k.awaited = k.awaited[:0]
	for _, n := range k.pending {
		if k.s.where[n] == nil {
			k.await(n)
		}
	}
	k.pending = k.pending[:0]
	k.evicted, k.givenUp = 0, len(k.s.open)-len(k.awaited)
	spare := k.spare()
	for e := k.nextExercise(); e >= 0 && !k.hopeless(spare); e = k.nextExercise() {
		k.seatAll(e, spare)
	}
	for _, e := range k.active {
		k.waiting[e] = k.waiting[e][:0]
	}
	k.active, k.urgent = k.active[:0], -1
	valid := k.settle() && !k.s.restless()
	for _, x := range k.touched {
		if valid && k.s.stands(x) {
			k.recruit.trim(x)
		}
	}
	k.touched = k.touched[:0]
	return valid && !k.s.restless()
}

// spare is what trimming may still save of the staff of sessions that were left.
func (k *rebuilder) spare() (sum int64) {
	for _, x := range k.touched {
		if k.s.stands(x) {
			sp := &k.s.t.spots[x.spot]
			sum += k.s.t.staffCost(sp, max(0, len(x.instructors)+len(x.rescuers)-sp.staff[len(x.trainees)]))
		}
	}
	return sum
}

// hopeless reports whether what stands, with the needs given up, costs more than any
// plan that would be kept: seats that are still to come only add to it.
func (k *rebuilder) hopeless(spare int64) bool {
	rest, open := k.s.rest()-spare, int64(k.givenUp)
	return rest+k.s.t.worth*open > k.ceiling && rest+k.s.t.weights.Unplaced*open >= k.record
}

// noLimit lets the next rebuilds end anywhere.
func (k *rebuilder) noLimit() { k.ceiling, k.record = math.MaxInt64, math.MaxInt64 }

// stands reports whether a session is on the board.
func (s *state) stands(x *session) bool {
	return x.serial < len(s.sessions) && s.sessions[x.serial] == x
}

// settle unseats what comes after a need that was given up, and so on. It reports
// whether it could.
func (k *rebuilder) settle() bool {
	for i := 0; i < len(k.awaited); i++ {
		n := k.awaited[i]
		if k.s.where[n] != nil {
			continue
		}
		for _, b := range k.s.t.before[k.s.t.needs[n].exercise] {
			m := k.s.t.needOf(k.s.t.needs[n].trainee, b.exercise)
			if m < 0 || k.s.where[m] == nil {
				continue
			}
			if !k.mayUnseat(k.s.where[m]) {
				if k.s.where[m].bound {
					continue // the need is owed, and counts as such
				}
				return false
			}
			k.unseat(m, func(o int) { k.awaited = append(k.awaited, o) })
		}
	}
	return true
}

// await puts a need on the waiting list of its exercise.
func (k *rebuilder) await(n int) {
	k.awaited = append(k.awaited, n)
	e, t := k.s.t.needs[n].exercise, k.s.t.needs[n].trainee
	if len(k.waiting[e]) == 0 && !slices.Contains(k.active, e) {
		k.active = append(k.active, e)
		k.rank[e] = k.rankOf(e)
		slices.SortFunc(k.active, func(a, b int) int { return cmp.Or(cmp.Compare(k.rank[a], k.rank[b]), cmp.Compare(a, b)) })
	}
	i, found := slices.BinarySearch(k.waiting[e], t)
	if !found {
		k.waiting[e] = slices.Insert(k.waiting[e], i, t)
	}
}

func (k *rebuilder) rankOf(e int) int64 {
	t := k.s.t
	jitter := k.chance.Int64N(1 << 16)
	if e == k.urgent {
		return math.MinInt64
	}
	switch k.inOrder {
	case byPressure:
		return -t.pressure[e]<<8 + jitter>>4
	case byDepth:
		return int64(t.depth[e])<<16 + jitter
	case byHeight:
		return -int64(t.height[e])<<16 + jitter
	}
	return jitter
}

// nextExercise returns the first exercise that somebody waits for who is ready.
func (k *rebuilder) nextExercise() int {
	for _, e := range k.active {
		k.gatherReady(e)
		if len(k.ready) > 0 {
			return e
		}
	}
	return -1
}

// gatherReady lists those who wait for e, have no seat and are ready for one.
func (k *rebuilder) gatherReady(e int) {
	k.ready = k.ready[:0]
	for _, t := range k.waiting[e] {
		if k.s.ready(t, e) {
			k.ready = append(k.ready, t)
		}
	}
}

// seatAll seats those who are ready for e, one after another with whoever can
// come along. Who can't be seated is given up, unless it helps to unseat what they
// have that comes after e.
func (k *rebuilder) seatAll(e int, spare int64) {
	for len(k.ready) > 0 && !k.hopeless(spare) {
		t := k.ready[k.chance.IntN(len(k.ready))]
		if k.chance.IntN(2) == 0 {
			t = k.tightest(e)
		}
		ok := k.seat(t, e, k.ready)
		if !ok && k.evict(t, e) {
			ok = k.seat(t, e, k.ready)
		}
		if !ok {
			k.waiting[e] = remove(k.waiting[e], t)
			k.ready = remove(k.ready, t)
			k.givenUp++
			continue
		}
		seated := func(u int) bool { return k.s.where[k.s.t.needOf(u, e)] != nil }
		k.waiting[e] = slices.DeleteFunc(k.waiting[e], seated)
		k.ready = slices.DeleteFunc(k.ready, seated)
	}
}

func remove(list []int, v int) []int {
	return slices.DeleteFunc(list, func(u int) bool { return u == v })
}

// tightest returns the one of those ready whose window ends first.
func (k *rebuilder) tightest(e int) int {
	best, at := k.ready[0], k.s.windowOf(k.ready[0], e).hi
	for _, t := range k.ready[1:] {
		if hi := k.s.windowOf(t, e).hi; hi < at {
			best, at = t, hi
		}
	}
	return best
}

// evict unseats what a trainee has that comes after e, so that e has more room. It
// reports whether there was anything.
func (k *rebuilder) evict(t, e int) bool {
	any := false
	for _, b := range k.s.t.before[e] {
		n := k.s.t.needOf(t, b.exercise)
		if n < 0 || k.s.where[n] == nil {
			continue
		}
		if !k.mayUnseat(k.s.where[n]) || k.evicted > 200 {
			return false
		}
		k.evicted++
		k.evict(t, b.exercise)
		if k.s.where[n] != nil {
			k.unseat(n, func(m int) { k.await(m) })
		}
		any = true
	}
	return any
}

// mayUnseat reports whether a session may be changed.
func (k *rebuilder) mayUnseat(x *session) bool {
	d := k.s.t.day(x.day)
	if x.bound || d < k.region.days.from || d >= k.region.days.to {
		return false
	}
	for _, t := range x.trainees {
		if !k.region.has(t) {
			return false
		}
	}
	return true
}

// unseat takes one need out of its session; a session that becomes too small is
// dissolved. gone is called with each need that loses its seat.
func (k *rebuilder) unseat(n int, gone func(int)) {
	x := k.s.where[n]
	if len(x.trainees)-1 < max(1, k.s.c.exercises[x.exercise].groupMin) {
		k.dissolve(x, gone)
		return
	}
	k.s.leave(x, k.s.t.needs[n].trainee)
	k.touched = append(k.touched, x)
	gone(n)
}

// dissolve takes a session off the board.
func (k *rebuilder) dissolve(x *session, gone func(int)) {
	k.s.drop(x)
	for _, t := range x.trainees {
		gone(k.s.t.needOf(t, x.exercise))
	}
}
