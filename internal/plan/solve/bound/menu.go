package bound

// teachersOn is the most sessions of an exercise that the staff can teach on a
// day, counted a teacher each: for every person the most that one day of theirs
// holds if they teach nothing else.
func (f *facts) teachersOn(e, day int) (n int) {
	for i := range f.people {
		s := f.people[i].days[day]
		if s == nil {
			continue
		}
		for k, q := range s.parts {
			if q.exercise == e && q.teaches {
				n += s.book.mostOf(s.kinds[k])
			}
		}
	}
	return n
}

// mostOf is how often a kind fits into one day.
func (b *shiftBook) mostOf(k int) (n int) {
	if !b.worth {
		return int(b.span / max(1, b.kinds[k].span))
	}
	for _, full := range b.full {
		n = max(n, int(full[k]))
	}
	return n
}

// menu is what up to some number of sessions at one place on one day are worth.
//
// Proof. Sessions of an exercise on a day have no more teachers in all than
// teachersOn. So n sessions at a place are worth at most the best n crews whose
// teachers stay within it: a knapsack over crews, worked out one session after
// another. Where teachers are plenty it is n times the best crew.
type menu struct {
	worth []int64 // by number of sessions
	crews []crew  // those of the sessions last asked for
	value [][]int64
	with  [][]crew
}

// newMenu weighs up to most sessions; weigh says what one with a crew is worth.
func (m *menu) fill(crews []crew, most, teachers int, weigh func(crew) int64) {
	m.worth, m.value, m.with = m.worth[:0], m.value[:0], m.with[:0]
	last := make([]int64, teachers+1)
	m.worth = append(m.worth, 0)
	for range most {
		value, with := make([]int64, teachers+1), make([]crew, teachers+1)
		for _, c := range crews {
			w := weigh(c)
			if w <= 0 {
				continue
			}
			for t := c.teachers; t <= teachers; t++ {
				if v := last[t-c.teachers] + w; v > value[t] {
					value[t], with[t] = v, c
				}
			}
		}
		for t := range value { // a session fewer is allowed too
			if last[t] > value[t] {
				value[t], with[t] = last[t], crew{}
			}
			if t > 0 && value[t-1] > value[t] {
				value[t], with[t] = value[t-1], with[t-1]
			}
		}
		m.value, m.with = append(m.value, value), append(m.with, with)
		m.worth = append(m.worth, value[teachers])
		last = value
	}
}

// chosen lists the crews of the best n sessions.
func (m *menu) chosen(n, teachers int) []crew {
	m.crews = m.crews[:0]
	for t := teachers; n > 0; n-- {
		for t > 0 && m.value[n-1][t] == m.value[n-1][t-1] {
			t--
		}
		if c := m.with[n-1][t]; c.seats > 0 {
			m.crews = append(m.crews, c)
			t -= c.teachers
		}
	}
	return m.crews
}
