package solve

import (
	"math"
	"slices"

	"rungbook/internal/plan"
)

// team is what a session asks of its staff.
type team struct {
	teachers int // instructors that the ratio needs
	staff    int // instructors and standby rescuers together
	aiders   int // of those with first aid
	rescue   *plan.Rescue
}

// shortage says how many people are missing for each rule.
type shortage struct{ teachers, staff, aiders, rescue int }

// short returns what a staff is short of: so many instructors and standby
// rescuers, of whom standby are valid rescuers; of all of them aiders have first
// aid, and counted instructors are valid rescuers.
func (t team) short(instructors, rescuers, standby, aiders, counted int) shortage {
	s := shortage{
		teachers: max(0, t.teachers-instructors),
		staff:    max(0, t.staff-instructors-rescuers),
		aiders:   max(0, t.aiders-aiders),
	}
	if r := t.rescue; r != nil {
		s.rescue = max(0, r.StandbyMin-standby) + max(0, r.Rescuers-standby-t.credit(instructors, counted))
	}
	return s
}

// rules returns which of ratio, staff-min, first-aid and rescue-cover are broken.
func (s shortage) rules() rules {
	return ratio.when(s.teachers > 0) | staffMin.when(s.staff > 0) | firstAid.when(s.aiders > 0) | rescueCover.when(s.rescue > 0)
}

func (s shortage) sum() int { return s.teachers + s.staff + s.aiders + s.rescue }

// credit returns how many instructors count as rescuers: with standby asked, only
// those beyond the ratio, since someone busy on the rope rescues nobody.
func (t team) credit(instructors, counted int) int {
	switch {
	case !t.rescue.OwnInstructorsCount:
		return 0
	case t.rescue.StandbyMin > 0:
		return min(counted, max(0, instructors-t.teachers))
	}
	return counted
}

// most returns a number of staff beyond which more people never help: the ratio's
// instructors, one for each rescuer and first aider asked, and then any to make up
// the numbers.
func (t team) most() int {
	n := t.teachers + t.aiders
	if t.rescue != nil {
		n += max(t.rescue.StandbyMin, t.rescue.Rescuers)
	}
	return max(n, t.staff)
}

// mate is somebody who could join a team.
type mate struct {
	person, body           int
	teaches, rescues, aids bool
	shared                 bool  // another mate may be the same body
	price                  price // of having them
}

// price orders mates and teams: people who come in only for this session first,
// then the minutes they already have that week.
type price int64

const comesIn price = 1 << 40

// kind numbers what somebody can do: those of one kind can stand in for each
// other, so the cheapest of a kind is always taken first.
func (m *mate) kind() int {
	k := 0
	for i, can := range [3]bool{m.teaches, m.rescues, m.aids} {
		if can {
			k |= 1 << i
		}
	}
	return k
}

// search looks for the cheapest team among mates sorted by price.
type search struct {
	team
	mates     []mate
	sums      []price  // sums[i] = price of the first i mates
	left      [][3]int // left[i] = teachers, rescuers, aiders among mates[i:]
	room      int      // how many staff the rig still bears
	size      int      // how many to choose in all; -1 = any number up to cap
	cap       int
	at        staffing // the team being tried
	best      staffing
	found     bool
	bestPrice price
	bestShort [2]int // of a short team: broken rules, people missing
	price     price
}

// staffing is a choice of staff.
type staffing struct {
	instructors, rescuers []int // people
	bodies                []int
	aiders, counted       int
}

func (s *staffing) copyTo(to *staffing) {
	to.instructors = append(to.instructors[:0], s.instructors...)
	to.rescuers = append(to.rescuers[:0], s.rescuers...)
	to.bodies = append(to.bodies[:0], s.bodies...)
	to.aiders, to.counted = s.aiders, s.counted
}

func (s *staffing) size() int { return len(s.instructors) + len(s.rescuers) }

// join and leave add a mate in a part and take the last one off again.
func (s *staffing) join(m *mate, as part) {
	if as == asInstructor {
		s.instructors = append(s.instructors, m.person)
		s.counted += count(m.rescues)
	} else {
		s.rescuers = append(s.rescuers, m.person)
	}
	s.aiders += count(m.aids)
	s.bodies = append(s.bodies, m.body)
}

func (s *staffing) leave(m *mate, as part) {
	if as == asInstructor {
		s.instructors = s.instructors[:len(s.instructors)-1]
		s.counted -= count(m.rescues)
	} else {
		s.rescuers = s.rescuers[:len(s.rescuers)-1]
	}
	s.aiders -= count(m.aids)
	s.bodies = s.bodies[:len(s.bodies)-1]
}

func count(b bool) int {
	if b {
		return 1
	}
	return 0
}

// newSearch prepares a search. chosen are those who take part in any case; mates
// are sorted by price and hold none of them.
func newSearch(need team, chosen staffing, mates []mate, room int) *search {
	s := &search{at: chosen}
	s.begin(need, mates, room)
	return s
}

// begin prepares a search whose s.at holds those who take part in any case; it
// keeps the room that an earlier search took.
func (s *search) begin(need team, mates []mate, room int) {
	s.team, s.mates, s.room, s.cap = need, mates, room, s.at.size()+need.most()
	s.found, s.price = false, 0
	s.sums = slices.Grow(s.sums[:0], len(mates)+1)[:len(mates)+1]
	s.left = slices.Grow(s.left[:0], len(mates)+1)[:len(mates)+1]
	s.sums[0], s.left[len(mates)] = 0, [3]int{}
	for i := range mates {
		s.sums[i+1] = s.sums[i] + mates[i].price
	}
	for i := len(mates) - 1; i >= 0; i-- {
		m := &mates[i]
		l := s.left[i+1]
		s.left[i] = [3]int{l[0] + count(m.teaches), l[1] + count(m.rescues), l[2] + count(m.aids)}
	}
}

// complete returns the smallest and then cheapest team that lacks nothing and
// fits the rig. Of equal teams the one whose people come first in mates wins.
func (s *search) complete() (staffing, price, bool) {
	most := min(s.room, s.cap, s.at.size()+len(s.mates))
	for s.size = max(s.at.size(), s.teachers, s.staff); s.size <= most; s.size++ {
		s.bestPrice = math.MaxInt64
		s.exact(0, 0)
		if s.found {
			return s.best, s.bestPrice, true
		}
	}
	return staffing{}, 0, false
}

// exact tries mates[i:] for the places still free. barred are the kinds of which
// a cheaper mate was left out.
func (s *search) exact(i int, barred uint8) {
	free := s.size - s.at.size()
	if free == 0 {
		if s.price < s.bestPrice && s.lacking(&s.at).sum() == 0 {
			s.at.copyTo(&s.best)
			s.bestPrice, s.found = s.price, true
		}
		return
	}
	if i+free > len(s.mates) || s.price+s.sums[i+free]-s.sums[i] >= s.bestPrice || s.hopeless(i, free) {
		return
	}
	m := &s.mates[i]
	kind := uint8(1) << m.kind()
	if barred&kind == 0 && !(m.shared && slices.Contains(s.at.bodies, m.body)) {
		s.price += m.price
		for _, as := range [2]part{asInstructor, asRescuer} {
			if m.can(as) {
				s.at.join(m, as)
				s.exact(i+1, barred)
				s.at.leave(m, as)
			}
		}
		s.price -= m.price
	}
	if !m.shared {
		barred |= kind
	}
	s.exact(i+1, barred)
}

func (m *mate) can(as part) bool {
	if as == asInstructor {
		return m.teaches
	}
	return m.rescues
}

// lacking returns what a staff is short of.
func (s *search) lacking(at *staffing) shortage {
	return s.short(len(at.instructors), len(at.rescuers), len(at.rescuers), at.aiders, at.counted)
}

// broken returns the rules that a staff breaks.
func (s *search) broken(at *staffing) rules {
	return s.lacking(at).rules() | rigHeadcount.when(at.size() > s.room)
}

// hopeless reports whether mates[i:] can't supply what is missing, even if each
// of the free places did all it can.
func (s *search) hopeless(i, free int) bool {
	l := s.left[i]
	standby := 0
	if s.rescue != nil {
		standby = s.rescue.StandbyMin
	}
	return len(s.at.instructors)+min(free, l[0]) < s.teachers ||
		len(s.at.rescuers)+min(free, l[1]) < standby ||
		s.at.aiders+min(free, l[2]) < s.aiders
}

// nearest returns the team that breaks fewest rules, then lacks fewest people,
// then is smallest, then cheapest, and what it breaks: for a refusal.
func (s *search) nearest() (staffing, rules) {
	s.found = false
	s.any(0, 0)
	return s.best, s.broken(&s.best)
}

// any tries every team of mates[i:] in which each one fills a gap.
func (s *search) any(i int, barred uint8) {
	gap := s.lacking(&s.at).sum()
	short := [2]int{s.broken(&s.at).count(), gap}
	if !s.found || slices.Compare(short[:], s.bestShort[:]) < 0 || short == s.bestShort &&
		(s.at.size() < s.best.size() || s.at.size() == s.best.size() && s.price < s.bestPrice) {
		s.at.copyTo(&s.best)
		s.bestShort, s.bestPrice, s.found = short, s.price, true
	}
	for ; i < len(s.mates); i++ {
		m := &s.mates[i]
		kind := uint8(1) << m.kind()
		if barred&kind != 0 || m.shared && slices.Contains(s.at.bodies, m.body) {
			continue
		}
		s.price += m.price
		for _, as := range [2]part{asInstructor, asRescuer} {
			if !m.can(as) {
				continue
			}
			s.at.join(m, as)
			if s.lacking(&s.at).sum() < gap {
				s.any(i+1, barred)
			}
			s.at.leave(m, as)
		}
		s.price -= m.price
		if !m.shared {
			barred |= kind
		}
	}
}
