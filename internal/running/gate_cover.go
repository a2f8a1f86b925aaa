package running

import (
	"slices"

	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/session"
	"rungbook/internal/verdict"
)

// coverGate: those who are here to rescue, to teach or to give first aid are free
// for it now. The rules know for which times people are booked; a roll knows who is
// still held by a session that runs over.
func coverGate(s *Scene) ([]Gate, error) {
	g := Gate{Name: "cover", Running: true, Mend: "/yard/sessions/" + string(s.Session.ID) + "#roll", Do: "Open the roll"}
	busy, err := s.busy()
	if err != nil {
		return nil, err
	}
	if len(busy) == 0 {
		g.Holds, g.Found = true, verdict.Say("nobody who covers the session is held by another one")
		return []Gate{g}, nil
	}
	g.Found = verdict.Say("still in another session: ", s.person(busy[0]))
	for _, p := range busy[1:] {
		g.Found = append(g.Found, ", ", verdict.Ref{Kind: verdict.Person, ID: string(p)})
	}
	g.Required = verdict.Say("free to rescue and teach here: their other session is ended, or its roll says that they left")
	return []Gate{g}, nil
}

// busy are the instructors and rescuers of the session whom the roll of another one
// under way still names, sorted, since whatever day that one runs.
func (s *Scene) busy() ([]id.Person, error) {
	underWay, err := s.View.UnderWay()
	if err != nil {
		return nil, err
	}
	var others []session.Elsewhere
	var of []id.Session
	var trainees []id.Trainee
	for _, x := range underWay {
		if x.ID != s.Session.ID && !x.Ended() {
			others, of, trainees = append(others, session.Elsewhere{Session: x, Person: map[string]string{}}), append(of, x.ID), append(trainees, x.Trainees...)
		}
	}
	if len(others) == 0 {
		return nil, nil
	}
	rolls, err := s.View.Attendance(of...)
	if err != nil {
		return nil, err
	}
	people, err := s.View.Trainees(trainees...)
	if err != nil {
		return nil, err
	}
	for i := range others {
		o := &others[i]
		for _, t := range people {
			o.Person[string(t.ID)] = string(t.Person)
		}
		if at := slices.IndexFunc(rolls, func(a session.Attendance) bool { return a.Session == o.Session.ID }); at >= 0 {
			o.Attendance = rolls[at]
		}
	}
	return planning.IDs[id.Person](session.Busy(plain(s.Crew()), others, s.Now)), nil
}

func plain(of []id.Person) []string {
	out := make([]string, len(of))
	for i, p := range of {
		out[i] = string(p)
	}
	return out
}
