package solve

import (
	"cmp"
	"slices"

	"rungbook/internal/civil"
)

// snapshot is a copy of a state's sessions.
type snapshot struct{ sessions []session }

func (n *snapshot) copyFrom(s *state) {
	n.sessions = n.sessions[:0]
	for _, x := range s.sessions {
		n.sessions = append(n.sessions, *x)
	}
}

func (n *snapshot) copyOf(m *snapshot) { n.sessions = append(n.sessions[:0], m.sessions...) }

// sort brings the sessions into a total order that does not hang on how they came
// about.
func (n *snapshot) sort() {
	slices.SortFunc(n.sessions, func(a, b session) int {
		return cmp.Or(cmp.Compare(a.span.Start, b.span.Start), cmp.Compare(a.station, b.station), cmp.Compare(a.exercise, b.exercise))
	})
}

// berthAt is what no two sessions share.
type berthAt struct {
	station int
	start   civil.Instant
}

// restore makes the state hold the sessions of a snapshot. What is the same
// already stays.
func (s *state) restore(n *snapshot) {
	wanted := make(map[berthAt]*session, len(n.sessions))
	for i := range n.sessions {
		x := &n.sessions[i]
		wanted[berthAt{x.station, x.span.Start}] = x
	}
	for i := len(s.sessions) - 1; i >= 0; i-- {
		x := s.sessions[i]
		at := berthAt{x.station, x.span.Start}
		if w := wanted[at]; w != nil && w.equals(x) {
			delete(wanted, at)
			continue
		}
		s.offBoard(x)
	}
	for i := range n.sessions {
		x := &n.sessions[i]
		if wanted[berthAt{x.station, x.span.Start}] != x {
			continue
		}
		c := *x
		if !c.bound && x.told == nil {
			s.made++
			c.id = serialID(s.made)
		}
		c.old, c.same = 0, false
		s.recognise(&c)
		s.onBoard(&c)
	}
	s.log = s.log[:0]
}

func (x *session) equals(y *session) bool {
	return x.exercise == y.exercise && x.station == y.station && x.span.Start == y.span.Start &&
		slices.Equal(x.trainees, y.trainees) && slices.Equal(x.instructors, y.instructors) && slices.Equal(x.rescuers, y.rescuers)
}

// less orders snapshots of equal cost.
func (n *snapshot) less(m *snapshot) bool {
	return slices.CompareFunc(n.sessions, m.sessions, func(a, b session) int {
		return cmp.Or(cmp.Compare(a.span.Start, b.span.Start), cmp.Compare(a.station, b.station), cmp.Compare(a.exercise, b.exercise),
			slices.Compare(a.trainees, b.trainees), slices.Compare(a.instructors, b.instructors), slices.Compare(a.rescuers, b.rescuers))
	}) < 0
}
