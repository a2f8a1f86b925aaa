package solve

// ruinIntake unseats part of an intake, or all of it: the trainees of x and others
// who came with them, over their whole time.
func ruinIntake(k *rebuilder, x *session, most int) {
	in := k.s.t.intakeOf[x.trainees[k.chance.IntN(len(x.trainees))]]
	members := k.s.t.intakes[in].trainees
	first := k.chance.IntN(len(members))
	for i := range members {
		t := members[(first+i)%len(members)]
		if len(k.pending) >= 2*most {
			return
		}
		k.unseatTrainee(t)
	}
}

// unseatTrainee unseats all of a trainee's needs.
func (k *rebuilder) unseatTrainee(t int) {
	for _, n := range k.s.t.needsOf[t] {
		if o := k.s.where[n]; o != nil && k.mayUnseat(o) {
			k.unseat(n, func(m int) { k.take(m) })
		}
	}
}
