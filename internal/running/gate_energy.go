package running

import (
	"rungbook/internal/curriculum"
	"rungbook/internal/people"
	"rungbook/internal/rig"
	"rungbook/internal/verdict"
)

// energyGate: every circuit that the exercise needs is in the state it needs, by
// what is recorded, and its changeover time is over. A circuit of which nothing is
// recorded is neither live nor dead.
func energyGate(s *Scene) ([]Gate, error) {
	var out []Gate
	for _, need := range s.Exercise.Energy {
		g, err := circuitGate(s, need)
		if err != nil {
			return nil, err
		}
		out = append(out, g)
	}
	return out, nil
}

func circuitGate(s *Scene, need curriculum.EnergyNeed) (Gate, error) {
	ref := verdict.Ref{Kind: verdict.Circuit, ID: string(need.Circuit)}
	g := Gate{Name: "energy", Running: true, Mend: "/circuits/" + string(need.Circuit), Do: "Open the circuit", Required: verdict.Say(need.State)}
	row, err := s.View.Isolation(need.Circuit)
	if err != nil {
		return g, err
	}
	is := row.Value
	g.Found = verdict.Say(ref, " ", EnergyWords(is.State))
	circuit, ok := s.Slice.Reference().Circuits.On(need.Circuit, s.Day)
	switch {
	case !ok:
		g.Found = verdict.Say("a circuit that it needs is not on record")
		return g, nil
	case need.State == "live" && is.Live():
		g.Holds = true
	case need.State == "dead" && is.Dead():
		charged, err := stillInCharge(s, is)
		if err != nil {
			return g, err
		}
		if g.Holds = charged; !charged {
			g.Found = verdict.Say("whoever is in charge of ", ref, " is not authorised for it today")
			g.Required = verdict.Say("an authorised person in charge")
		}
	case need.State == "dead":
		g.Required = verdict.Say("isolated, locked and tested dead")
	}
	if ready := is.Since.Add(circuit.Changeover); g.Holds && s.Now < ready {
		g.Holds, g.Found, g.Required = false, verdict.Say(ref, " changes over"), verdict.Say("the changeover of ", circuit.Changeover, " over, at ", ready)
	}
	if g.Holds {
		g.Required = nil
	}
	return g, nil
}

// stillInCharge reports whether the person in charge is authorised on the session's
// day; who was so yesterday may not be today.
func stillInCharge(s *Scene, is rig.Isolation) (bool, error) {
	list, err := s.View.Authorities(is.Circuit)
	if err != nil {
		return false, err
	}
	appointed := false
	for _, a := range people.AppointedOn(s.Slice.Reference().Appointments.All(s.Day), verdict.Energy, s.Day) {
		appointed = appointed || a.Person == is.InCharge
	}
	return rig.Authorised(is.Circuit, is.InCharge, s.Day, appointed, list), nil
}

// EnergyWords says a circuit's state after its name.
func EnergyWords(s rig.EnergyState) string {
	switch s {
	case rig.EnergyLive:
		return "is live"
	case rig.EnergyIsolated:
		return "is isolated and not tested"
	case rig.EnergyDead:
		return "is tested dead"
	case rig.EnergyLocksOff:
		return "is cut off with no lock on"
	}
	return "is in no recorded state"
}
