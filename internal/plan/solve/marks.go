package solve

// marks are fingerprints of what can matter on each day: the exclusive or of a
// number for each time near it. What was worked out under a fingerprint holds as
// long as it is the same, also after changes that were taken back. (Zobrist 1970.)
type marks struct {
	list []uint64
}

// flip adds or removes a time of day d in the fingerprints of the days within
// reach.
func (m *marks) flip(t *task, d, reach int, number uint64) {
	if m.list == nil {
		m.list = make([]uint64, t.days)
	}
	for i := max(0, d-reach); i < min(len(m.list), d+reach+1); i++ {
		m.list[i] ^= number
	}
}

// at returns the fingerprint of a day, never 0.
func (m *marks) at(d int) uint64 {
	if m.list == nil {
		return unmarked
	}
	return m.list[d] ^ unmarked
}

const unmarked = 0x9e3779b97f4a7c15

// scramble spreads a number over all bits (the finish of SplitMix64, Steele, Lea
// and Flood 2014).
func scramble(x uint64) uint64 {
	x += unmarked
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}
