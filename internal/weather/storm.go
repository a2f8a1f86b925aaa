package weather

import "slices"

// stormHeight is the height above the ground of which gusts are told in storm
// warnings and in the rule book's line: 10 m, as weather services measure wind.
const stormHeight Height = 100

// Strongest returns the strongest wind of a reading as it was read, taken for 10 m
// above the ground: its gust, or its mean where that is all that was read. ok is false
// where it states no wind that blew. Nothing is guessed: an ordinary day's mean is no
// storm because nobody read its gust.
func (r Reading) Strongest() (s Speed, ok bool) {
	if r.Kind != Measured && r.Kind != StormPassed {
		return 0, false
	}
	for _, v := range []*Speed{r.Mean, r.Gust} {
		if v != nil {
			s, ok = max(s, *v), true
		}
	}
	if r.Height != nil {
		s = Raise(s, *r.Height, stormHeight)
	}
	return s, ok
}

// MayBeStorm reports whether a reading can be a storm by any rule book: it is told as
// one, or as strong as the least that a rule book may call one. What stood before a
// correction that nobody agreed to counts too.
func (r Reading) MayBeStorm(least Speed) bool {
	return slices.ContainsFunc(r.Blew(), func(b Reading) bool { return b.stormy(least) })
}

func (r Reading) stormy(least Speed) bool {
	strongest, ok := r.Strongest()
	return r.Kind == StormPassed || ok && strongest >= least
}
