package bound

import (
	"cmp"
	"math/bits"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// lattice is the order in which a kind of trainee can do what they need: states
// are the sets of needs done, steps what one day adds.
//
// Proof that every valid plan is a path. Whatever a trainee has done by the end
// of a day is closed under order: an exercise is done only after what it comes
// after, which the trainee needs (and then did in this plan before it), or has
// done before the plan; where neither holds it is never done. So days lead from
// one closed set to a larger one. What one day adds is left out of the lattice
// only if no day can hold it: its minutes, its minutes at height, or the time from
// its first start to its last end. That time is at least the sum of its sessions,
// each but one rounded up to the grid; at least this sum and the breaks that a
// longest stretch asks beyond the pauses in them; and at least every chain of its
// exercises with their least gaps. max_gap and gaps over nights are left out.
type lattice struct {
	sets    []uint32 // of needs done, larger sets first
	steps   []int32  // steps from set s are those from steps[s] to steps[s+1]
	to, add []int32  // of each step: the set it leads to, the pattern it adds
	adds    []pattern
	empty   int // the index of the empty set
}

// pattern are needs done in one day and what they ask of the day.
type pattern struct {
	needs uint32
	limits
}

const (
	mostNeeds = 24     // of one lattice; needs beyond it are priced one by one
	mostSets  = 6000   // closed sets of a lattice
	mostSteps = 200000 // steps of a lattice
)

// weaver builds a lattice.
type weaver struct {
	f        *facts
	needs    []int
	before   []uint32          // by need: needs it comes after
	gaps     [][]civil.Minutes // by need: least gap to each earlier one
	never    uint32            // needs that can't be done at all
	policies []plan.RestPolicy
	most     limits
	index    map[uint32]int32 // of patterns
	l        *lattice
}

// newLattice returns nil where it would grow too large. all are the ids of
// everything the trainee needs, of which needs may be a part.
func (f *facts) newLattice(needs []int, done map[string]bool, all []string, policies []plan.RestPolicy) *lattice {
	w := &weaver{f: f, needs: needs, policies: policies, index: make(map[uint32]int32), l: &lattice{}}
	w.order(done, all)
	var longest civil.Minutes
	for _, d := range f.days {
		if n := len(d.starts); n > 0 {
			longest = max(longest, d.starts[n-1].until.Sub(d.starts[0].at))
		}
	}
	w.most = limitsOf(policies, nil, civil.Period{}, longest)
	if !w.closedSets() {
		return nil
	}
	for s, set := range w.l.sets {
		w.l.steps = append(w.l.steps, int32(len(w.l.to)))
		w.extend(set, 0, 0)
		if set == 0 {
			w.l.empty = s
		}
		if len(w.l.to) > mostSteps {
			return nil
		}
	}
	w.l.steps = append(w.l.steps, int32(len(w.l.to)))
	w.aim()
	return w.l
}

// order finds what each need comes after.
func (w *weaver) order(done map[string]bool, all []string) {
	at := make(map[string]int)
	for i, n := range w.needs {
		at[w.f.exercises[n].ID] = i
	}
	for i, n := range w.needs {
		w.before, w.gaps = append(w.before, 0), append(w.gaps, make([]civil.Minutes, i))
		for _, a := range w.f.exercises[n].After {
			j, needed := at[a.Exercise]
			switch {
			case done[a.Exercise]:
			case needed:
				w.before[i] |= 1 << j
				w.gaps[i][j] = max(w.gaps[i][j], a.MinGap)
			case !slices.Contains(all, a.Exercise):
				w.never |= 1 << i
			}
		}
	}
}

// closedSets lists every set of needs that is closed under order.
func (w *weaver) closedSets() bool {
	seen := map[uint32]bool{0: true}
	list := []uint32{0}
	for k := 0; k < len(list); k++ {
		for i := range w.needs {
			bit := uint32(1) << i
			if next := list[k] | bit; w.mayAdd(list[k], i) && !seen[next] {
				seen[next], list = true, append(list, next)
			}
		}
		if len(list) > mostSets {
			return false
		}
	}
	slices.SortFunc(list, func(a, b uint32) int {
		return cmp.Or(cmp.Compare(bits.OnesCount32(b), bits.OnesCount32(a)), cmp.Compare(a, b))
	})
	w.l.sets = list
	return true
}

func (w *weaver) mayAdd(set uint32, i int) bool {
	return (set|w.never)>>i&1 == 0 && w.before[i]&^set == 0
}

// extend adds every step from a set whose pattern holds add and needs from next
// on. Needs stand in order, so each pattern is built once, and its beginnings,
// which ask no more of the day, are possible too.
func (w *weaver) extend(set, add uint32, next int) {
	for i := next; i < len(w.needs) && len(w.l.to) <= mostSteps; i++ {
		if !w.mayAdd(set|add, i) {
			continue
		}
		more := add | 1<<i
		k, known := w.index[more]
		if !known {
			a := w.ask(more)
			k = -1
			if a.minutes <= w.most.minutes && a.height <= w.most.height && a.span <= w.most.span {
				k = int32(len(w.l.adds))
				w.l.adds = append(w.l.adds, pattern{more, a})
			}
			w.index[more] = k
		}
		if k >= 0 {
			w.l.to, w.l.add = append(w.l.to, int32(set|more)), append(w.l.add, k)
			w.extend(set, more, i+1)
		}
	}
}

// aim turns the sets that steps lead to into indexes.
func (w *weaver) aim() {
	at := make(map[uint32]int32, len(w.l.sets))
	for s, set := range w.l.sets {
		at[set] = int32(s)
	}
	for k := range w.l.to {
		w.l.to[k] = at[uint32(w.l.to[k])]
	}
}

// ask is what a pattern asks of a day.
func (w *weaver) ask(needs uint32) (l limits) {
	var whole, rounded, pieces, pauses, slack civil.Minutes
	ends := make([]civil.Minutes, len(w.needs))
	var chain civil.Minutes
	for i, n := range w.needs {
		if needs>>i&1 == 0 {
			continue
		}
		e := &w.f.exercises[n]
		l.minutes += e.net()
		if e.height {
			l.height += e.net()
		}
		up := ceilDiv64(e.Minutes, w.f.grid) * w.f.grid
		whole, rounded, slack = whole+e.Minutes, rounded+up, max(slack, up-e.Minutes)
		pieces, pauses = pieces+e.net(), pauses+e.pauses
		for j := range i {
			if needs>>j&1 == 1 && w.before[i]>>j&1 == 1 {
				ends[i] = max(ends[i], ends[j]+w.gaps[i][j])
			}
		}
		ends[i] += e.Minutes
		chain = max(chain, ends[i])
	}
	l.span = max(rounded-slack, chain, whole+idle(w.policies, pieces, pauses))
	return l
}

// idle is at least how long a body rests between its sessions of one day. Pieces
// of work less than a break apart form chains no longer than a stretch, so there
// are ⌈pieces/stretch⌉ chains or more, with a break or a pause as long between.
func idle(policies []plan.RestPolicy, pieces, pauses civil.Minutes) (out civil.Minutes) {
	for _, r := range policies {
		if r.Stretch > 0 && pieces > 0 {
			out = max(out, (ceilDiv64(pieces, r.Stretch)-1)*r.Break-pauses)
		}
	}
	return out
}

func ceilDiv64(a, b civil.Minutes) civil.Minutes { return (a + b - 1) / b }
