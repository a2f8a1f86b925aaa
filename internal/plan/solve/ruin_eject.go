package solve

// ruinEject seats a need without a seat in place of somebody else in a session of
// the same exercise, who takes the place of somebody else, and so on, until one
// finds a seat that is free (ejection chains: Glover 1996). Sessions keep their
// time and size. Who is moved may have to give up what else they have that day, and
// look for other seats for that.
func ruinEject(k *rebuilder, x *session, most int) {
	n := k.pickOpen()
	if n < 0 {
		ruinTrainee(k, x, most)
		return
	}
	t := k.s.t.needs[n].trainee
	for _, m := range k.s.t.needsOf[t] {
		if k.s.where[m] == nil {
			k.take(m)
		}
	}
	if n = k.firstMissing(n); n < 0 {
		return
	}
	c := chain{rebuilder: k, exercise: k.s.t.needs[n].exercise, left: mostEjected}
	c.push(t, longestChain)
}

const (
	// longestChain is how many people an ejection chain moves at most, mostEjected how
	// many ways it tries.
	longestChain = 4
	mostEjected  = 60
)

// chain is an ejection chain in the making.
type chain struct {
	*rebuilder
	exercise int
	moved    []int // trainees
	left     int   // ways that may still be tried
}

// push finds a seat for a trainee who is ready for one; if it finds none, it changes
// nothing and reports false.
func (c *chain) push(t, depth int) bool {
	s, e := c.s, c.exercise
	if c.seat(t, e, []int{t}) || c.clearOwnDay(t) {
		return true
	}
	if depth == 0 {
		return false
	}
	c.moved = append(c.moved, t)
	for _, x := range c.full(t) {
		first := c.chance.IntN(len(x.trainees))
		group := x.trainees
		for i := range group {
			u := group[(first+i)%len(group)]
			if c.left--; c.left < 0 {
				return false
			}
			at := len(s.log)
			if c.instead(x, t, u) && c.push(u, depth-1) {
				return true
			}
			s.undo(at)
		}
	}
	c.moved = c.moved[:len(c.moved)-1]
	return false
}

// clearOwnDay seats a trainee on a day that it clears of what else they have then;
// that is to be seated again afterwards.
func (c *chain) clearOwnDay(t int) bool {
	s, days := c.s, c.s.windowOf(t, c.exercise).days
	for range min(2, days.to-days.from) {
		d := days.from + c.chance.IntN(days.to-days.from)
		at, waiting := len(s.log), len(c.pending)
		for _, n := range s.t.needsOf[t] {
			if x := s.where[n]; x != nil && s.t.day(x.day) == d && c.mayUnseat(x) {
				c.unseat(n, func(m int) { c.take(m) })
			}
		}
		if len(s.log) > at && c.seat(t, c.exercise, []int{t}) {
			return true
		}
		s.undo(at)
		for _, n := range c.pending[waiting:] {
			c.asked[n] = 0
		}
		c.pending = c.pending[:waiting]
	}
	return false
}

// full lists the sessions that a trainee could come to if one of those there left,
// in an order by chance.
func (c *chain) full(t int) []*session {
	s, w := c.s, c.s.windowOf(t, c.exercise)
	row := s.byExercise[c.exercise]
	var out []*session
	for _, x := range row[row.from(w.lo.Add(-s.c.exercises[c.exercise].setup)):] {
		if x.span.Start > w.hi {
			break
		}
		if len(x.trainees) > 0 && c.mayUnseat(x) && s.canCome(t, &s.t.spots[x.spot], s.t.day(x.day), x.slot) {
			out = append(out, x)
		}
	}
	c.chance.Shuffle(len(out), func(i, j int) { out[i], out[j] = out[j], out[i] })
	return out
}

// instead puts t into a session in place of u, if that may be.
func (c *chain) instead(x *session, t, u int) bool {
	s := c.s
	for _, m := range c.moved {
		if m == u {
			return false
		}
	}
	s.leave(x, u)
	return s.mayJoin(t, x.trainees) && !s.sharesBody(t, x.trainees) && c.enter(x, t)
}
