package bound

import "math/bits"

// paced raises a dual bound by moving every price at a pace of its own: the more a
// rule has been overstepped so far, the smaller its steps (Duchi, Hazan and Singer
// 2011), along an average of the excesses seen. Paces slow down to nothing, then a
// longer round begins from the best prices. Where only needs left out count, most
// prices are best at 0 and few matter, and one step length for all, as in climb,
// gets nowhere. As there, it is exact arithmetic, and only the dual proves.
type paced struct {
	d         *dual
	best      int64
	at, here  *prices
	seen, way [5][]int64 // squares of excesses summed; their average, in parts of 1/fine
	pace      int64
	step1     int  // steps of this round
	round     int  // steps in this round
	rose      bool // in this round
	idle      int  // rounds without a rise
	settled   bool // as high as these prices get it
}

const (
	firstRound = 160
	lastRound  = 1280
)

// newPaced starts from the best of the given prices.
func newPaced(d *dual, from []*prices, pace int64) *paced {
	c := &paced{d: d, here: newPrices(d.f, len(d.cuts)), pace: pace, round: firstRound}
	for i, x := range from {
		if v := d.value(x); i == 0 || v > c.best {
			c.best, c.at = v, x
		}
	}
	c.begin()
	return c
}

// begin begins a round at the best prices.
func (c *paced) begin() {
	c.here.copyFrom(c.at)
	c.step1, c.rose = 0, false
	for i, list := range c.here.lists() {
		c.seen[i], c.way[i] = make([]int64, len(list)), make([]int64, len(list))
	}
}

// step evaluates the dual once and moves the prices. It reports whether the bound
// rose.
func (c *paced) step() (rose bool) {
	if c.settled {
		return false
	}
	if v := c.d.value(c.here); v > c.best {
		c.best, rose, c.rose = v, true, true
		c.at.copyFrom(c.here)
	}
	pace := c.pace
	if half := c.round / 2; c.step1 > half {
		pace = pace * int64(c.round-c.step1) / int64(half)
	}
	over := c.d.over.lists()
	for i, list := range c.here.lists() {
		if i == cutPrices || (!c.d.staffed && (i == 1 || i == 2)) {
			continue
		}
		c.move(list, over[i], c.seen[i], c.way[i], pace)
	}
	if c.step1++; c.step1 == c.round {
		if c.idle++; c.rose {
			c.idle = 0
		}
		c.settled = c.idle > 1
		c.round = min(lastRound, c.round*2)
		c.pace = max(1, c.pace*2/3)
		c.begin()
	}
	return rose
}

func (c *paced) move(price, over, seen, way []int64, pace int64) {
	most := c.d.w.unplaced
	for k, v := range over {
		seen[k] += v * v
		way[k] += (v*fine - way[k]) / 10
		if seen[k] > 0 {
			price[k] = min(most, max(0, price[k]+pace*way[k]/(fine*root(seen[k]))))
		}
	}
}

// root is the square root, rounded down.
func root(n int64) int64 {
	r := int64(1) << ((bits.Len64(uint64(n)) + 1) / 2)
	for {
		next := (r + n/r) / 2
		if next >= r {
			return r
		}
		r = next
	}
}
