package solve

import (
	"cmp"
	"slices"

	"rungbook/internal/civil"
)

// packer puts the sessions of one day into another order, so that needs without a
// seat have room beside them: the sessions keep their station and people, and all
// that may change is when they are (sequence.go). It goes on where it stopped when
// it is asked the same again.
type packer struct {
	key   uint64
	q     *sequence
	slots []packed
}

// packed is a session that is to have a place in the day.
type packed struct {
	spot, day int
	group     []int
	staff     [2][]int      // instructors, rescuers
	at        civil.Instant // where it stood
	allowed   slotSet       // starts at which all could come, were nothing else on that day
}

const (
	// mostPacked is how many sessions are put in order together at most.
	mostPacked = 400
	// packWork is the work of one step: moves times sessions.
	packWork = 200_000
	// mostMoves is how many moves a step makes at most.
	mostMoves = 2000
)

// pack makes room for needs without a seat on one of the days on which they could
// be met. It reports whether what stands then is valid.
func (w *walk) pack() bool {
	k := w.rebuilder
	n := k.pickOpen()
	if n < 0 {
		return false
	}
	if n = k.firstMissing(n); n < 0 {
		return false
	}
	d := w.packDay(n)
	if d < 0 {
		return false
	}
	wanted := w.wanted(n, d)
	w.clearForPack(d)
	if !w.enlist(wanted, d) || len(w.packer.slots) > mostPacked {
		return false
	}
	q := w.sequenceOf(d)
	if q == nil || !q.seek(min(mostMoves, packWork/len(q.entries)+1), w.chance) {
		return false
	}
	return w.layOut(d)
}

// packDay draws a day on which a need could be met; −1 if it finds none.
func (w *walk) packDay(n int) int {
	s, t, e := w.s, w.s.t.needs[n].trainee, w.s.t.needs[n].exercise
	days := s.windowOf(t, e).days
	days = dayRange{max(days.from, w.region.days.from), min(days.to, w.region.days.to)}
	if days.from >= days.to {
		return -1
	}
	for range 10 {
		d := days.from + w.chance.IntN(days.to-days.from)
		for _, number := range s.t.spotsOf[e] {
			if s.t.spots[number].light[d] != nil {
				return d
			}
		}
	}
	return -1
}

// wanted lists the needs to find room for: those of one trainee, or all that are
// open.
func (w *walk) wanted(n, d int) []int {
	s := w.s
	var out []int
	few := s.t.days > 1 && w.chance.IntN(2) == 0
	for _, m := range s.open {
		t := s.t.needs[m].trainee
		if few && t != s.t.needs[n].trainee || !w.region.has(t) || d < s.t.traineeDays[t].from || d >= s.t.traineeDays[t].to {
			continue
		}
		out = append(out, m)
	}
	slices.SortFunc(out, func(a, b int) int {
		x, y := s.t.needs[a], s.t.needs[b]
		return cmp.Or(cmp.Compare(s.t.depth[x.exercise], s.t.depth[y.exercise]), cmp.Compare(x.exercise, y.exercise), cmp.Compare(x.trainee, y.trainee))
	})
	return out
}

// clearForPack takes the sessions of a day that may be changed off the board and
// notes them.
func (w *walk) clearForPack(d int) {
	p := &w.packer
	p.slots = p.slots[:0]
	for at := range w.s.byStation {
		for _, x := range w.s.heldOn(at, d) {
			if !w.mayUnseat(x) || len(x.others) > 0 {
				continue
			}
			p.slots = append(p.slots, packed{
				spot: x.spot, day: d, group: x.trainees, staff: [2][]int{x.instructors, x.rescuers}, at: x.span.Start,
			})
			w.s.drop(x)
		}
	}
	slices.SortFunc(p.slots, func(a, b packed) int { return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.spot, b.spot)) })
}

// enlist works out when each session could be, the others of the day left out, and
// adds sessions for the needs wanted. It reports whether there is anything to add.
func (w *walk) enlist(wanted []int, d int) bool {
	p := &w.packer
	for i := range p.slots {
		if !w.open(&p.slots[i]) {
			return false
		}
	}
	stood := len(p.slots)
	for _, n := range wanted {
		w.enlistNeed(n, d, stood)
	}
	for i := stood; i < len(p.slots); i++ {
		if !w.hire(&p.slots[i]) {
			p.slots = slices.Delete(p.slots, i, i+1)
			i--
		}
	}
	return len(p.slots) > stood
}

// open works out at which starts all of a session's people could come, were
// nothing else on that day.
func (w *walk) open(x *packed) bool {
	s, sp := w.s, &w.s.t.spots[x.spot]
	free := s.spotFree(x.spot, x.day)
	if free == nil {
		return false
	}
	x.allowed = slices.Clone(free)
	for _, t := range x.group {
		if !w.admits(x, t) {
			return false
		}
	}
	shape := s.t.asStaff[sp.exercise][count(s.c.stations[sp.station].height)]
	for _, list := range x.staff {
		for _, p := range list {
			free := s.personFree(p, shape, x.day)
			if free == nil {
				return false
			}
			x.allowed.keep(free)
		}
	}
	return !x.allowed.empty()
}

// admits narrows a session to the starts at which a trainee could come too; false,
// with nothing changed, if there are none.
func (w *walk) admits(x *packed, t int) bool {
	s, sp := w.s, &w.s.t.spots[x.spot]
	height := count(s.c.stations[sp.station].height)
	free := s.traineeFree(t, s.t.asTrainee[sp.exercise][height], x.day)
	if free == nil || !s.entitledOn(t, sp.exercise, x.day) {
		return false
	}
	win := s.windowOf(t, sp.exercise)
	if win.none() || x.day < win.days.from || x.day >= win.days.to {
		return false
	}
	from, to := win.slots(s.t, x.day)
	set := make(slotSet, s.t.words)
	set.addRange(from, to)
	set.keep(free)
	set.keep(x.allowed)
	if set.empty() {
		return false
	}
	x.allowed = set
	return true
}

// enlistNeed adds a need to a session that was added for others, or adds one.
func (w *walk) enlistNeed(n, d, stood int) {
	s, p := w.s, &w.packer
	e, t := s.t.needs[n].exercise, s.t.needs[n].trainee
	for i := stood; i < len(p.slots); i++ {
		x := &p.slots[i]
		if s.t.spots[x.spot].exercise == e && len(x.group) < s.t.spots[x.spot].most && s.mayJoin(t, x.group) &&
			!s.sharesBody(t, x.group) && w.admits(x, t) {
			x.group = with(x.group, t)
			return
		}
	}
	list := s.t.spotsOf[e]
	if len(list) == 0 {
		return
	}
	first := w.chance.IntN(len(list))
	for i := range list {
		x := packed{spot: list[(first+i)%len(list)], day: d}
		if w.open(&x) && w.admits(&x, t) {
			x.group = []int{t}
			p.slots = append(p.slots, x)
			return
		}
	}
}

// hire finds a team for a session that was added, of those who could come at some
// start.
func (w *walk) hire(x *packed) bool {
	s, sp, r := w.s, &w.s.t.spots[x.spot], &w.recruit
	if len(x.group) < max(1, s.c.exercises[sp.exercise].groupMin) {
		return false
	}
	r.seek.at.clear()
	r.mates = r.mates[:0]
	list := s.t.teachers[sp.exercise]
	if sp.rescued {
		list = s.t.standby[sp.exercise]
	}
	shape := s.t.asStaff[sp.exercise][count(s.c.stations[sp.station].height)]
	day := s.c.from + civil.Day(x.day)
	for _, p := range list {
		free := s.personFree(p, shape, x.day)
		m := r.mate(p, sp.exercise, day)
		if free == nil || !free.meets(x.allowed) || !m.teaches && !m.rescues || s.t.isIn(p, x.group) {
			continue
		}
		m.price = price(s.t.value[p])
		m.price += price(r.chance.Int64N(int64(m.price)/2 + 16))
		r.mates = append(r.mates, m)
	}
	slices.SortFunc(r.mates, func(a, b mate) int { return cmp.Or(cmp.Compare(a.price, b.price), cmp.Compare(a.person, b.person)) })
	r.seek.begin(s.t.asks(sp, len(x.group)), r.mates, noLimit)
	best, _, ok := r.seek.complete()
	if !ok {
		return false
	}
	x.staff = [2][]int{sorted(best.instructors), sorted(best.rescuers)}
	for _, p := range slices.Concat(x.staff[0], x.staff[1]) {
		x.allowed.keep(s.personFree(p, shape, x.day))
	}
	return !x.allowed.empty()
}

// layOut puts the sessions on the board at the starts found, if all that the
// sequence does not know of allows it.
func (w *walk) layOut(d int) bool {
	s, p := w.s, &w.packer
	order := make([]int, len(p.slots))
	for i := range order {
		order[i] = i
	}
	head := func(i int) int32 { return p.q.reach[back][i] }
	slices.SortFunc(order, func(a, b int) int { return cmp.Or(cmp.Compare(head(a), head(b)), cmp.Compare(a, b)) })
	for _, i := range order {
		x := &p.slots[i]
		slot, ok := s.t.starts[d].at(s.t.starts[d][0].Add(civil.Minutes(head(i))))
		if !ok || !w.lay(x, slot) {
			return false
		}
	}
	return !s.restless()
}

// lay puts one session on the board, with its own staff if they can come.
func (w *walk) lay(x *packed, slot int) bool {
	s, sp := w.s, &w.s.t.spots[x.spot]
	free := s.spotFree(x.spot, x.day)
	if free == nil || !free.has(slot) {
		return false
	}
	for _, t := range x.group {
		if !s.canCome(t, sp, x.day, slot) {
			return false
		}
	}
	at := s.post(sp, x.day, slot, x.group)
	w.recruit.wanted = slices.Concat(x.staff[0], x.staff[1])
	instructors, rescuers, ok := w.recruit.staff(&at)
	if ok {
		s.add(s.newSession(&at, instructors, rescuers))
	}
	return ok
}
