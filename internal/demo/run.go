package demo

import (
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/session"
)

// run is a session with what became of it.
type run struct {
	session    session.Session
	exercise   *exercise
	intake     *intake
	booked     civil.Day // when it was booked
	down       civil.Day // when it was stood down, 0 = it was not
	attendance session.Attendance
	results    session.Results // of a session that was signed
}

// Chances in a hundred of what can happen to a session, an attendance, a result.
const (
	weatherChance = 4
	cutChance     = 1
	absentChance  = 2
	lateChance    = 4
	leftChance    = 1
	failChance    = 3
	watchChance   = 20
)

func (b *builder) chance(percent int) bool { return b.rand.IntN(100) < percent }

// schedule places a wish and lets it run if its day is past. It returns those of
// the group who still need the exercise; ok is false where it found no place.
func (b *builder) schedule(in *intake, w wish) (still []*enrolment, ok bool) {
	for _, t := range w.group {
		w.after = max(w.after, t.tried)
	}
	s, ok := b.place(w)
	if !ok {
		return nil, false
	}
	r := &run{session: b.booked(w, s), exercise: w.exercise, intake: in}
	r.booked = max(b.opened(), min(b.Today, s.day-civil.Day(4+b.rand.IntN(9))))
	b.runs = append(b.runs, r)
	past := s.day < b.Today
	switch {
	case s.station.NeedsDaylight && past && b.chance(weatherChance):
		b.standDown(r, s.day, session.DownWeather, "Gusts over the limit; the wind did not ease.")
	case b.spoilt(r, s):
		reason, note := session.DownRig, "The rescue winch waits for a part."
		if past {
			reason, note = session.DownWeather, "Squalls from the west all morning."
		}
		b.standDown(r, min(s.day, b.Today), reason, note)
	case past:
		return b.hold(r, w.group), true
	default:
		for _, t := range w.group {
			t.done[w.exercise.key] = r.session.End
		}
		return nil, true
	}
	w.after = s.session.End
	return b.schedule(in, w)
}

// spoilt reports whether the session is the one of the running week's Tuesday
// that is stood down, so that the board shows one.
func (b *builder) spoilt(r *run, s slot) bool {
	if s.day != b.monday+1 || !s.station.Height || b.spoiltOne {
		return false
	}
	b.spoiltOne = true
	return true
}

func (b *builder) standDown(r *run, d civil.Day, reason session.DownReason, note string) {
	r.session.State, r.session.Down, r.session.Note, r.down = session.StoodDown, reason, text(note), max(d, r.booked)
}

// hold runs a session: who came, who showed what. It returns those who did not
// complete the exercise.
func (b *builder) hold(r *run, group []*enrolment) (still []*enrolment) {
	s := &r.session
	s.State = session.SignedOff
	cut := r.exercise.setup > 0 && b.chance(cutChance)
	if cut {
		s.State = session.CutShort
		s.End = s.Start.Add(r.exercise.minutes * 3 / 5)
		s.Note = text("Stopped early by a false fire alarm; the rest is taken again.")
	}
	r.attendance = session.Attendance{Session: s.ID}
	r.results = session.Results{Session: s.ID, By: s.Instructors[b.rand.IntN(len(s.Instructors))], Results: []session.Result{}}
	for _, t := range group {
		p := b.presence(s, string(t.trainee.ID))
		r.attendance.Presences = append(r.attendance.Presences, p)
		if p.Mark == session.DidNotCome || !b.assess(r, t, cut) {
			still = append(still, t)
			t.tried = s.End
			continue
		}
		t.done[r.exercise.key] = s.End
	}
	b.present(r, session.AsInstructor, s.Instructors, r.exercise.setup, r.exercise.strike)
	b.present(r, session.AsRescuer, s.Rescuers, r.exercise.setup, r.exercise.strike)
	b.present(r, session.AsOther, s.Others, 0, 0)
	return still
}

// present notes that people were there in a part for the whole of a session, and
// so many minutes before and after.
func (b *builder) present(r *run, part session.Part, who []id.Person, early, late civil.Minutes) {
	for _, p := range who {
		r.attendance.Presences = append(r.attendance.Presences, session.Presence{
			Who: string(p), Part: part, Mark: session.Present, Start: r.session.Start.Add(-early), End: r.session.End.Add(late),
		})
	}
}

// presence is how one trainee attended.
func (b *builder) presence(s *session.Session, who string) session.Presence {
	p := session.Presence{Who: who, Part: session.AsTrainee, Mark: session.Present, Start: s.Start, End: s.End}
	switch {
	case b.chance(absentChance):
		p.Mark, p.Start, p.End = session.DidNotCome, 0, 0
	case b.chance(lateChance):
		p.Mark, p.Start = session.Late, s.Start.Add(civil.Minutes(5+b.rand.IntN(16)))
	case b.chance(leftChance):
		p.Mark, p.End = session.Left, s.End.Add(-civil.Minutes(5+b.rand.IntN(16)))
	}
	return p
}

// assess notes what a trainee showed and reports whether the exercise is done. Of
// a session that was cut short only the first of several outcomes was reached.
func (b *builder) assess(r *run, t *enrolment, cut bool) (done bool) {
	done = !cut
	missed := -1
	if b.chance(failChance) {
		missed = b.rand.IntN(len(r.exercise.outcomes))
	}
	for i, key := range r.exercise.outcomes {
		result := session.Result{Trainee: t.trainee.ID, Outcome: idOf[id.Outcome](b, "outcome", key), Result: session.Competent}
		switch {
		case cut && (i > 0 || len(r.exercise.outcomes) == 1):
			result.Result = session.NotAssessed
		case i == missed:
			result.Result, done = session.NotYetCompetent, false
		}
		r.results.Results = append(r.results.Results, result)
	}
	return done
}
