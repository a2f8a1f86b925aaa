package bound

// value returns the most that the sessions of a day on one station are worth,
// each place k at most most[k] times. took hears how often each is taken.
//
// Proof. Sessions on one station take their steps of its size (see newYard); the
// best set of them under that one rule is a bounded knapsack, solved by the
// textbook recursion over sizes, one copy after another.
func (b *berth) value(worth []int64, most []int, took func(place, times int)) int64 {
	unit := b.size
	for _, s := range b.step {
		unit = gcd(unit, s)
	}
	size := int(b.size / max(1, unit))
	best := make([]int64, size+1)
	type copyOf struct {
		place int
		takes []bool // by size: better with this copy
	}
	var copies []copyOf
	for i, k := range b.places {
		step := int(b.step[i] / unit)
		if worth[k] <= 0 || step > size {
			continue
		}
		for range min(most[k], size/step) {
			c := copyOf{i, make([]bool, size+1)}
			for s := size; s >= step; s-- {
				if v := best[s-step] + worth[k]; v > best[s] {
					best[s], c.takes[s] = v, true
				}
			}
			copies = append(copies, c)
		}
	}
	s, times := size, make([]int, len(b.places))
	for j := len(copies) - 1; j >= 0; j-- {
		if c := copies[j]; c.takes[s] {
			s -= int(b.step[c.place] / unit)
			times[c.place]++
		}
	}
	for i, n := range times {
		if n > 0 {
			took(b.places[i], n)
		}
	}
	return best[size]
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
