package solve

import "rungbook/internal/civil"

// ruinDay dissolves sessions on the day of x and, if that is not enough, on the
// days after.
func ruinDay(k *rebuilder, x *session, most int) {
	d := k.s.t.day(x.day)
	for to := d + 1 + k.chance.IntN(2); d < to; d++ {
		var list []*session
		for i := range k.s.byStation {
			r := k.s.byStation[i]
			for _, o := range r[r.from(k.s.c.midnight(k.s.c.from+civil.Day(d)).Add(-k.s.longest)):] {
				if at := k.s.t.day(o.day); at > d {
					break
				} else if at == d {
					list = append(list, o)
				}
			}
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
