package solve

import "math/rand/v2"

// choice picks one of several ways, those that have paid lately more often
// (Ropke and Pisinger 2006, section 3.4).
type choice struct {
	weight, gain, uses []int64
	spent              int
}

const (
	evenWeight  = 1 << 10
	leastWeight = 1 << 6
	segment     = 200 // picks between two times the weights are set anew
)

func newChoice(n int) *choice {
	c := &choice{make([]int64, n), make([]int64, n), make([]int64, n), 0}
	for i := range c.weight {
		c.weight[i] = evenWeight
	}
	return c
}

func (c *choice) pick(chance *rand.Rand) int {
	var sum int64
	for _, w := range c.weight {
		sum += w
	}
	at := chance.Int64N(sum)
	for i, w := range c.weight {
		if at < w {
			return i
		}
		at -= w
	}
	panic("a number below the sum of weights lies in one of them")
}

// reward tells how a pick did: in points, 0 = nothing came of it.
func (c *choice) reward(i int, points int64) {
	c.gain[i] += points
	c.uses[i]++
	c.spent++
	if c.spent < segment {
		return
	}
	c.spent = 0
	for i := range c.weight {
		if c.uses[i] > 0 {
			c.weight[i] = max(leastWeight, (3*c.weight[i]+evenWeight*c.gain[i]/c.uses[i])/4)
		}
		c.gain[i], c.uses[i] = 0, 0
	}
}
