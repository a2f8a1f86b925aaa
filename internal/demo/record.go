package demo

import (
	"slices"

	"rungbook/internal/credential"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/session"
	"rungbook/internal/verdict"
)

// leaveUnsigned takes back the signature of one session of the last working day,
// if there is one of the demo's instructor, so that something waits for her.
func (b *builder) leaveUnsigned() {
	day := b.workdayBefore(b.Today)
	var found *run
	for _, r := range b.runs {
		if b.zone.DayOf(r.session.Start) != day || r.session.State != session.SignedOff || !r.allPassed() ||
			r.intake.ended(b.Today) || b.awarded(r.session.Trainees) {
			continue
		}
		if hers := slices.Contains(r.session.Instructors, b.person(demoInstructor)); found == nil || hers {
			found = r
		}
	}
	if found != nil {
		found.session.State = session.Booked
		found.attendance, found.results = session.Attendance{}, session.Results{}
	}
}

// awarded reports whether a certificate already rests on one of the trainees.
func (b *builder) awarded(trainees []id.Trainee) bool {
	return slices.ContainsFunc(b.awards, func(c *credential.Certificate) bool { return slices.Contains(trainees, c.Trainee) })
}

func (r *run) allPassed() bool {
	return !slices.ContainsFunc(r.results.Results, func(x session.Result) bool { return x.Result != session.Competent }) &&
		!slices.ContainsFunc(r.attendance.Presences, func(p session.Presence) bool { return p.Mark != session.Present })
}

// remembered is for how many days back the demo also keeps when a session was
// booked; of older ones it keeps what became of them.
const remembered = 60

// writeSessions writes every session as it was booked, and what became of it.
func (b *builder) writeSessions() {
	b.leaveUnsigned()
	b.leaveToGive()
	b.pencil()
	for _, r := range b.runs {
		day, by := b.zone.DayOf(r.session.Start), b.person(administrator)
		s := r.session
		if day > b.Today-remembered {
			first := s
			first.State, first.Down, first.Note, first.End = session.Booked, "", "", s.Start.Add(r.exercise.minutes)
			if s.State == session.Pencilled {
				first.State = session.Pencilled
			}
			b.write(booking, r.booked, by, string(first.State), first)
			if s.State != session.Pencilled {
				b.accept(r)
			}
		}
		switch s.State {
		case session.StoodDown:
			b.write(booking, r.down, by, "stood-down", s)
		case session.SignedOff, session.CutShort:
			b.write(signing, day, r.results.By, string(s.State), s)
			b.write(signing, day, r.results.By, "signed", r.attendance)
			b.write(signing, day, r.results.By, "signed", r.results)
		}
	}
}

// reasons are why the responsible person accepted that something runs out soon
// after a session.
var reasons = map[rig.DueKind]string{
	rig.DueInspection: "The inspection is arranged, and the last readings were steady.",
	rig.DueKit:        "The kit goes to its examination before that day.",
	rig.DueReview:     "The review is set for next week; nothing on the rig has changed.",
	rig.DueDrill:      "The next drill stands in the diary.",
}

// dueSoon is what runs out soon after a session's day.
func (b *builder) dueSoon(s session.Session) (soon []rig.Due) {
	day := b.zone.DayOf(s.Start)
	for _, due := range b.register.Due(s.Station, day) {
		if due.Soon(day) {
			soon = append(soon, due)
		}
	}
	return soon
}

// accept writes the responsible person's acceptance of each caution that the
// session's station gave on its day.
func (b *builder) accept(r *run) {
	s := r.session
	for _, due := range b.dueSoon(s) {
		f := verdict.DueSoon(verdict.Ref{Kind: verdict.Session, ID: string(s.ID)}, due.Subject, string(due.Kind), due.Line, due.Say(), due.Notice, due.Field)
		by := b.person(b.responsibleOn(due.Field, r.booked))
		b.write(booking, r.booked, by, "accepted", session.Acceptance{
			ID: fresh[id.Acceptance](b), Session: s.ID, Rule: f.Rule, Subject: f.Subject(), Field: due.Field, By: by,
			Reason: text(reasons[due.Kind]),
		})
	}
}
