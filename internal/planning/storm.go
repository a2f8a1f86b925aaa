package planning

import (
	"rungbook/internal/civil"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
	"rungbook/internal/store"
	"rungbook/internal/weather"
)

// blows gathers the readings that may be storms, as the register of rigs judges them.
func blows(ref *store.Reference) []rig.Blow {
	var out []rig.Blow
	for _, known := range versions(&ref.Storms) {
		for _, r := range known.Blew() {
			b := rig.Blow{From: r.At, Until: r.At, Told: r.Kind == weather.StormPassed}
			if b.Told {
				b.From = r.From
			}
			if strongest, ok := r.Strongest(); ok {
				b.Gust = int64(strongest)
			}
			out = append(out, b)
		}
	}
	return out
}

// StormWaits returns the rigs that wait for their inspection after a storm at a
// moment, in the order of lists.
func StormWaits(ref *store.Reference, zone civil.Zone, at civil.Instant) []rig.Cause {
	if len(ref.Storms.Keys()) == 0 {
		return nil
	}
	g := register(ref, zone)
	var out []rig.Cause
	for _, r := range ref.Rigs.All(zone.DayOf(at)) {
		out = append(out, g.StormsOf(r.ID, civil.Period{Start: at, End: at + 1})...)
	}
	return out
}

// stormCheck is the inspection after a storm of a rig that lies outdoors, as it
// stands at the end of the slice's first day: no reading is of the future.
func (s *Slice) stormCheck(r rig.Rig) (Check, bool) {
	g := s.ground.register
	if !g.OutdoorRig(r.ID, s.day) {
		return Check{}, false
	}
	least, _ := rig.StormFrom(s.ground.book, s.ground.book.ID != "")
	line := rulebook.Line{ID: rig.StormLine, Quantity: rulebook.StormGust, Value: least}
	out := Check{LineID: rig.StormLine, Interval: "storm from " + line.ValueText(), Last: s.lastInspection(string(r.ID), rig.StormLine)}
	for _, c := range g.RigAt(r.ID, s.Problem.Zone.StartOfDay(s.day+1)-1) {
		if c.Subject.ID == string(r.ID) && c.Line == rig.StormLine {
			out.Cause = c.Say()
		}
	}
	return out, true
}
