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
// so that somebody has something to do.
func (b *builder) leaveUnsigned() {
	day := b.workdayBefore(b.Today)
	for _, r := range slices.Backward(b.runs) {
		if b.zone.DayOf(r.session.Start) != day || r.session.State != session.SignedOff || !r.allPassed() ||
			r.intake.ended(b.Today) || b.needsLight(r.session.Station) || b.awarded(r.session.Trainees) {
			continue
		}
		r.session.State = session.Booked
		r.attendance, r.results = session.Attendance{}, session.Results{}
		return
	}
}

// awarded reports whether a certificate already rests on one of the trainees.
func (b *builder) awarded(trainees []id.Trainee) bool {
	return slices.ContainsFunc(b.awards, func(c *credential.Certificate) bool { return slices.Contains(trainees, c.Trainee) })
}

// needsLight reports whether a station needs daylight, which is stated for days
// to come only.
func (b *builder) needsLight(s id.Station) bool {
	return slices.ContainsFunc(b.records.Stations, func(x rig.Standing[rig.Station]) bool { return x.Value.ID == s && x.Value.NeedsDaylight })
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
	b.pencil()
	for _, r := range b.runs {
		day, by := b.zone.DayOf(r.session.Start), b.person(administrator)
		s := r.session
		if day > b.Today-remembered {
			act, first := "booked", s
			if s.State == session.Pencilled {
				act = "pencilled"
			} else {
				first.State, first.Down, first.Note, first.End = session.Booked, "", "", s.Start.Add(r.exercise.minutes)
			}
			b.write(booking, r.booked, by, act, first)
			b.accept(r)
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

// accept writes the responsible person's acceptance of each caution that the
// session's station gave on its day.
func (b *builder) accept(r *run) {
	s, day := r.session, b.zone.DayOf(r.session.Start)
	for _, due := range b.register.Due(s.Station, day) {
		if !due.Soon(day) {
			continue
		}
		f := verdict.DueSoon(verdict.Ref{Kind: verdict.Session, ID: string(s.ID)}, due.Subject, string(due.Kind), due.Say(), due.Notice, due.Field)
		by := b.person(b.responsibleOn(due.Field, r.booked))
		b.write(booking, r.booked, by, "accepted", session.Acceptance{
			ID: fresh[id.Acceptance](b), Session: s.ID, Rule: f.Rule, Subject: f.Subject(), Field: due.Field, By: by,
			Reason: text(reasons[due.Kind]),
		})
	}
}
