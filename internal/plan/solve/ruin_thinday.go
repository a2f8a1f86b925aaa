package solve

import "rungbook/internal/civil"

// ruinThinDay looks for a day on which the trainees of x have little to do and
// unseats them on it and around it: a day that could be saved.
func ruinThinDay(k *rebuilder, x *session, most int) {
	t := x.trainees[k.chance.IntN(len(x.trainees))]
	thin, least := x, civil.Minutes(1)<<40
	for i, r := 0, k.s.byTrainee[t]; i < len(r); {
		first, sum := r[i], civil.Minutes(0)
		for ; i < len(r) && r[i].day == first.day; i++ {
			sum += r[i].minutes
		}
		sum += civil.Minutes(k.chance.IntN(60))
		if sum < least {
			thin, least = first, sum
		}
	}
	k.unseatGroup(thin.trainees, k.s.t.day(thin.day), most)
}
