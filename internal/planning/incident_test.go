package planning_test

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/incident"
	"rungbook/internal/rig"
)

// TestWhatAnIncidentStopsIsStoppedWithItsCause judges the same two sessions beside
// each incident.
func TestWhatAnIncidentStopsIsStoppedWithItsCause(t *testing.T) {
	const (
		unclassed = "is not classed yet; a responsible person must class it"
		letter    = "the written release is not on file"
	)
	signed := &incident.Signed{By: "ivo", At: at(today, 4, 0)}
	class := func(significant, shared bool, programmes ...id.Programme) *incident.Class {
		return &incident.Class{By: "ivo", At: at(today, 4, 0), Significant: significant, Shared: shared, Programmes: programmes}
	}
	at := at(today, 4, 0)
	for _, c := range []struct {
		name          string
		i             incident.Incident
		climb, theory string // what its finding says; "" = nothing stops it
	}{
		{"not classed, in a session: its module", incident.Incident{Kind: incident.HandInjury, Exercise: "climb", Station: "deck", Rig: "tower"}, "station-fit: an incident", "station-fit: an incident"},
		{"not classed, elsewhere: all", incident.Incident{Kind: incident.Electric, Station: "deck", Rig: "tower"}, unclassed, unclassed},
		{"a near miss in a session: its exercise", incident.Incident{Kind: incident.NearMiss, Exercise: "climb", Station: "deck", Rig: "tower"}, "a near miss of", ""},
		{"a near miss at a station: the station", incident.Incident{Kind: incident.NearMiss, Station: "room", Rig: "tower"}, "", "station-shut: a near miss"},
		{"a near miss at a rig: its stations", incident.Incident{Kind: incident.NearMiss, Rig: "tower"}, unclassed, unclassed},
		{"a near miss elsewhere: all", incident.Incident{Kind: incident.NearMiss}, unclassed, unclassed},
		{"not significant: nothing", incident.Incident{Kind: incident.HandInjury, Exercise: "climb", Class: class(false, false)}, "", ""},
		{"significant: its programme", incident.Incident{Kind: incident.HandInjury, Class: class(true, false, "heights")}, letter, letter},
		{"significant, shared: all", incident.Incident{Kind: incident.HandInjury, Class: class(true, true)}, "with a shared cause: " + letter, letter},
		{"released: nothing", incident.Incident{Kind: incident.HandInjury, Class: class(true, true), Release: &incident.Release{By: "ivo", At: at, Day: today}}, "", ""},
		{"kit took a load: its stations", incident.Incident{Kind: incident.KitOverloaded, Kit: "rescue-kit", Class: class(false, false)}, "took a load on", ""},
		{"the kit was given back", incident.Incident{Kind: incident.KitOverloaded, Kit: "rescue-kit", Class: class(false, false), KitBack: signed}, "", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.i.ID, c.i.At = "incident", at
			r := sound()
			r.more = append(knowsTheory(today-20), c.i)
			b := open(t, r)
			for _, one := range []struct{ name, want, got string }{
				{"climb", c.climb, strings.Join(b.judge(climb(dublin.At(today+5, 9*clock))), "\n")},
				{"theory", c.theory, strings.Join(slices.DeleteFunc(b.judge(theory(dublin.At(today+5, 12*clock))), func(line string) bool {
					return strings.HasPrefix(line, "needed-once") // it was done before: of no matter here
				}), "\n")},
			} {
				if one.want == "" && one.got != "" || !strings.Contains(one.got, one.want) {
					t.Errorf("%s: %q, want %q", one.name, one.got, one.want)
				}
			}
		})
	}
}

// TestAQuarantineHoldsWhateverAnIncidentHeld judges a climb beside an incident that
// holds its kit itself, as older ones do, and beside one that put it in quarantine:
// what the first stops the second stops.
func TestAQuarantineHoldsWhateverAnIncidentHeld(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		happened := at(today, 0, 0).Add(civil.Minutes(rapid.IntRange(0, 9*24*60).Draw(rt, "happened")))
		start := at(today+5, 0, 0).Add(civil.Minutes(15 * rapid.IntRange(32, 60).Draw(rt, "start")))
		older := incident.Incident{ID: "incident", Kind: incident.FallArrested, At: happened, Kit: "rescue-kit", Class: &incident.Class{By: "ivo", At: happened}}
		newer := older
		newer.Quarantines = []id.Quarantine{"held"}
		stops := func(more ...any) bool {
			r := sound()
			r.more = append(knowsTheory(today-20), more...)
			return len(open(t, r).judge(climb(start))) > 0
		}
		if stops(older) && !stops(newer, rig.Quarantine{ID: "held", Subject: "rescue-kit", Start: happened, Incident: "incident"}) {
			rt.Fatalf("an incident of %d held the climb of %d, and a quarantine does not", happened, start)
		}
	})
}
