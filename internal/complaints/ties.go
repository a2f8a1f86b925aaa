package complaints

import (
	"slices"

	"rungbook/internal/complaint"
	"rungbook/internal/id"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// planned are the acts of a session that plan it. Whoever planned it had no part in
// how it ran, and one who stands aside for another reason is named by hand.
var planned = []session.Move{session.ToPencil, session.ToBook, session.ToMove, session.ToChangePeople, session.ToReopen}

// recorded returns who had a part in what a complaint is against, by the records: of a
// session all who were in it, wrote its record, signed or corrected it; of a
// certificate, given or not, who wrote it and all that of the trainee's sessions.
func recorded(v *store.View, m complaint.Matter) (out []complaint.Tie, err error) {
	sessions, trainee := []id.Session{m.Session}, m.Trainee
	if m.Session == "" {
		sessions = nil
	}
	if m.Certificate != "" {
		c, err := v.Certificate(m.Certificate)
		if err != nil {
			return nil, err
		}
		entries, err := v.EntriesOf("certificate", string(m.Certificate))
		if err != nil {
			return nil, err
		}
		for _, e := range entries {
			out = append(out, complaint.Tie{Person: e.Actor, Part: complaint.GaveIt})
		}
		trainee = c.Value.Trainee
	}
	if trainee != "" && m.Session == "" {
		all, err := v.SessionsOfTrainees([]id.Trainee{trainee})
		if err != nil {
			return nil, err
		}
		for _, s := range all {
			if s.State.Signed() {
				sessions = append(sessions, s.ID)
			}
		}
	}
	for _, s := range sessions {
		ties, err := inSession(v, s)
		if err != nil {
			return nil, err
		}
		out = append(out, ties...)
	}
	return out, nil
}

// inSession returns who had a part in one session.
func inSession(v *store.View, of id.Session) (out []complaint.Tie, err error) {
	add := func(part complaint.Part, who ...id.Person) {
		for _, p := range who {
			out = append(out, complaint.Tie{Person: p, Part: part})
		}
	}
	s, err := v.Session(of)
	if err != nil {
		return nil, err
	}
	add(complaint.TaughtIt, s.Value.Instructors...)
	add(complaint.StoodBy, s.Value.Rescuers...)
	add(complaint.WasThere, s.Value.Others...)
	trainees, err := v.Trainees(s.Value.Trainees...)
	if err != nil {
		return nil, err
	}
	for _, t := range trainees {
		add(complaint.WasThere, t.Person)
	}
	roll, _, err := v.Roll(of)
	if err != nil {
		return nil, err
	}
	for _, p := range roll.Presences {
		switch p.Part {
		case session.AsInstructor:
			add(complaint.TaughtIt, id.Person(p.Who))
		case session.AsRescuer:
			add(complaint.StoodBy, id.Person(p.Who))
		case session.AsOther:
			add(complaint.WasThere, id.Person(p.Who))
		}
	}
	results, _, err := v.Assessed(of)
	if err != nil {
		return nil, err
	}
	add(complaint.SignedIt, results.By)
	for _, c := range slices.Concat(roll.Corrections, results.Corrections) {
		add(complaint.CorrectedIt, c.By)
	}
	accepted, err := v.Acceptances(of)
	if err != nil {
		return nil, err
	}
	for _, a := range accepted {
		add(complaint.AcceptedIt, a.By)
	}
	wrote, err := wroteOf(v, of)
	add(complaint.RanIt, wrote...)
	return out, err
}

// wroteOf returns who wrote a session's record while it ran and afterwards.
func wroteOf(v *store.View, of id.Session) (out []id.Person, err error) {
	for _, kind := range []string{"session", "preparation", "attendance", "results"} {
		entries, err := v.EntriesOf(kind, string(of))
		if err != nil {
			return nil, err
		}
		for _, e := range entries {
			if kind != "session" || !slices.Contains(planned, session.Move(e.Act)) {
				out = append(out, e.Actor)
			}
		}
	}
	return out, nil
}
