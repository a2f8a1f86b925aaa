package solve

// ruinGroup unseats the trainees of x on its day and the days around.
func ruinGroup(k *rebuilder, x *session, most int) {
	k.unseatGroup(x.trainees, k.s.t.day(x.day), most)
}

// unseatGroup unseats some trainees on a day and then on more and more days around
// it, until about most needs have lost their seat.
func (k *rebuilder) unseatGroup(group []int, d, most int) {
	from, to := d, d+1
	for width := 0; len(k.pending) < most && width < 14; width++ {
		for _, t := range group {
			for _, n := range k.s.t.needsOf[t] {
				o := k.s.where[n]
				if o == nil || !k.mayUnseat(o) {
					continue
				}
				if at := k.s.t.day(o.day); at >= from && at < to {
					k.unseat(n, func(m int) { k.take(m) })
				}
			}
		}
		if k.chance.IntN(2) == 0 {
			from--
		} else {
			to++
		}
	}
}
