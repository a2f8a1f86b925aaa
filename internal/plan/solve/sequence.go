package solve

import "slices"

// sequence is the question in which order the sessions of one day follow each
// other, so that all of them fit: a disjunctive graph (Roy and Sussmann 1964). What
// can't be in two places at once, a station, a zone or a body, has a queue of the
// entries that need it. From the queues follow the earliest starts, by longest
// paths; an entry that starts after the last start it may have is late. The search
// for queues in which nothing is late is in sequence_search.go.
//
// Instants are minutes from the day's first start.
type sequence struct {
	entries []entry
	members []member
	must    []bool    // by two entries: the first comes before the second in any order
	gaps    [2]gaps   // back and forth
	queues  int       // how many there are
	byQueue [][]int32 // members

	// What follows from the queues as they are.
	reach  [2][]int32 // longest paths: heads to an entry's start, tails from it on
	order  []int32    // of the graph
	place  []int32    // by entry: its place in order
	late   int32      // by how much the latest entry is late; 0 or less: all fit
	latest int32
	path   []step // a longest one

	// What the search for better ones remembers.
	now     int32   // moves made
	tabu    []int32 // by two entries: the move until which the first may not come before the second
	tenure  int32   // for how many moves what was undone stays tabu
	stale   int     // moves since something better was found
	runBest ranking // since the last launch
	elite   []ranking
	barren  int  // launches since one brought something for the elite
	hope    bool // there may be an order in which all fit

	// Room to work in.
	waits, aside []int32
	trial        [2][]int32 // as reach, after a move that is only guessed at
	serial       int32
	passed       []int32 // by entry: the serial of what last passed it
	moved        []relink
}

// entry is one session in a sequence.
type entry struct {
	first, last int32   // start
	next        []int32 // by minute from first to last: the first start then or later; nil = every minute
	from, to    int32   // its members
}

// member is an entry's place in one queue. Of two that follow each other, the later
// starts after+before minutes after the earlier or later than that.
type member struct {
	entry, queue  int32
	before, after int32
	link          [2]int32 // the members before and behind in the queue, −1 = none
}

// gaps are, by entry, those that must come so many minutes before or after it.
type gaps [][]gap

type gap struct{ entry, minutes int32 }

// step is an entry on the longest path and the member by which it follows the one
// before, −1 where no queue joins them.
type step struct{ entry, by int32 }

const (
	back  = 0
	forth = 1
)

// startAt returns the first start of an entry at minute x or later; beyond the last
// one that there is, x itself.
func (e *entry) startAt(x int32) int32 {
	switch {
	case x <= e.first:
		return e.first
	case x > e.last || e.next == nil:
		return x
	}
	return e.next[x-e.first]
}

// queueUp adds a queue of entries that need the same thing.
func (q *sequence) queueUp(list []member) {
	for i := range list {
		list[i].queue = int32(q.queues)
	}
	q.queues++
	q.members = append(q.members, list...)
}

// seal is called when all queues are there; at are the entries in an order that
// keeps what must come before what.
func (q *sequence) seal(at []int32) {
	n := len(q.entries)
	slices.SortStableFunc(q.members, func(a, b member) int { return int(a.entry - b.entry) })
	q.byQueue = make([][]int32, q.queues)
	for i := range q.members {
		m := &q.members[i]
		e := &q.entries[m.entry]
		if e.to == 0 {
			e.from = int32(i)
		}
		e.to = int32(i + 1)
		q.byQueue[m.queue] = append(q.byQueue[m.queue], int32(i))
	}
	q.place = make([]int32, n)
	q.queueBy(at)
	for d := range 2 {
		q.reach[d], q.trial[d] = make([]int32, n), make([]int32, n)
	}
	q.order, q.waits, q.passed = make([]int32, 0, n), make([]int32, n), make([]int32, n)
	q.tabu = make([]int32, n*n)
	q.tenure = leastTenure
	if q.hope = q.evaluate(); q.hope {
		q.noteRun()
	}
}

// queueBy makes the queues those of an order of the entries.
func (q *sequence) queueBy(at []int32) {
	for i, e := range at {
		q.place[e] = int32(i)
	}
	for _, list := range q.byQueue {
		slices.SortFunc(list, func(a, b int32) int { return int(q.place[q.members[a].entry] - q.place[q.members[b].entry]) })
		for i, m := range list {
			q.members[m].link = [2]int32{-1, -1}
			if i > 0 {
				q.members[m].link[back] = list[i-1]
				q.members[list[i-1]].link[forth] = m
			}
		}
	}
}

// evaluate works out an order of the graph and the longest paths. It reports false,
// and nothing else, if the queues contradict each other.
func (q *sequence) evaluate() bool {
	q.order = q.order[:0]
	for i := range q.entries {
		e := &q.entries[i]
		n := int32(len(q.gaps[back][i]))
		for m := e.from; m < e.to; m++ {
			if q.members[m].link[back] >= 0 {
				n++
			}
		}
		q.waits[i] = n
		if n == 0 {
			q.order = append(q.order, int32(i))
		}
	}
	for at := 0; at < len(q.order); at++ {
		q.release(q.order[at])
	}
	if len(q.order) < len(q.entries) {
		return false
	}
	for at, i := range q.order {
		q.place[i] = int32(at)
	}
	q.reachFrom(0, len(q.order)-1)
	return true
}

// reachFrom works out the paths anew, heads from one place in the order on, tails
// from another back.
func (q *sequence) reachFrom(lo, hi int) {
	for _, i := range q.order[lo:] {
		q.reach[back][i] = q.entries[i].startAt(q.longest(i, back))
	}
	for at := hi; at >= 0; at-- {
		i := q.order[at]
		q.reach[forth][i] = max(-q.entries[i].last, q.longest(i, forth))
	}
	q.late = -1 << 30
	for i := range q.entries {
		if late := q.reach[back][i] - q.entries[i].last; late > q.late {
			q.late, q.latest = late, int32(i)
		}
	}
}

// reorder brings the order and the paths up to date after an entry was moved past
// another. It reports false, and changes neither, if the queues now contradict each
// other.
func (q *sequence) reorder(u, past int32, side int) bool {
	from, to, way := q.place[u], q.place[past], int32(1)
	if side == back {
		way = -1
	}
	// What follows u, seen in the direction of the move, must go beyond the entry
	// passed last; if that is among it, the queues go round in a circle.
	q.serial++
	q.passed[u] = q.serial
	q.aside = q.aside[:0]
	for at := from + way; at != to+way; at += way {
		if i := q.order[at]; q.follows(i, 1-side) {
			if i == past {
				return false
			}
			q.passed[i] = q.serial
			q.aside = append(q.aside, i)
		}
	}
	put := from
	for at := from + way; at != to+way; at += way {
		if i := q.order[at]; q.passed[i] != q.serial {
			q.order[put], q.place[i] = i, put
			put += way
		}
	}
	q.order[put], q.place[u] = u, put
	for _, i := range q.aside {
		put += way
		q.order[put], q.place[i] = i, put
	}
	q.reachFrom(int(min(from, to)), int(max(from, to)))
	return true
}

// follows reports whether an entry has one of those passed beside it on a side.
func (q *sequence) follows(i int32, side int) bool {
	e := &q.entries[i]
	for at := e.from; at < e.to; at++ {
		if n := q.members[at].link[side]; n >= 0 && q.passed[q.members[n].entry] == q.serial {
			return true
		}
	}
	for _, g := range q.gaps[side][i] {
		if q.passed[g.entry] == q.serial {
			return true
		}
	}
	return false
}

// release lets go those that wait for an entry.
func (q *sequence) release(i int32) {
	free := func(j int32) {
		if q.waits[j]--; q.waits[j] == 0 {
			q.order = append(q.order, j)
		}
	}
	e := &q.entries[i]
	for m := e.from; m < e.to; m++ {
		if n := q.members[m].link[forth]; n >= 0 {
			free(q.members[n].entry)
		}
	}
	for _, g := range q.gaps[forth][i] {
		free(g.entry)
	}
}

// longest returns the longest path that reaches an entry through one beside it.
func (q *sequence) longest(i int32, side int) int32 {
	x := int32(-1 << 30)
	e := &q.entries[i]
	for at := e.from; at < e.to; at++ {
		m := &q.members[at]
		if n := m.link[side]; n >= 0 {
			o := &q.members[n]
			x = max(x, q.reach[side][o.entry]+between(o, m, side))
		}
	}
	for _, g := range q.gaps[side][i] {
		x = max(x, q.reach[side][g.entry]+g.minutes)
	}
	return x
}

// between is how far the starts of two members that follow each other lie apart at
// least; o lies on the given side of m.
func between(o, m *member, side int) int32 {
	if side == back {
		return o.after + m.before
	}
	return m.after + o.before
}

// trace finds a longest path to the latest entry, from its beginning on. Where
// several are as long it stays in one queue, or else draws.
func (q *sequence) trace(draw func(int) int) {
	q.path = q.path[:0]
	for i, queue := q.latest, int32(-1); i >= 0; {
		by, from := q.cause(i, queue, draw)
		q.path = append(q.path, step{i, by})
		queue = -1
		if by >= 0 {
			queue = q.members[by].queue
		}
		i = from
	}
	slices.Reverse(q.path)
}

// cause returns an entry that keeps another from starting earlier, and the member
// by which it does; −1 if nothing does or no queue.
func (q *sequence) cause(i, queue int32, draw func(int) int) (by, from int32) {
	by, from = -1, -1
	x, e, ways := q.reach[back][i], &q.entries[i], 0
	if x == e.first {
		return by, from
	}
	for at := e.from; at < e.to; at++ {
		m := &q.members[at]
		n := m.link[back]
		if n < 0 || e.startAt(q.reach[back][q.members[n].entry]+between(&q.members[n], m, back)) != x {
			continue
		}
		if m.queue == queue {
			return at, q.members[n].entry
		}
		if ways++; draw(ways) == 0 {
			by, from = at, q.members[n].entry
		}
	}
	for _, g := range q.gaps[back][i] {
		if from < 0 && e.startAt(q.reach[back][g.entry]+g.minutes) == x {
			from = g.entry
		}
	}
	return by, from
}
