package solve

import "math/rand/v2"

// A sequence is searched by moves on the longest path: a run of entries on it that
// follow each other in one queue is a block, and only a change at the begin or end
// of a block can make the path shorter (Nowicki and Smutnicki 1996). A move takes an
// entry of a block past others to its begin or end, or the first or last into it
// (Balas and Vazacopoulos 1998; Zhang, Li, Guan and Rao 2007). What a move does is
// estimated from the paths around what it passes, the best one that is not tabu is
// made. When nothing better comes for long, the search goes on half way between two
// of the best orders found (path relinking: Peng, Lü and Cheng 2015).

const (
	// What a move undid stays tabu for some moves: at least so many, drawn for each run
	// anew, and up to twice as many.
	leastTenure, mostTenure = 4, 12
	// patienceMoves is how many moves may bring nothing better.
	patienceMoves = 4_000
	// mostElite is how many of the best orders are kept; when so many runs between
	// them brought nothing new, the search begins anew.
	mostElite  = 6
	mostBarren = 15
)

// seek makes moves until everything fits or so many are made; it reports whether
// all fit.
func (q *sequence) seek(moves int, chance *rand.Rand) bool {
	for range moves {
		if q.late <= 0 {
			return true
		}
		if !q.hope {
			return false
		}
		q.now++
		q.trace(chance.IntN)
		mv, any := q.best(chance)
		switch {
		case !any:
			q.hope = false // no order of these entries makes the path shorter
			return false
		case mv.who < 0:
			continue
		case !q.make(mv, chance):
			continue
		}
		if q.late < q.runBest.late {
			q.noteRun()
			q.stale = 0
		} else if q.stale++; q.stale > patienceMoves {
			q.relaunch(chance)
		}
	}
	return q.late <= 0
}

// best returns the move that seems best; any is whether there is one at all.
func (q *sequence) best(chance *rand.Rand) (out move, any bool) {
	out.who = -1
	least, ties := int32(1<<30), 0
	var spare move
	spares := 0
	q.eachMove(func(mv move) {
		if !q.allowed(mv) {
			return
		}
		any = true
		guess := q.estimate(mv)
		if q.forbidden(mv) && guess >= q.runBest.late {
			spares++
			if chance.IntN(spares) == 0 {
				spare = mv
			}
			return
		}
		switch {
		case guess < least:
			out, least, ties = mv, guess, 1
		case guess == least:
			if ties++; chance.IntN(ties) == 0 {
				out = mv
			}
		}
	})
	if out.who < 0 && spares > 0 {
		out = spare
	}
	return out, any
}
