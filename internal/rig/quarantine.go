package rig

import (
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/verdict"
)

// Quarantine keeps a rig, station, kit or item from use from a moment on, until it
// is lifted: by somebody who answers for it, on an inspection that was passed after
// it began, with a reason.
type Quarantine struct {
	ID      id.Quarantine `json:"id"`
	Subject string        `json:"subject"` // rig, station, kit or item id
	Start   civil.Instant `json:"start"`
	By      id.Person     `json:"by"`
	Why     id.Commitment `json:"why,omitempty"`
	// Incident that put it in quarantine, by loading it; By is empty then, since who
	// reported an incident is not told.
	Incident id.Incident `json:"incident,omitempty"`
	Lift     *Lift       `json:"lift,omitempty"` // nil = it stands
}

// Lift says how a quarantine ended.
type Lift struct {
	By         id.Person     `json:"by"`
	At         civil.Instant `json:"at"`
	Inspection id.Inspection `json:"inspection"`
	Why        id.Commitment `json:"why"`
}

// End returns the moment at which it was lifted, 0 while it stands.
func (q Quarantine) End() civil.Instant {
	if q.Lift == nil {
		return 0
	}
	return max(q.Lift.At, q.Start)
}

// Holds reports whether it holds somewhere in a period.
func (q Quarantine) Holds(p civil.Period) bool {
	return q.Start < p.End && (q.Lift == nil || p.Start < q.End())
}

// InQuarantine returns the quarantine of a thing that stands now: pressing twice makes
// no second one.
func InQuarantine(list []Quarantine, subject string) (Quarantine, bool) {
	for _, q := range list {
		if q.Subject == subject && q.Lift == nil {
			return q, true
		}
	}
	return Quarantine{}, false
}

// Lifted returns the quarantine lifted. The inspection is one that passed, of the
// same thing, and ended after the quarantine began.
func (q Quarantine) Lifted(l Lift, on Inspection, z civil.Zone) (Quarantine, error) {
	bad := fault.Fields{}
	switch {
	case q.Lift != nil:
		return q, fault.New(fault.Conflict, "It has been lifted already.")
	case on.ID == "" || on.Subject != q.Subject:
		bad.Add("inspection", "No inspection of it is named. Record one that passes first.")
	case !on.Passed:
		bad.Add("inspection", "This inspection failed. Only one that passed lifts a quarantine.")
	case on.Done < z.DayOf(q.Start), on.Done == z.DayOf(q.Start) && on.At < q.Start:
		bad.Add("inspection", "It was not inspected after the quarantine began. Record an inspection done since, with its time.")
	}
	if l.Why == "" {
		bad.Add("why", "Say why it may be used again.")
	}
	if err := bad.Err(); err != nil {
		return q, err
	}
	l.Inspection = on.ID
	q.Lift = &l
	return q, nil
}

// LiftedBy reports whether an inspection is one on which the quarantine may be lifted.
func (q Quarantine) LiftedBy(on Inspection, z civil.Zone) bool {
	q.Lift = nil // also of one that is lifted already
	_, err := q.Lifted(Lift{Why: "asked"}, on, z)
	return err == nil
}

// quarantined returns the quarantines of a thing that hold somewhere in a period.
func (g *Register) quarantined(of verdict.Ref, p civil.Period) []Cause {
	var out []Cause
	for _, q := range g.quarantines[of.ID] {
		if q.Holds(p) {
			out = append(out, Cause{Kind: Quarantined, Subject: of, Start: q.Start, Quarantine: q.ID})
		}
	}
	return out
}

// Quarantined returns the quarantines that hold at a moment for a rig, station, kit
// or item itself.
func (g *Register) Quarantined(of verdict.Ref, at civil.Instant) []Cause {
	return g.quarantined(of, civil.Period{Start: at, End: at + 1})
}

// kept are the things whose quarantine keeps a station from use: itself, the rigs it
// stood on in these days, and the rescue kits that hung ready for it.
func (g *Register) kept(s id.Station, from, until civil.Day) []verdict.Ref {
	out := []verdict.Ref{stationRef(s)}
	add := func(r verdict.Ref) {
		for _, x := range out {
			if x == r {
				return
			}
		}
		out = append(out, r)
	}
	for _, st := range g.stations[s] {
		if st.From >= until || st.Until != 0 && st.Until <= from {
			continue
		}
		add(rigRef(st.Value.Rig))
		if r := st.Value.Rescue; r != nil && r.Kit != "" {
			add(kitRef(r.Kit))
		}
	}
	return out
}

// QuarantinedIn returns the quarantines that keep a station from use somewhere in a
// period: its own, its rig's and its rescue kit's.
func (g *Register) QuarantinedIn(s id.Station, p civil.Period) []Cause {
	var out []Cause
	for _, of := range g.kept(s, g.zone.DayOf(p.Start), g.zone.DayOf(p.End-1)+1) {
		out = append(out, g.quarantined(of, p)...)
	}
	return out
}

// end returns when the quarantine of a cause was lifted, or its storm inspected, 0
// while it stands.
func (g *Register) end(c Cause) civil.Instant {
	if c.Kind == AfterStorm {
		return c.End
	}
	for _, q := range g.quarantines[c.Subject.ID] {
		if q.ID == c.Quarantine {
			return q.End()
		}
	}
	return 0
}
