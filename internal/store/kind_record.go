package store

import (
	"fmt"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/session"
)

// recordKinds have a table of their own, because they are looked up by column.
func recordKinds() []*kind {
	return []*kind{
		personKind(), traineeKind(), dutyKind(), awayKind(), noHeightKind(),
		sessionKind(), attendanceKind(), resultsKind(), acceptanceKind(), certificateKind(), batchKind(),
		incidentKind(), ownCodeKind(),
		readingKind(),
		checkListKind(), preparationKind(),
		arrivalKind(), stayKind(),
		isolationKind(), authorityKind(),
		writtenPlanKind(),
		reportedKind(),
		complaintKind(),
	}
}

func personKind() *kind {
	return kindOf("person", traits[people.Person]{
		table:   "person",
		id:      func(p people.Person) string { return string(p.ID) },
		texts:   func(p people.Person) []id.Commitment { return texts{p.Name} },
		refers:  func(p people.Person) []string { return ids(p.Employer) },
		columns: []string{"employer", "name"},
		values:  func(p people.Person) []any { return []any{orNull(p.Employer), string(p.Name)} },
		derive: func(p *projector, f fact, r people.Person) error {
			return p.noteStaff(f, r.ID)
		},
	})
}

func ownCodeKind() *kind {
	return kindOf("own-code", traits[people.OwnCode]{
		table: "own_code", facet: true,
		id: func(c people.OwnCode) string { return string(c.Person) },
		refers: func(c people.OwnCode) []string {
			if c.Anew != nil {
				return ids(c.Person, c.Anew.By)
			}
			return ids(c.Person)
		},
	})
}

func traineeKind() *kind {
	return kindOf("trainee", traits[people.Trainee]{
		table: "trainee",
		id:    func(t people.Trainee) string { return string(t.ID) },
		refers: func(t people.Trainee) []string {
			return append(ids(t.Needs...), string(t.Person), string(t.Intake))
		},
		columns: []string{"person", "intake"},
		values:  func(t people.Trainee) []any { return []any{string(t.Person), string(t.Intake)} },
	})
}

func dutyKind() *kind {
	return kindOf("duty", traits[people.Duty]{
		table:   "duty",
		id:      func(d people.Duty) string { return string(d.ID) },
		refers:  func(d people.Duty) []string { return ids(d.Person) },
		check:   func(d people.Duty) error { return rising("duty", d.Start, d.End) },
		columns: []string{"person", "activity", "start", "finish", "ended"},
		values: func(d people.Duty) []any {
			return []any{string(d.Person), string(d.Kind), int64(d.Start), int64(d.End), d.Ended}
		},
	})
}

func awayKind() *kind {
	return kindOf("away", traits[people.Away]{
		table:   "away",
		id:      func(a people.Away) string { return string(a.ID) },
		refers:  func(a people.Away) []string { return ids(a.Person) },
		check:   func(a people.Away) error { return rising("absence", a.Start, a.End) },
		columns: []string{"person", "start", "finish", "ended"},
		values:  func(a people.Away) []any { return []any{string(a.Person), int64(a.Start), int64(a.End), a.Ended} },
	})
}

func noHeightKind() *kind {
	return kindOf("no-height", traits[people.NoHeight]{
		table:   "no_height",
		id:      func(n people.NoHeight) string { return string(n.ID) },
		refers:  func(n people.NoHeight) []string { return ids(n.Person) },
		check:   func(n people.NoHeight) error { return n.Check() },
		columns: []string{"person", "first_day", "last_day", "ended"},
		values: func(n people.NoHeight) []any {
			return []any{string(n.Person), n.From.String(), n.Until.String(), n.Ended}
		},
	})
}

// longestSession bounds a session's length, start to end: those that overlap a
// span are looked for by their start.
const longestSession civil.Minutes = 24 * 60

func sessionKind() *kind {
	return kindOf("session", traits[session.Session]{
		table: "session",
		id:    func(s session.Session) string { return string(s.ID) },
		refers: func(s session.Session) []string {
			out := append(ids(s.Trainees...), string(s.Exercise), string(s.Station))
			return append(append(append(out, ids(s.Instructors...)...), ids(s.Rescuers...)...), ids(s.Others...)...)
		},
		check: func(s session.Session) error {
			if s.End.Sub(s.Start) > longestSession {
				return fault.Field("end", "A session lasts at most %s; this one %s.", longestSession, s.End.Sub(s.Start))
			}
			return rising("session", s.Start, s.End)
		},
		columns: []string{"state", "exercise", "station", "start", "finish", "trial"},
		values: func(s session.Session) []any {
			return []any{string(s.State), string(s.Exercise), string(s.Station), int64(s.Start), int64(s.End), s.Trial}
		},
		derive: deriveSession,
	})
}

func attendanceKind() *kind {
	return kindOf("attendance", traits[session.Attendance]{
		table: "attendance", facet: true,
		id: func(a session.Attendance) string { return string(a.Session) },
		refers: func(a session.Attendance) (out []string) {
			for _, p := range a.Presences {
				out = append(out, p.Who)
			}
			return append(out, correcting(a.Corrections)...)
		},
		check: func(a session.Attendance) error {
			for _, p := range a.Presences {
				if !slices.Contains(session.Parts(), p.Part) || !slices.Contains(session.Marks(), p.Mark) {
					return fault.Field("presences", "%q in the part %q is no presence.", p.Mark, p.Part)
				}
				if p.Mark == session.DidNotCome {
					if p.Start != 0 || p.End != 0 {
						return fault.Field("presences", "Who did not come has no time of presence.")
					}
				} else if p.Open() {
					continue // still there
				} else if err := rising("presence", p.Start, p.End); err != nil {
					return err
				}
			}
			return nil
		},
		derive: deriveAttendance,
	})
}

func correcting(list []session.Correction) (out []string) {
	for _, c := range list {
		out = append(out, string(c.Trainee), string(c.By))
	}
	return out
}

func resultsKind() *kind {
	return kindOf("results", traits[session.Results]{
		table: "results", facet: true,
		id: func(r session.Results) string { return string(r.Session) },
		refers: func(r session.Results) []string {
			out := ids(r.By)
			for _, one := range r.Results {
				out = append(out, string(one.Trainee), string(one.Outcome))
			}
			for _, n := range r.Notes {
				out = append(out, string(n.Trainee))
			}
			out = append(out, correcting(r.Corrections)...)
			return out
		},
		columns: []string{"signed_by"},
		values:  func(r session.Results) []any { return []any{string(r.By)} },
		derive:  deriveResults,
	})
}

func acceptanceKind() *kind {
	return kindOf("acceptance", traits[session.Acceptance]{
		table:   "acceptance",
		id:      func(a session.Acceptance) string { return string(a.ID) },
		refers:  func(a session.Acceptance) []string { return append(ids(a.Session), string(a.By)) },
		columns: []string{"session"},
		values:  func(a session.Acceptance) []any { return []any{string(a.Session)} },
	})
}

func certificateKind() *kind {
	return kindOf("certificate", traits[credential.Certificate]{
		table: "certificate",
		id:    func(c credential.Certificate) string { return string(c.ID) },
		texts: func(c credential.Certificate) []id.Commitment { return texts{c.Why} },
		refers: func(c credential.Certificate) []string {
			return []string{string(c.Person), string(c.Programme), string(c.Exercise), string(c.Intake), string(c.Trainee)}
		},
		columns: []string{"number", "person", "covers", "programme", "state", "first_valid", "last_valid"},
		values: func(c credential.Certificate) []any {
			return []any{c.Number, string(c.Person), string(c.Kind), orNull(c.Programme), string(c.State), c.From.String(), dayText(c.Until)}
		},
		derive: deriveCertificate,
	})
}

func orNull[T ~string](v T) any {
	if v == "" {
		return nil
	}
	return string(v)
}

func rising(what string, start, end civil.Instant) error {
	if start < end {
		return nil
	}
	return fault.Field("end", "%s", fmt.Sprintf("The %s ends before it begins.", what))
}
