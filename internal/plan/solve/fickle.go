package solve

// A body whose policy asks for several weekly rests is fickle: taking a session
// away can break the rule, because two stretches become one. Everything else that
// stands stays valid when a session goes. So what fickle bodies have is judged
// once more after each step.

// compileFickle notes the fickle bodies.
func (t *task) compileFickle() {
	t.fickle = make([]bool, len(t.c.bodies))
	for i := range t.c.bodies {
		for _, p := range t.c.bodies[i].policies {
			if p.WeeklyRest > 0 && p.WeeklyRestCount > 1 {
				t.fickle[i], t.anyFickle = true, true
			}
		}
	}
}

// restless reports whether a fickle body lacks a weekly rest after the changes in
// the log.
func (s *state) restless() bool {
	if !s.t.anyFickle {
		return false
	}
	lacks := false
	see := func(r *role) {
		if !lacks && s.t.fickle[r.body] {
			s.bodyFaults(r.body, func(fault) { lacks = true })
		}
	}
	for _, ch := range s.log {
		for _, list := range [4][]int{ch.s.instructors, ch.s.rescuers, ch.instructors, ch.rescuers} {
			for _, p := range list {
				see(&s.c.people[p].role)
			}
		}
		for _, list := range [2][]int{ch.s.trainees, ch.trainees} {
			for _, t := range list {
				see(&s.c.trainees[t].role)
			}
		}
	}
	return lacks
}
