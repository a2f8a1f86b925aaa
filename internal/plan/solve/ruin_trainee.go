package solve

// ruinTrainee unseats a few of the trainees of x, each over their whole time, so
// that they find other groups.
func ruinTrainee(k *rebuilder, x *session, most int) {
	for range 1 + k.chance.IntN(3) {
		if len(k.pending) >= most {
			return
		}
		k.unseatTrainee(x.trainees[k.chance.IntN(len(x.trainees))])
	}
}
