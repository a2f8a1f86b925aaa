package solve

import "math/rand/v2"

// move takes a member past others in its queue, up to and with the one given.
type move struct {
	who, past int32 // members
	side      int
}

// relink is a member's place before a move.
type relink struct {
	member int32
	was    [2]int32
}

// eachMove calls f with the moves of each block on the longest path.
func (q *sequence) eachMove(f func(move)) {
	for lo := 0; lo+1 < len(q.path); {
		by := q.path[lo+1].by
		if by < 0 {
			lo++
			continue
		}
		queue := q.members[by].queue
		hi := lo + 1
		for hi+1 < len(q.path) && q.path[hi+1].by >= 0 && q.members[q.path[hi+1].by].queue == queue {
			hi++
		}
		q.blockMoves(lo, hi, f)
		lo = hi
	}
}

// blockMoves calls f with the moves of one block. What comes first in the path's
// first block matters only if not all of the block may begin at the same time, and
// likewise what comes last in its last.
func (q *sequence) blockMoves(lo, hi int, f func(move)) {
	first, last := q.members[q.path[lo+1].by].link[back], q.path[hi].by
	begins, ends := lo > 0, hi+1 < len(q.path)
	for m := first; m != last; m = q.members[m].link[forth] {
		begins = begins || q.bounds(m)[back] != q.bounds(last)[back]
		ends = ends || q.bounds(m)[forth] != q.bounds(last)[forth]
	}
	if hi == lo+1 {
		if begins || ends {
			f(move{first, last, forth})
		}
		return
	}
	second := q.members[first].link[forth]
	if ends {
		for m := first; m != last; m = q.members[m].link[forth] {
			f(move{m, last, forth})
		}
		for m := q.members[second].link[forth]; m != last; m = q.members[m].link[forth] {
			f(move{last, m, back})
		}
	}
	if begins {
		for m := last; m != first; m = q.members[m].link[back] {
			f(move{m, first, back})
		}
		for m := second; m != q.members[last].link[back]; m = q.members[m].link[forth] {
			f(move{first, m, forth})
		}
	}
}

// bounds are the first and the last instant at which a member may take what it
// queues for.
func (q *sequence) bounds(m int32) [2]int32 {
	e := &q.entries[q.members[m].entry]
	return [2]int32{e.first - q.members[m].before, e.last + q.members[m].after}
}

// allowed reports whether a move keeps what must come before what and, as far as
// the starts tell, contradicts no other queue.
func (q *sequence) allowed(mv move) bool {
	n := int32(len(q.entries))
	who, past := &q.members[mv.who], &q.members[mv.past]
	u := who.entry
	for at := who.link[mv.side]; ; at = q.members[at].link[mv.side] {
		l := q.members[at].entry
		if mv.side == forth && q.must[u*n+l] || mv.side == back && q.must[l*n+u] {
			return false
		}
		if at == mv.past {
			break
		}
	}
	if who.link[mv.side] == mv.past {
		return true
	}
	// Nothing that u leads to otherwise may lead to the entry passed last.
	limit := q.reach[1-mv.side][past.entry]
	e := &q.entries[u]
	for at := e.from; at < e.to; at++ {
		if at == mv.who {
			continue
		}
		if o := q.members[at].link[mv.side]; o >= 0 && q.reach[1-mv.side][q.members[o].entry] < limit && q.members[o].entry != past.entry {
			return false
		}
	}
	return true
}

// forbidden reports whether a move brings back what a late move undid.
func (q *sequence) forbidden(mv move) bool {
	n, u, l := int32(len(q.entries)), q.members[mv.who].entry, q.members[mv.past].entry
	if mv.side == back {
		return q.tabu[u*n+l] > q.now
	}
	return q.tabu[l*n+u] > q.now
}

// mark notes what a move passes.
func (q *sequence) mark(mv move) {
	q.serial++
	for at := q.members[mv.who].link[mv.side]; ; at = q.members[at].link[mv.side] {
		q.passed[q.members[at].entry] = q.serial
		if at == mv.past {
			return
		}
	}
}

// make makes a move and works the paths out; if the queues then contradict each
// other, it takes the move back and reports false.
func (q *sequence) make(mv move, chance *rand.Rand) bool {
	q.shift(mv)
	n, u := int32(len(q.entries)), q.members[mv.who].entry
	until := q.now + q.tenure + chance.Int32N(q.tenure)
	for at := q.members[mv.who].link[1-mv.side]; at >= 0; at = q.members[at].link[1-mv.side] {
		l := q.members[at].entry
		if q.passed[l] != q.serial {
			break
		}
		if mv.side == forth {
			q.tabu[u*n+l] = until
		} else {
			q.tabu[l*n+u] = until
		}
	}
	if q.reorder(u, q.members[mv.past].entry, mv.side) {
		return true
	}
	q.unshift()
	return false
}

// shift changes the queues for a move; unshift takes that back.
func (q *sequence) shift(mv move) {
	q.mark(mv)
	q.moved = q.moved[:0]
	e := &q.entries[q.members[mv.who].entry]
	for at := e.from; at < e.to; at++ {
		past := q.lastPassed(at, mv)
		if past == at {
			continue
		}
		q.moved = append(q.moved, relink{at, q.members[at].link})
		q.unlink(at)
		beyond := q.members[past].link[mv.side]
		if mv.side == forth {
			q.link(at, past, beyond)
		} else {
			q.link(at, beyond, past)
		}
	}
}

func (q *sequence) unshift() {
	for i := len(q.moved) - 1; i >= 0; i-- {
		q.unlink(q.moved[i].member)
		q.link(q.moved[i].member, q.moved[i].was[back], q.moved[i].was[forth])
	}
}

func (q *sequence) unlink(m int32) {
	l := q.members[m].link
	if l[back] >= 0 {
		q.members[l[back]].link[forth] = l[forth]
	}
	if l[forth] >= 0 {
		q.members[l[forth]].link[back] = l[back]
	}
}

func (q *sequence) link(m, before, behind int32) {
	q.members[m].link = [2]int32{before, behind}
	if before >= 0 {
		q.members[before].link[forth] = m
	}
	if behind >= 0 {
		q.members[behind].link[back] = m
	}
}
