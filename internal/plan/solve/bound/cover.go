package bound

// cover answers how many staff minutes it takes at least to seat a number of
// trainees in sessions of one exercise.
type cover struct {
	least []int64 // by trainees seated
	slope []int64 // by trainees seated: the most that leaving u of them out saves, a head, rounded up
}

// mostCovered is the most trainees for which partitions are worked out one by one.
const mostCovered = 1000

// newCover works out the least staff minutes by the number of trainees.
//
// Proof. Sessions that together seat n given trainees (and perhaps others) split
// them into parts; a part of s comes from a session with s or more trainees, which
// costs at least w(s) = hold × the least staff of a crew that seats s or more, on
// whichever station it needs fewest. So the whole costs at least the least
// Σ w(s_i) over all ways to write n = Σ s_i, found by the recursion
// least(n) = min over s of w(s) + least(n − s). w rises only where a crew's seats
// end, and least is monotone, so s may be taken as large as the crew allows.
func (f *facts) newCover(e *exercise) (c cover) {
	var all []crew
	for _, at := range e.places {
		all = append(all, f.places[at].crews...)
	}
	n := min(e.needs, mostCovered)
	c.least, c.slope = make([]int64, n+1), make([]int64, n+1)
	if len(all) == 0 {
		return c
	}
	hold := int64(e.hold())
	for k := 1; k <= n; k++ {
		c.least[k] = -1
		for _, w := range all {
			if v := hold*int64(w.staff) + c.least[max(0, k-w.seats)]; c.least[k] < 0 || v < c.least[k] {
				c.least[k] = v
			}
		}
		for u := 1; u <= k; u++ {
			c.slope[k] = max(c.slope[k], ceilDiv(c.least[k]-c.least[k-u], int64(u)))
		}
	}
	return c
}

// of returns the least staff minutes for n trainees. More than were worked out
// cost at least as much as those.
func (c *cover) of(n int) int64 { return c.least[min(n, len(c.least)-1)] }

// slopeOf bounds from above what a plan saves a head by leaving some of n out.
func (c *cover) slopeOf(n int) int64 { return c.slope[min(n, len(c.slope)-1)] }

func ceilDiv(a, b int64) int64 {
	q := a / b
	if a%b > 0 {
		q++
	}
	return q
}
