package solve

import "rungbook/internal/civil"

// crowd reports rig-headcount for a session on the board.
func (b *Board) crowd(s *session, f report) {
	rig := b.c.stations[s.station].rig
	there := s.hold
	if len(s.instructors)+len(s.rescuers) == 0 {
		there = s.span
		if len(s.trainees)+len(s.others) == 0 {
			return
		}
	}
	if most := b.c.rigs[rig]; most > 0 {
		over := 0
		b.peaks(rig, there, func(t civil.Instant) { over = max(over, b.peopleOn(rig, t)-most) })
		if over > 0 {
			f(fault{rule: rigHeadcount, session: s.id, at: int64(rig), excess: int64(over)})
		}
	}
}

// peaks calls f with the instants of p at which more people may come onto a rig:
// its start and every start inside it. A number that only falls between them is
// greatest at one of them.
func (b *Board) peaks(rig int, p civil.Period, f func(civil.Instant)) {
	if p.Length() > 0 {
		f(p.Start)
	}
	for _, s := range b.byRig[rig].near(p, 0, b.longest) {
		if p.Holds(s.hold.Start) {
			f(s.hold.Start)
		}
		if p.Holds(s.span.Start) {
			f(s.span.Start)
		}
	}
}

// peopleOn returns how many people the sessions of a rig bring at instant t:
// trainees and others in [start, end), staff in the hold.
func (b *Board) peopleOn(rig int, t civil.Instant) int {
	n := 0
	for _, s := range b.byRig[rig].near(civil.Period{Start: t, End: t + 1}, 0, b.longest) {
		if s.hold.Holds(t) {
			n += len(s.instructors) + len(s.rescuers)
		}
		if s.span.Holds(t) {
			n += len(s.trainees) + len(s.others)
		}
	}
	return n
}

// room returns how many staff a rig still bears throughout a hold, beside n
// people who come for the span inside it; the most there is if it has no limit.
func (b *Board) room(rig, n int, hold, span civil.Period) int {
	most := b.c.rigs[rig]
	if most == 0 {
		return noLimit
	}
	left := most
	see := func(t civil.Instant) {
		here := b.peopleOn(rig, t)
		if span.Holds(t) {
			here += n
		}
		left = min(left, most-here)
	}
	b.peaks(rig, hold, see)
	if span.Length() > 0 {
		see(span.Start)
	}
	return left
}

const noLimit = 1 << 20

// short reports kit for a session on the board.
func (b *Board) short(s *session, f report) {
	for k := range b.c.kits {
		if b.c.takes(s, k) == 0 {
			continue
		}
		if over := b.kitOver(k, s.hold, 0); over > 0 {
			f(fault{rule: kitUse, session: s.id, at: int64(k), excess: int64(over)})
		}
	}
}

// kitOver returns by how much, at the worst instant of a hold, more of a kit is
// taken than there is, if n more pieces are taken throughout; 0 or less if enough
// are there.
func (b *Board) kitOver(k int, hold civil.Period, n int) int {
	over := -noLimit
	see := func(t civil.Instant) {
		if hold.Holds(t) {
			over = max(over, n+b.kitTaken(k, t)-b.c.kits[k].thereAt(t))
		}
	}
	see(hold.Start)
	for _, s := range b.byKit[k].near(hold, 0, b.longest) {
		see(s.hold.Start)
	}
	for _, shut := range b.c.kits[k].shut {
		see(shut.From)
	}
	return over
}

func (b *Board) kitTaken(k int, t civil.Instant) int {
	n := 0
	for _, s := range b.byKit[k].near(civil.Period{Start: t, End: t + 1}, 0, b.longest) {
		if s.hold.Holds(t) {
			n += b.c.takes(s, k)
		}
	}
	return n
}

// thereAt returns how many pieces are not shut at t.
func (k *kit) thereAt(t civil.Instant) int {
	n := k.count
	for _, shut := range k.shut {
		if shut.Period().Holds(t) {
			n -= shut.Count
		}
	}
	return max(0, n)
}
