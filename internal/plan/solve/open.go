package solve

// newSession makes the session of a staffed post.
func (s *state) newSession(at *post, instructors, rescuers []int) *session {
	s.made++
	x := &session{
		exercise: at.spot.exercise, station: at.spot.station, spot: s.t.spotOf(at.spot.exercise, at.spot.station),
		slot: at.slot, trainees: at.trainees, instructors: instructors, rescuers: rescuers,
	}
	s.c.setTime(x, at.span.Start, at.span.End)
	x.id = serialID(s.made)
	return x
}

// serialID writes a number so that ids sort like numbers.
func serialID(n int) string {
	var b [8]byte
	for i := range b {
		b[i] = byte(n >> (8 * (7 - i)))
	}
	return string(b[:])
}
