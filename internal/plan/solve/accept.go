package solve

import (
	"math/bits"
	"math/rand/v2"
)

// newChance returns the stream of chance of one logical search.
func newChance(seed, number uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, number)) }

// annealing accepts worse states the less often the worse they are and the further
// it has cooled (Kirkpatrick, Gelatt and Vecchi 1983). It counts steps, never time,
// and holds no fractions, so that it does the same on every machine. It cools in
// cycles, each longer than the last, so that it may be stopped at any time.
type annealing struct {
	hot, cold int64 // temperatures in 1024ths of the cost's unit
	step      int64 // within the cycle
	length    int64 // of the cycle
}

// temperature falls from hot to cold along a parabola.
func (a *annealing) temperature() int64 {
	left := a.length - a.step
	// left ≤ length < 2^31 and hot < 2^60 / 2^20: no product overflows.
	share := left << 20 / a.length
	share = share * share >> 20
	return a.cold + (a.hot-a.cold)>>10*share>>10
}

// allows draws by how much the cost may rise with the next change.
func (a *annealing) allows(chance *rand.Rand) int64 {
	return a.temperature() * surprise[chance.IntN(len(surprise))] >> 16 >> 10
}

// next counts a step; it reports whether a cycle has ended.
func (a *annealing) next() bool {
	a.step++
	if a.step < a.length {
		return false
	}
	a.step, a.length = 0, min(2*a.length, 1<<30)
	return true
}

// surprise[i] is −ln((i+½)/n) in 65536ths: worse ≤ T × surprise happens with
// probability e^(−worse/T).
var surprise = surprises(256)

func surprises(n int) []int64 {
	out := make([]int64, n)
	for i := range out {
		// −ln(x) = ln 2 × (log2(2n) − log2(2i+1)); ln 2 in 2^-32.
		const ln2 = 2977044472
		out[i] = int64((log2(uint64(2*n)) - log2(uint64(2*i+1))) * ln2 >> 48)
	}
	return out
}

// log2 returns the binary logarithm of x ≥ 1 in 2^-32 by repeated squaring
// (Knuth, The Art of Computer Programming 1, 1.2.2), here to 28 places.
func log2(x uint64) uint64 {
	whole := uint64(bits.Len64(x) - 1)
	out := whole << 32
	x <<= 31 - whole // 1 ≤ x/2^31 < 2
	for i := 31; i > 3; i-- {
		x = x * x >> 31
		if x >= 1<<32 {
			out |= 1 << i
			x >>= 1
		}
	}
	return out
}
