package solve

import (
	"cmp"
	"math/rand/v2"
	"slices"
)

// seater finds seats for needs: in a session that stands and has room, or in a
// new one for as many as can come along. It is greedy; how it looks is set anew
// for each step of the search.
type seater struct {
	s       *state
	chance  *rand.Rand
	recruit recruiter
	look    look
	region  region

	pool     []rider
	openings []opening
	counts   []int
	scratch  slotSet
	teacher  [2]slotSet
}

// look is how greedy the seater is.
type look struct {
	late  bool  // prefer the end of the day
	noise int64 // up to so many 1024ths are added to what a choice costs
	haste int64 // what a day's delay costs for each exercise that comes after
	blink int   // one in so many choices is overlooked; 0 = none (Christiaens and Vanden Berghe 2020)
}

// rider is a trainee who could take part in the session looked for.
type rider struct {
	trainee int
	window  window
	free    [2]slotSet // on the day looked at, on ground and on height; cut to the window
	comes   bool       // has another session that day
	buffer  [2]slotSet
}

// opening is a session that could be opened on a spot and day.
type opening struct {
	spot, day int
	slots     slotSet // at which as many can come
	riders    int
	group     int   // how many of them to take
	cost      int64 // for each
}

// seat finds a place for a need, and for others that wait for the same exercise.
// waiting are trainees, all of them ready.
func (k *seater) seat(t, e int, waiting []int) bool {
	k.fill(t, e, waiting)
	if k.pool[0].window.none() {
		return false
	}
	seat, cost := k.standing(t, e)
	k.findOpenings(e)
	slices.SortFunc(k.openings, func(a, b opening) int {
		return cmp.Or(cmp.Compare(a.cost, b.cost), cmp.Compare(a.day, b.day), cmp.Compare(a.spot, b.spot))
	})
	for i := range k.openings {
		o := &k.openings[i]
		if seat != nil && cost <= o.cost {
			break
		}
		if k.openUp(e, o) {
			return true
		}
	}
	if seat == nil {
		return false
	}
	return k.enter(seat, t)
}

// fill gathers those who could come along, the one to be seated first.
func (k *seater) fill(t, e int, waiting []int) {
	add := func(u int) {
		k.pool = k.pool[:len(k.pool)+1]
		r := &k.pool[len(k.pool)-1]
		r.trainee, r.window = u, k.s.windowOf(u, e)
	}
	k.pool = k.pool[:0]
	add(t)
	in := k.s.t.intakeOf[t]
	first := k.pool[0].window
	for pass := range 2 {
		for _, u := range waiting {
			own := k.s.t.intakeOf[u] == in
			if u == t || own != (pass == 0) || len(k.pool) >= mostPool || !k.s.t.mix(t, u) {
				continue
			}
			add(u)
			w := k.pool[len(k.pool)-1].window
			if w.none() || w.lo > first.hi || w.hi < first.lo || w.days.from >= first.days.to || w.days.to <= first.days.from {
				k.pool = k.pool[:len(k.pool)-1]
			}
		}
	}
}

// findOpenings lists where and when a session for the first of the pool could be
// opened, and what it would cost for each who comes. The tests that cost least come
// first: the place, the one to be seated, any teacher, then the others.
func (k *seater) findOpenings(e int) {
	s := k.s
	k.openings = k.openings[:0]
	w := &k.pool[0].window
	for d := max(w.days.from, k.region.days.from); d < min(w.days.to, k.region.days.to); d++ {
		var known [2]gathered
		for _, number := range s.t.spotsOf[e] {
			sp := &s.t.spots[number]
			if sp.most < 1 || sp.light[d] == nil || k.overlooks() {
				continue
			}
			height := count(s.c.stations[sp.station].height)
			if k.startsAt(e, number, d, height, &known[height]) {
				k.openOn(e, number, d, height)
			}
		}
	}
}

func (k *seater) overlooks() bool { return k.look.blink > 0 && k.chance.IntN(k.look.blink) == 0 }

// gathered says what is known of a day already, for ground or for height.
type gathered struct{ first, teacher, all bool }

// startsAt leaves in k.scratch the starts at which a spot is free, and the one to be
// seated, and somebody who teaches it; it reports whether there is any. If so, it
// is known of all of the pool when they can come.
func (k *seater) startsAt(e, number, d, height int, known *gathered) bool {
	place := k.s.spotFree(number, d)
	if place == nil {
		return false
	}
	if !known.first {
		known.first = true
		k.gather(&k.pool[0], e, d, height)
	}
	first := k.pool[0].free[height]
	if first == nil {
		return false
	}
	copy(k.scratch, place)
	k.scratch.keep(first)
	if k.scratch.empty() {
		return false
	}
	if !known.teacher {
		known.teacher = true
		k.gatherTeachers(e, d, height)
	}
	k.scratch.keep(k.teacher[height])
	if k.scratch.empty() {
		return false
	}
	if !known.all {
		known.all = true
		for i := 1; i < len(k.pool); i++ {
			k.gather(&k.pool[i], e, d, height)
		}
	}
	return true
}

// gather works out when one of the pool can come on a day.
func (k *seater) gather(r *rider, e, d, height int) {
	s := k.s
	r.free[height] = nil
	if d < r.window.days.from || d >= r.window.days.to || !s.entitledOn(r.trainee, e, d) {
		return
	}
	from, to := r.window.slots(s.t, d)
	free := s.traineeFree(r.trainee, s.t.asTrainee[e][height], d)
	if from >= to || free == nil {
		return
	}
	set := r.buffer[height]
	clear(set)
	set.addRange(from, to)
	set.keep(free)
	r.free[height] = set
	r.comes = s.comesOn(r.trainee, d)
}

// gatherTeachers works out when anybody who teaches an exercise is free on a day.
func (k *seater) gatherTeachers(e, d, height int) {
	s, set := k.s, k.teacher[height]
	clear(set)
	for _, p := range s.t.teachers[e] {
		if free := s.personFree(p, s.t.asStaff[e][height], d); free != nil {
			set.join(free)
		}
	}
}

// comesOn reports whether a trainee has a session on a day.
func (s *state) comesOn(t, d int) bool {
	for _, x := range s.byTrainee[t] {
		if s.t.day(x.day) == d {
			return true
		}
	}
	return false
}

// openOn adds the opening of a spot and day: of the starts in k.scratch those at
// which most of the pool can come.
func (k *seater) openOn(e, number, d, height int) {
	s := k.s
	set := k.scratch
	most := 0
	for i := set.next(0); i >= 0; i = set.next(i + 1) {
		n := 0
		for j := range k.pool {
			if f := k.pool[j].free[height]; f != nil && f.has(i) {
				n++
			}
		}
		k.counts[i] = n
		most = max(most, n)
	}
	sp := &s.t.spots[number]
	enough := min(most, sp.most)
	if enough < s.c.exercises[e].groupMin {
		return
	}
	slots := make(slotSet, len(set))
	for i := set.next(0); i >= 0; i = set.next(i + 1) {
		if k.counts[i] >= enough {
			slots.add(i)
		}
	}
	o := opening{spot: number, day: d, slots: slots, riders: enough}
	k.price(e, &o, height)
	k.openings = append(k.openings, o)
}

// price finds the number to take that costs least for each, the rest of the pool
// included: those left over will need sessions of their own.
func (k *seater) price(e int, o *opening, height int) {
	s, sp := k.s, &k.s.t.spots[o.spot]
	w := &s.t.weights
	at := k.first(o.slots)
	strangers, last, lateness := 0, 0, int64(0)
	n := 0
	best := int64(-1)
	k.eachRider(height, at, func(r *rider) bool {
		n++
		if n > o.riders {
			return false
		}
		if !r.comes {
			strangers++
		}
		in := s.t.intakeOf[r.trainee]
		if n == 1 || in != last {
			lateness += int64(max(0, o.day-s.lastDay[in])) * w.IntakeDay
		}
		last = in
		if n < s.c.exercises[e].groupMin {
			return true
		}
		cost := s.t.staffCost(sp, sp.staff[n]) + int64(strangers)*w.TraineeDay + lateness
		left := min(len(k.pool)-n, mostPool)
		each := (cost + s.t.rest[e][left] + int64(left)*(cost-s.t.staffCost(sp, sp.staff[n]))/int64(n)) * 64 / int64(n+left)
		if best < 0 || each <= best {
			best, o.group, o.cost = each, n, cost/int64(n)
		}
		return true
	})
	// Those who can't all come are compared by what the whole pool will cost.
	o.cost = best/64 + k.look.haste*int64(s.t.height[e]*(o.day-k.pool[0].window.days.from))
	o.cost += k.noise(o.cost)
}

func (k *seater) noise(cost int64) int64 {
	if k.look.noise == 0 || cost <= 0 {
		return 0
	}
	return k.chance.Int64N(min(cost, 1<<40)*k.look.noise/1024 + 1)
}

// first returns the start to try first.
func (k *seater) first(slots slotSet) int {
	if k.look.late {
		return slots.prev(len(slots)*64 - 1)
	}
	return slots.next(0)
}

func (k *seater) next(slots slotSet, i int) int {
	if k.look.late {
		if i == 0 {
			return -1
		}
		return slots.prev(i - 1)
	}
	return slots.next(i + 1)
}

// eachRider calls f with those who can come at a start: the one to be seated, then
// those who come that day anyway, then the others, each in their order.
func (k *seater) eachRider(height, slot int, f func(*rider) bool) {
	if !f(&k.pool[0]) {
		return
	}
	for pass := range 2 {
		for i := 1; i < len(k.pool); i++ {
			r := &k.pool[i]
			if r.comes == (pass == 0) && r.free[height] != nil && r.free[height].has(slot) && !f(r) {
				return
			}
		}
	}
}

// openUp opens a session if staff can be found; if not for all, then for fewer.
func (k *seater) openUp(e int, o *opening) bool {
	s, sp := k.s, &k.s.t.spots[o.spot]
	height := count(s.c.stations[sp.station].height)
	for i := range k.pool {
		k.gather(&k.pool[i], e, o.day, height)
	}
	for n := o.group; n >= max(1, s.c.exercises[e].groupMin); {
		for i := k.first(o.slots); i >= 0; i = k.next(o.slots, i) {
			group := make([]int, 0, n)
			k.eachRider(height, i, func(r *rider) bool {
				group = append(group, r.trainee)
				return len(group) < n
			})
			if len(group) < n {
				continue
			}
			slices.Sort(group)
			if !k.cohere(group) {
				continue
			}
			at := s.post(sp, o.day, i, group)
			k.recruit.wanted = s.staffWanted(e, sp.station, at.span.Start)
			if instructors, rescuers, ok := k.recruit.staff(&at); ok {
				s.add(s.newSession(&at, instructors, rescuers))
				return true
			}
		}
		// Fewer trainees need fewer staff.
		for size := sp.staff[n]; n > 0 && sp.staff[n] == size; n-- {
		}
	}
	return false
}

// cohere reports whether a group may share a session and is no more bodies than
// trainees.
func (k *seater) cohere(group []int) bool {
	for i, t := range group {
		for _, u := range group[:i] {
			if !k.s.t.mix(t, u) || k.s.c.trainees[t].body == k.s.c.trainees[u].body {
				return false
			}
		}
	}
	return true
}
