package running

import (
	"rungbook/internal/session"
	"rungbook/internal/verdict"
)

// rollGate: the roll is called, and one who teaches the session is there. Whether
// they are enough is for the rules to say, which judge those who are here.
func rollGate(s *Scene) ([]Gate, error) {
	g := Gate{Name: "roll", Running: true, Mend: "/yard/sessions/" + string(s.Session.ID) + "#roll", Do: "Call the roll"}
	teaching, all := s.Attendance.Here(session.AsInstructor), s.Attendance.Here("")
	switch {
	case len(s.Attendance.Presences) == 0:
		g.Found, g.Required = verdict.Say("the roll is not called"), verdict.Say("who is here, by name")
	case len(teaching) == 0:
		g.Found, g.Required = verdict.Say("no instructor is here"), verdict.Say("an instructor of the session")
	default:
		g.Holds, g.Found = true, verdict.Say("the roll is called: ", len(all), " here, ", len(teaching), " of them instructing")
	}
	return []Gate{g}, nil
}
