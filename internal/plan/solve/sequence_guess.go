package solve

// estimate guesses how late the latest entry on a path through what the move
// touches will be: exact where the paths around it stay.
func (q *sequence) estimate(mv move) int32 {
	q.mark(mv)
	u, near, far := q.members[mv.who].entry, 1-mv.side, mv.side
	// Paths from the side that the move goes away from: first those passed.
	for at := q.members[mv.who].link[far]; ; at = q.members[at].link[far] {
		q.newReach(q.members[at].entry, u, near)
		if at == mv.past {
			break
		}
	}
	q.reachOfMoved(u, mv, near)
	// Paths from the side it goes to: first the one moved.
	q.reachBeyond(u, mv, far)
	worst := q.trial[near][u] + q.trial[far][u]
	for at := mv.past; at != mv.who; at = q.members[at].link[near] {
		l := q.members[at].entry
		q.newReachTo(l, u, far)
		worst = max(worst, q.trial[near][l]+q.trial[far][l])
	}
	return worst
}

// newReach works out the path to an entry passed, with u gone from before it.
func (q *sequence) newReach(l, u int32, side int) {
	x := q.outer(l, side)
	e := &q.entries[l]
	for at := e.from; at < e.to; at++ {
		m := &q.members[at]
		n := m.link[side]
		if n >= 0 && q.members[n].entry == u {
			n = q.members[n].link[side]
		}
		if n >= 0 {
			x = max(x, q.known(q.members[n].entry, side)+between(&q.members[n], m, side))
		}
	}
	q.trial[side][l] = q.clamp(l, side, x)
}

// reachOfMoved is the same for the entry moved, behind all that it passed.
func (q *sequence) reachOfMoved(u int32, mv move, side int) {
	x := q.outer(u, side)
	e := &q.entries[u]
	for at := e.from; at < e.to; at++ {
		m := &q.members[at]
		n := q.lastPassed(at, mv)
		if n == at {
			n = m.link[side]
		}
		if n >= 0 {
			x = max(x, q.known(q.members[n].entry, side)+between(&q.members[n], m, side))
		}
	}
	q.trial[side][u] = q.clamp(u, side, x)
}

// reachBeyond is the path from the other side to the entry moved.
func (q *sequence) reachBeyond(u int32, mv move, side int) {
	x := q.outer(u, side)
	e := &q.entries[u]
	for at := e.from; at < e.to; at++ {
		m := &q.members[at]
		if n := q.members[q.lastPassed(at, mv)].link[side]; n >= 0 {
			x = max(x, q.reach[side][q.members[n].entry]+between(&q.members[n], m, side))
		}
	}
	q.trial[side][u] = q.clamp(u, side, x)
}

// newReachTo is the path from the other side to an entry passed, which u now
// follows.
func (q *sequence) newReachTo(l, u int32, side int) {
	x := q.outer(l, side)
	e := &q.entries[l]
	for at := e.from; at < e.to; at++ {
		m := &q.members[at]
		if n := m.link[side]; n >= 0 {
			o := &q.members[n]
			to := q.reach[side][o.entry]
			if q.passed[o.entry] == q.serial {
				to = q.trial[side][o.entry]
			}
			x = max(x, to+between(o, m, side))
		}
		if o := q.memberIn(u, m.queue); o != nil {
			x = max(x, q.trial[side][u]+between(o, m, side))
		}
	}
	q.trial[side][l] = q.clamp(l, side, x)
}

// known is the path to an entry beside one that is worked out anew.
func (q *sequence) known(i int32, side int) int32 {
	if q.passed[i] == q.serial {
		return q.trial[side][i]
	}
	return q.reach[side][i]
}

// outer is the path to an entry that no queue decides.
func (q *sequence) outer(i int32, side int) int32 {
	x := q.entries[i].first
	if side == forth {
		x = -q.entries[i].last
	}
	for _, g := range q.gaps[side][i] {
		x = max(x, q.reach[side][g.entry]+g.minutes)
	}
	return x
}

func (q *sequence) clamp(i int32, side int, x int32) int32 {
	if side == back {
		return q.entries[i].startAt(x)
	}
	return x
}

func (q *sequence) memberIn(i, queue int32) *member {
	e := &q.entries[i]
	for at := e.from; at < e.to; at++ {
		if q.members[at].queue == queue {
			return &q.members[at]
		}
	}
	return nil
}

// lastPassed returns the last member in a queue that the move passes, m itself if
// none.
func (q *sequence) lastPassed(m int32, mv move) int32 {
	if m == mv.who {
		return mv.past
	}
	out := m
	for at := q.members[m].link[mv.side]; at >= 0; at = q.members[at].link[mv.side] {
		if q.passed[q.members[at].entry] == q.serial {
			out = at
		}
	}
	return out
}
