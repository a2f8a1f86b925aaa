package solve

// ruinTeacher dissolves the sessions of one of the staff of x nearest to it in
// time; of two it takes the one whose skills are rarer.
func ruinTeacher(k *rebuilder, x *session, most int) {
	staff := len(x.instructors)
	if staff == 0 {
		return
	}
	p := x.instructors[k.chance.IntN(staff)]
	if q := x.instructors[k.chance.IntN(staff)]; k.s.t.value[q] > k.s.t.value[p] {
		p = q
	}
	var r row
	for _, tm := range k.s.bodies[k.s.c.people[p].body].list {
		if tm.s != nil && (tm.as == asInstructor || tm.as == asRescuer) {
			r = append(r, tm.s)
		}
	}
	k.clearRow(r, x, most)
}
