package solve

import (
	"math/rand/v2"
	"slices"
)

// ranking is an order of a sequence: its links, and how late its latest entry is.
type ranking struct {
	links [][2]int32
	late  int32
}

// noteRun notes the order as the best since the last launch.
func (q *sequence) noteRun() {
	q.runBest.late = q.late
	q.runBest.links = q.runBest.links[:0]
	for i := range q.members {
		q.runBest.links = append(q.runBest.links, q.members[i].link)
	}
}

func (q *sequence) recall(r *ranking) {
	for i := range q.members {
		q.members[i].link = r.links[i]
	}
	q.evaluate()
}

// relaunch adds the best order of this run to the elite and goes on half way between
// two of them; as long as they are few, or when they have brought nothing new for
// long, from an order by chance.
func (q *sequence) relaunch(chance *rand.Rand) {
	if q.admit() {
		q.barren = 0
	} else if q.barren++; q.barren > mostBarren {
		q.barren, q.elite = 0, q.elite[:0]
	}
	q.stale, q.tenure = 0, leastTenure+chance.Int32N(mostTenure-leastTenure+1)
	clear(q.tabu)
	if n := len(q.elite); n < mostElite {
		q.scatter(chance)
	} else {
		a, b := chance.IntN(n), chance.IntN(n-1)
		b += count(b >= a)
		q.recall(&q.elite[a])
		q.approach(&q.elite[b], chance)
	}
	q.noteRun()
}

// admit adds the best order of this run to the elite, in place of one like it or of
// the worst, if it is better; it reports whether it did.
func (q *sequence) admit() bool {
	at := -1
	for i := range q.elite {
		if q.distance(&q.elite[i], &q.runBest) < len(q.members)/20 {
			at = i
			break
		}
	}
	switch {
	case at >= 0:
	case len(q.elite) < mostElite:
		q.elite = append(q.elite, ranking{late: 1 << 30})
		at = len(q.elite) - 1
	default:
		at = 0
		for i := range q.elite {
			if q.elite[i].late > q.elite[at].late {
				at = i
			}
		}
	}
	if q.runBest.late >= q.elite[at].late {
		return false
	}
	q.elite[at] = ranking{slices.Clone(q.runBest.links), q.runBest.late}
	return true
}

// scatter puts the entries into an order by chance.
func (q *sequence) scatter(chance *rand.Rand) {
	n := len(q.entries)
	at := make([]int32, 0, n)
	rest := make([]int32, n)
	for i := range rest {
		rest[i] = int32(i)
	}
	for len(rest) > 0 {
		// One that nothing left must come before.
		i := chance.IntN(len(rest))
		for again := true; again; {
			again = false
			for j, o := range rest {
				if q.must[int(o)*n+int(rest[i])] {
					i, again = j, true
					break
				}
			}
		}
		at = append(at, rest[i])
		rest[i] = rest[len(rest)-1]
		rest = rest[:len(rest)-1]
	}
	q.queueBy(at)
	q.evaluate()
}

// distance counts the members that different ones follow in two orders.
func (q *sequence) distance(a, b *ranking) int {
	n := 0
	for i := range a.links {
		n += count(a.links[i][forth] != b.links[i][forth])
	}
	return n
}

// approach exchanges neighbours in queues that stand the other way round in another
// order, until about half of the way is gone.
func (q *sequence) approach(to *ranking, chance *rand.Rand) {
	place := q.places(to)
	var wrong []int32
	gather := func() {
		wrong = wrong[:0]
		for m := range q.members {
			if n := q.members[m].link[forth]; n >= 0 && place[m] > place[n] {
				wrong = append(wrong, int32(m))
			}
		}
	}
	gather()
	for left := q.inversions(place) * (2 + chance.IntN(3)) / 6; left > 0 && len(wrong) > 0; left-- {
		m := wrong[chance.IntN(len(wrong))]
		n := q.members[m].link[forth]
		q.shift(move{m, n, forth})
		if !q.reorder(q.members[m].entry, q.members[n].entry, forth) {
			q.unshift()
		}
		gather()
	}
}

// places returns each member's place in its queue in an order.
func (q *sequence) places(r *ranking) []int32 {
	out := make([]int32, len(q.members))
	for m := range q.members {
		if r.links[m][back] >= 0 {
			continue
		}
		for at, n := int32(m), int32(0); at >= 0; at, n = r.links[at][forth], n+1 {
			out[at] = n
		}
	}
	return out
}

// inversions counts the pairs in queues that stand the other way round than places
// say.
func (q *sequence) inversions(place []int32) int {
	n := 0
	for m := range q.members {
		for at := q.members[m].link[forth]; at >= 0; at = q.members[at].link[forth] {
			n += count(place[m] > place[at])
		}
	}
	return n
}
