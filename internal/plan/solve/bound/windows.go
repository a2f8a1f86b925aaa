package bound

import "math/bits"

// reach are the days that a trainee's needs leave one another: before need i can
// be over, head[i] days with sessions are needed, its own among them; from the day
// of need i to the day on which all is done, tail[i], its own among them.
//
// Proof. A plan leads through the lattice, a step at most a day (see lattice). A
// set that holds need i is reached in head[i] steps or more, the last of them no
// earlier than the day of i. On the day before i the set done does not hold it, and
// from such a set it takes tail[i] steps or more to the set of all needs, all of
// them on different days from the day of i on. head asks only that i is placed,
// tail that all the trainee's needs are.
type reach struct {
	head, tail []int
	whole      bool // all needs can be placed
}

func (l *lattice) reach(needs int) (r reach) {
	const never = 1 << 20
	to, from := make([]int, len(l.sets)), make([]int, len(l.sets))
	for s := range l.sets { // larger sets stand first
		to[s], from[s] = never, never
		if bits.OnesCount32(l.sets[s]) == needs {
			to[s], r.whole = 0, true
		}
		for k := l.steps[s]; k < l.steps[s+1]; k++ {
			to[s] = min(to[s], 1+to[l.to[k]])
		}
	}
	from[l.empty] = 0
	for s := len(l.sets) - 1; s >= 0; s-- {
		for k := l.steps[s]; k < l.steps[s+1]; k++ {
			from[l.to[k]] = min(from[l.to[k]], from[s]+1)
		}
	}
	for i := range needs {
		head, tail := never, never
		for s, set := range l.sets {
			if set>>i&1 == 1 {
				head = min(head, from[s])
			} else {
				tail = min(tail, to[s])
			}
		}
		r.head, r.tail = append(r.head, head), append(r.tail, tail)
	}
	return r
}

// earliest is the first day on which need i of a class can be done, −1 for none.
func (c *class) earliest(i int, r *reach) int {
	left := r.head[i]
	for k, can := range c.can {
		if can != 0 {
			left--
		}
		if left <= 0 && can>>i&1 == 1 {
			return c.first + k
		}
	}
	return -1
}

// latest is the last day on which need i of a class can be done so that all its
// needs are done by the end of day last; −1 for none.
func (c *class) latest(i, last int, r *reach) int {
	left := r.tail[i]
	for k := min(last-c.first, len(c.can)-1); k >= 0; k-- {
		if c.can[k] != 0 {
			left--
		}
		if left <= 0 && c.can[k]>>i&1 == 1 {
			return c.first + k
		}
	}
	return -1
}
