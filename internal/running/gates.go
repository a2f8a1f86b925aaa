package running

import (
	"rungbook/internal/session"
	"rungbook/internal/verdict"
)

// Gate is one thing that must stand before a session can be under way. What could
// not be looked up does not hold.
type Gate struct {
	Name  string // of the closed list of its file: "booked", "rules", "roll"
	Holds bool
	// Running: it must stand while the session runs too. Where one falls away
	// people come down and the session is paused until it stands again.
	Running  bool
	Found    verdict.Text // what was found
	Required verdict.Text // what is required; nil where Found says it all
	Mend     string       // path of the page where it is mended, "" where none does
	Do       string       // what is done there: "Call the roll"; "" = open it
}

// gates is every question asked of a session, in the order in which the page
// shows the answers. Each function looks at one scene and answers with a gate for
// each thing it looked at, those that hold too. A new gate gets a file gate_<what>.go
// and one line here. The error is for what broke, never for what does not stand.
var gates = []func(*Scene) ([]Gate, error){
	bookedGate,
	timeGate,
	rulesGate,
	cautionsGate,
	weatherGate,
	energyGate,
	rollGate,
	coverGate,
	massGate,
	preUseGate,
	briefGate,
	readGate,
	warmUpGate,
	recheckGate,
	arrivalGate,
}

// Gates asks all of them.
func (s *Scene) Gates() ([]Gate, error) {
	var out []Gate
	for _, ask := range gates {
		list, err := ask(s)
		if err != nil {
			return nil, err
		}
		out = append(out, list...)
	}
	return out, nil
}

// Shut returns the gates that do not hold: before the start all of them count,
// once the session is under way only those that must stand while it runs, and none
// once it has ended.
func Shut(list []Gate, state session.State) []Gate {
	var out []Gate
	for _, g := range list {
		if !g.Holds && (g.Running || state != session.UnderWay) {
			out = append(out, g)
		}
	}
	return out
}
