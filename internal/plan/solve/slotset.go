package solve

import (
	"math/bits"
	"sort"

	"rungbook/internal/civil"
)

// slotSet is a set of a day's starts, one bit each.
type slotSet []uint64

func (s slotSet) has(i int) bool { return s[i>>6]&(1<<(i&63)) != 0 }
func (s slotSet) add(i int)      { s[i>>6] |= 1 << (i & 63) }

func (s slotSet) empty() bool {
	for _, w := range s {
		if w != 0 {
			return false
		}
	}
	return true
}

// keep drops what is not in t.
func (s slotSet) keep(t slotSet) {
	for i := range s {
		s[i] &= t[i]
	}
}

// join adds what is in t.
func (s slotSet) join(t slotSet) {
	for i := range s {
		s[i] |= t[i]
	}
}

// addRange adds the starts [from, to).
func (s slotSet) addRange(from, to int) {
	for from < to {
		n := min(64-from&63, to-from)
		s[from>>6] |= (1<<n - 1) << (from & 63)
		from += n
	}
}

// drop removes the starts [from, to).
func (s slotSet) drop(from, to int) {
	for from < to {
		n := min(64-from&63, to-from)
		s[from>>6] &^= (1<<n - 1) << (from & 63)
		from += n
	}
}

// next returns the first start at i or later that is in the set, -1 if none is.
func (s slotSet) next(i int) int {
	for w := i >> 6; w < len(s); w++ {
		word := s[w]
		if w == i>>6 {
			word &= ^uint64(0) << (i & 63)
		}
		if word != 0 {
			return w<<6 + bits.TrailingZeros64(word)
		}
	}
	return -1
}

// prev returns the last start at i or earlier that is in the set, -1 if none is.
func (s slotSet) prev(i int) int {
	for w := i >> 6; w >= 0; w-- {
		word := s[w]
		if w == i>>6 {
			word &= ^uint64(0) >> (63 - i&63)
		}
		if word != 0 {
			return w<<6 + 63 - bits.LeadingZeros64(word)
		}
	}
	return -1
}

// starts are the instants of a day at which sessions may start, in order.
type starts []civil.Instant

// from returns the number of the first start at t or later.
func (s starts) from(t civil.Instant) int {
	if len(s) == 0 || t <= s[0] {
		return 0
	}
	return sort.Search(len(s), func(i int) bool { return s[i] >= t })
}

// at returns the number of the start t; ok is false if there is none.
func (s starts) at(t civil.Instant) (i int, ok bool) {
	i = s.from(t)
	return i, i < len(s) && s[i] == t
}

// meets reports whether the sets have a start in common.
func (s slotSet) meets(t slotSet) bool {
	for i := range s {
		if s[i]&t[i] != 0 {
			return true
		}
	}
	return false
}
