package solve

// ruinDay dissolves sessions on the day of x and, if that is not enough, on the
// day after.
func ruinDay(k *rebuilder, x *session, most int) {
	d := k.s.t.day(x.day)
	for to := d + 1 + k.chance.IntN(2); d < to; d++ {
		var list []*session
		for at := range k.s.byStation {
			list = append(list, k.s.heldOn(at, d)...)
		}
		k.chance.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
		for _, o := range list {
			if len(k.pending) >= most {
				return
			}
			k.clear(o)
		}
	}
}
