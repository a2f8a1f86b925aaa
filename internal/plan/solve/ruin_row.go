package solve

// ruinStation dissolves the sessions on the station of x nearest to it in time.
func ruinStation(k *rebuilder, x *session, most int) {
	k.clearRow(k.s.byStation[x.station], x, most)
}

// ruinExercise dissolves the sessions of the exercise of x nearest to it in time,
// so that groups form anew: merged, split or swapped.
func ruinExercise(k *rebuilder, x *session, most int) {
	k.clearRow(k.s.byExercise[x.exercise], x, most)
}
