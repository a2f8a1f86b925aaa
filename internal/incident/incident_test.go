package incident_test

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/civil"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/incident"
)

var (
	programmes = []curriculum.Programme{
		{ID: "heights", Exercises: []id.Exercise{"climb", "knots"}, Units: []curriculum.Unit{{Outcomes: []id.Outcome{"climbed"}}}},
		{ID: "fire", Exercises: []id.Exercise{"hose", "knots"}},
	}
	exercises = []curriculum.Exercise{{ID: "climb"}, {ID: "knots"}, {ID: "hose"}, {ID: "talk"}, {ID: "ladder", Outcomes: []id.Outcome{"climbed"}}}
)

func stopped(i incident.Incident) (out []id.Exercise) {
	s, ok := i.Stop()
	for _, e := range exercises {
		if ok && s.Exercises(e, programmes) {
			out = append(out, e.ID)
		}
	}
	return out
}

func TestAStopTakesInWhatBelongsToItsProgramme(t *testing.T) {
	all := []id.Exercise{"climb", "knots", "hose", "talk", "ladder"}
	significant := func(shared bool, p ...id.Programme) *incident.Class {
		return &incident.Class{Significant: true, Shared: shared, Programmes: p}
	}
	for _, c := range []struct {
		name string
		i    incident.Incident
		want []id.Exercise
	}{
		{"one programme, with what delivers its outcomes", incident.Incident{Class: significant(false, "heights")}, []id.Exercise{"climb", "knots", "ladder"}},
		{"two programmes", incident.Incident{Class: significant(false, "fire", "heights")}, []id.Exercise{"climb", "knots", "hose", "ladder"}},
		{"no programme named", incident.Incident{Class: significant(false)}, all},
		{"a shared cause", incident.Incident{Class: significant(true)}, all},
		{"not classed, of an exercise in two programmes", incident.Incident{Exercise: "knots"}, []id.Exercise{"climb", "knots", "hose", "ladder"}},
		{"not classed, of an exercise in no programme", incident.Incident{Exercise: "talk"}, []id.Exercise{"talk"}},
		{"not classed, of nothing known", incident.Incident{}, all},
		{"a near miss of an exercise", incident.Incident{Kind: incident.NearMiss, Exercise: "knots"}, []id.Exercise{"knots"}},
		{"a near miss at a station", incident.Incident{Kind: incident.NearMiss, Station: "deck"}, nil},
		{"not significant", incident.Incident{Class: &incident.Class{}}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := stopped(c.i); !slices.Equal(got, c.want) {
				t.Errorf("stops %v, want %v", got, c.want)
			}
		})
	}
}

// TestAStopNeverShrinksWithoutARelease plays random acts, refused ones too, and
// asks after each that whatever a significant incident stopped is stopped still.
func TestAStopNeverShrinksWithoutARelease(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		i := incident.Incident{ID: "i", At: 1, Kind: rapid.SampledFrom(incident.Kinds()).Draw(t, "kind"),
			Exercise: rapid.SampledFrom([]id.Exercise{"", "climb", "talk"}).Draw(t, "exercise")}
		for range rapid.IntRange(1, 12).Draw(t, "acts") {
			before := i
			var err error
			switch rapid.IntRange(0, 3).Draw(t, "act") {
			case 0:
				i, err = i.Classed(incident.Class{By: "p", At: 2, Significant: rapid.Bool().Draw(t, "significant"), Shared: rapid.Bool().Draw(t, "shared"),
					Programmes: rapid.SliceOf(rapid.SampledFrom([]id.Programme{"heights", "fire"})).Draw(t, "programmes"), NoKit: rapid.Bool().Draw(t, "no kit")},
					rapid.SampledFrom([]incident.Load{{}, {Kit: "rope"}, {Kit: "lanyard"}, {Kit: "lanyard", Piece: 2}, {Kit: "lanyard", Piece: 2, Item: "l-7"}}).Draw(t, "load"))
			case 1:
				i, err = i.Released(incident.Release{By: "p", At: 2, Day: civil.Day(rapid.IntRange(0, 4).Draw(t, "day")), Text: "letter"}, 3, 1)
			case 2:
				i, err = i.ToldScheme(incident.Signed{By: "p", At: 2})
			case 3:
				i, err = i.GaveKitBack(incident.Signed{By: "p", At: 2})
			}
			if err != nil && !equal(i, before) {
				t.Fatalf("refused and changed: %+v", i)
			}
			released := i.Release != nil
			if before.Class != nil && before.Class.Significant && !released {
				for _, e := range stopped(before) {
					if !slices.Contains(stopped(i), e) {
						t.Fatalf("%s stops no more, and no release is on file", e)
					}
				}
			}
			if before.Class != nil && i.Class == nil || before.Release != nil && !released {
				t.Fatal("what was signed is gone")
			}
			if kit, out := before.KitOut(); out && i.KitBack == nil {
				if now, still := i.KitOut(); !still || now != kit {
					t.Fatalf("kit %s is in use again, and nobody gave it back", kit)
				}
			}
			if !i.Open() && (i.Class == nil || i.Told == nil || stopped(i) != nil) {
				t.Fatalf("something waits and it is not open: %+v", i)
			}
		}
	})
}

func equal(a, b incident.Incident) bool {
	return a.Class == b.Class && a.Release == b.Release && a.Told == b.Told && a.KitBack == b.KitBack && a.Load() == b.Load()
}

func TestTheSchemeIsToldInTheShorterTimeUntilItIsKnownToBeOrdinary(t *testing.T) {
	times := []civil.Minutes{7 * 24 * 60, 24 * 60}
	for _, c := range []struct {
		name  string
		class *incident.Class
		want  civil.Minutes
	}{
		{"not classed", nil, 24 * 60},
		{"significant", &incident.Class{Significant: true}, 24 * 60},
		{"ordinary", &incident.Class{}, 7 * 24 * 60},
	} {
		if got, ok := (incident.Incident{Class: c.class}).Within(times); !ok || got != c.want {
			t.Errorf("%s: %v, %v, want %v", c.name, got, ok, c.want)
		}
	}
	if _, ok := (incident.Incident{}).Within(nil); ok {
		t.Error("a time although the rule book states none")
	}
}

func TestARefusedActSaysWhatIsMissing(t *testing.T) {
	fall := incident.Incident{Kind: incident.FallArrested}
	if _, err := fall.Classed(incident.Class{}, incident.Load{}); err == nil {
		t.Error("a fall arrested is classed and nobody asked which kit took the load")
	}
	ordinary, err := fall.Classed(incident.Class{}, incident.Load{Kit: "lanyard"})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := ordinary.Released(incident.Release{Day: 3, Text: "x"}, 3, 1); err == nil {
		t.Error("an ordinary incident is released")
	}
	grave, err := ordinary.Classed(incident.Class{Significant: true, Shared: true}, incident.Load{Kit: "lanyard"})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name string
		day  civil.Day
		text id.Commitment
		ok   bool
	}{
		{"of the day it happened", 1, "x", true}, {"of today", 3, "x", true},
		{"of the day before it happened", 0, "x", false}, {"of tomorrow", 4, "x", false}, {"without a text", 3, "", false},
	} {
		if _, err := grave.Released(incident.Release{Day: c.day, Text: c.text}, 3, 1); (err == nil) != c.ok {
			t.Errorf("a release %s: %v", c.name, err)
		}
	}
}
