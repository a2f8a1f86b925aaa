package running

import (
	"rungbook/internal/session"
	"rungbook/internal/verdict"
)

// bookedGate: only a booked session starts.
func bookedGate(s *Scene) ([]Gate, error) {
	state := s.Session.State
	g := Gate{Name: "booked", Holds: state == session.Booked || state == session.UnderWay, Found: verdict.Say("it is ", session.Words(state)), Mend: s.page()}
	if !g.Holds {
		g.Required = verdict.Say("booked")
	}
	return []Gate{g}, nil
}

// timeGate: a session runs within the time for which the rules were asked. Before
// its start others may still stand there; after its end nothing was judged.
func timeGate(s *Scene) ([]Gate, error) {
	g := Gate{Name: "time", Running: true, Found: verdict.Say("it is ", s.Now), Mend: s.page()}
	g.Holds = s.Session.Start <= s.Now && s.Now < s.Session.End
	if !g.Holds {
		g.Required = verdict.Say("between ", s.Session.Start, " and ", s.Session.End, ", the time it is booked for")
	}
	return []Gate{g}, nil
}

// rulesGate: no rule stops the session, judged now with the people who are here;
// before anybody is, with those booked.
func rulesGate(s *Scene) ([]Gate, error) {
	var out []Gate
	for _, f := range s.Report.At(verdict.Stops) {
		if s.underWay() && bookedAhead[f.Rule] {
			continue
		}
		out = append(out, Gate{Name: "rules", Running: true, Found: verdict.Say(verdict.RuleName(f.Rule), ": ", f.Found), Required: f.Required, Mend: s.page()})
	}
	if len(out) == 0 {
		out = append(out, Gate{Name: "rules", Holds: true, Running: true, Found: verdict.Say("no rule stops it now")})
	}
	return out, nil
}

// bookedAhead are the rules about whom a session is booked with: once it runs,
// somebody who goes home leaves a smaller group, which endangers nobody.
var bookedAhead = map[string]bool{"group-size": true}

// cautionsGate: no caution waits for somebody's word.
func cautionsGate(s *Scene) ([]Gate, error) {
	waits := session.Waits(s.Report.At(verdict.Cautions), s.Acceptances)
	if len(waits) == 0 {
		return []Gate{{Name: "cautions", Holds: true, Found: verdict.Say("no caution waits")}}, nil
	}
	var out []Gate
	for _, f := range waits {
		out = append(out, Gate{Name: "cautions", Found: verdict.Say("a caution waits, ", verdict.RuleName(f.Rule), ": ", f.Found),
			Required: verdict.Say("accepted by the responsible person"), Mend: s.page()})
	}
	return out, nil
}
