package curriculum

import (
	"errors"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/fault"
	"rungbook/internal/id"
)

func harness() Exercise {
	return Exercise{ID: "harness", Name: "n", Setting: Practical, Minutes: 180, Stations: []id.Station{"deck", "face"}, GroupMin: 2, GroupMax: 6, Ratio: 6,
		Pauses: []Pause{{After: 60, Minutes: 15}, {After: 120, Minutes: 15}}, Outcomes: []id.Outcome{"fit", "check"}}
}

func TestAnExerciseIsCheckedFieldByField(t *testing.T) {
	cases := []struct {
		name   string
		change func(*Exercise)
		field  string
	}{
		{"a whole one", func(e *Exercise) {}, ""},
		{"no name", func(e *Exercise) { e.Name = "" }, "name"},
		{"an unknown setting", func(e *Exercise) { e.Setting = "online" }, "setting"},
		{"no length", func(e *Exercise) { e.Minutes = 0 }, "minutes"},
		{"no station", func(e *Exercise) { e.Stations = nil }, "stations"},
		{"a station twice", func(e *Exercise) { e.Stations = []id.Station{"deck", "deck"} }, "stations"},
		{"group of exactly one size", func(e *Exercise) { e.GroupMin, e.GroupMax = 4, 4 }, ""},
		{"group upside down", func(e *Exercise) { e.GroupMin, e.GroupMax = 5, 4 }, "group_max"},
		{"no group limit", func(e *Exercise) { e.GroupMax = 0 }, ""},
		{"no ratio", func(e *Exercise) { e.Ratio = 0 }, "ratio"},
		{"no outcome", func(e *Exercise) { e.Outcomes = nil }, "outcomes"},
		{"pause ends a minute before the end", func(e *Exercise) { e.Pauses[1] = Pause{120, 59} }, ""},
		{"pause ends with the exercise", func(e *Exercise) { e.Pauses[1] = Pause{120, 60} }, "pauses.1"},
		{"pause a minute after the last", func(e *Exercise) { e.Pauses[1].After = 76 }, ""},
		{"pauses that touch", func(e *Exercise) { e.Pauses[1].After = 75 }, "pauses.1"},
		{"pause at the very start", func(e *Exercise) { e.Pauses = []Pause{{0, 15}} }, "pauses.0"},
		{"pause without length", func(e *Exercise) { e.Pauses = []Pause{{30, 0}} }, "pauses.0"},
		{"ratio for a station of its own", func(e *Exercise) { e.RatioAt = []StationRatio{{"face", 4}} }, ""},
		{"ratio for a station elsewhere", func(e *Exercise) { e.RatioAt = []StationRatio{{"roof", 4}} }, "ratio_at"},
		{"after itself", func(e *Exercise) { e.After = []After{{Exercise: "harness"}} }, "after"},
		{"gap of exactly one length", func(e *Exercise) { e.After = []After{{Exercise: "x", MinGap: 60, MaxGap: 60}} }, ""},
		{"gap upside down", func(e *Exercise) { e.After = []After{{Exercise: "x", MinGap: 61, MaxGap: 60}} }, "after"},
		{"kit without number", func(e *Exercise) { e.Uses = []KitUse{{"kit", 0}} }, "uses"},
		{"a circuit half live", func(e *Exercise) { e.Energy = []EnergyNeed{{"hydraulics", "half"}} }, "energy"},
		{"a circuit live and dead", func(e *Exercise) { e.Energy = []EnergyNeed{{"hydraulics", "live"}, {"hydraulics", "dead"}} }, "energy"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			e := harness()
			c.change(&e)
			err := e.Check()
			var form *fault.Form
			if errors.As(err, &form); (err == nil) != (c.field == "") || (form != nil && form.Fields[c.field] == "") {
				t.Errorf("got %v, want a message at %q", form, c.field)
			}
		})
	}
}

func TestContactTimeLeavesOutPausesAndTheSmallerRatioBinds(t *testing.T) {
	e := harness()
	if got := e.Contact(); got != 150 {
		t.Errorf("got %s of contact, want 2 h 30", got)
	}
	e.RatioAt = []StationRatio{{"face", 4}, {"deck", 8}}
	if e.RatioOn("face") != 4 || e.RatioOn("deck") != 6 || e.RatioOn("roof") != 6 {
		t.Errorf("got %d, %d, %d; want 4, 6, 6", e.RatioOn("face"), e.RatioOn("deck"), e.RatioOn("roof"))
	}
}

func school() *Catalogue {
	theory := Exercise{ID: "theory", Outcomes: []id.Outcome{"know"}, Stations: []id.Station{"room"}, Minutes: 60, Order: 1}
	climb := Exercise{ID: "climb", Outcomes: []id.Outcome{"fit", "move"}, Stations: []id.Station{"deck", "face"}, After: []After{{Exercise: "theory"}}, Minutes: 120, Order: 2}
	rescue := Exercise{ID: "rescue", Outcomes: []id.Outcome{"lower", "fit"}, Stations: []id.Station{"deck"}, After: []After{{Exercise: "climb"}, {Exercise: "theory"}}, Minutes: 120, Order: 3}
	old := Exercise{ID: "old", Outcomes: []id.Outcome{"know"}, Stations: []id.Station{"room"}, Retired: 100, Order: 4}
	return NewCatalogue(100,
		[]Outcome{{ID: "know"}, {ID: "fit"}, {ID: "move"}, {ID: "lower"}},
		[]Exercise{rescue, old, climb, theory},
		[]Programme{{ID: "height", Exercises: []id.Exercise{"theory", "climb", "rescue"}, Hours: 300,
			Units: []Unit{{Outcomes: []id.Outcome{"know", "fit"}}, {Outcomes: []id.Outcome{"move", "lower", "fit"}}}}})
}

func TestTheCatalogueSaysWhatDeliversAnOutcomeWhere(t *testing.T) {
	c := school()
	if p := c.Check(); len(p) != 0 {
		t.Fatalf("got problems %v, want none", p)
	}
	if got := c.Delivering("fit"); len(got) != 2 || got[0].ID != "climb" || got[1].ID != "rescue" {
		t.Errorf("got %v, want climb and rescue in teaching order", got)
	}
	if got, want := c.Ways("fit", nil), []Way{{"climb", "deck"}, {"climb", "face"}, {"rescue", "deck"}}; !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	without := func(s id.Station) func(id.Station) bool { return func(x id.Station) bool { return x != s } }
	if s, ok := c.OnlyStation("lower", nil); !ok || s != "deck" {
		t.Errorf("lower: got %q (%t), want the deck alone", s, ok)
	}
	if _, ok := c.OnlyStation("fit", nil); ok {
		t.Error("fit: got one station, want several")
	}
	if s, ok := c.OnlyStation("fit", without("face")); !ok || s != "deck" {
		t.Errorf("fit without the face: got %q (%t), want the deck alone", s, ok)
	}
	if got := c.Ways("lower", without("deck")); len(got) != 0 {
		t.Errorf("lower without the deck: got %v, want no way", got)
	}
	if _, ok := c.OnlyStation("lower", without("deck")); ok {
		t.Error("an outcome without a way has a station")
	}
	if got, want := c.Before("rescue"), []id.Exercise{"theory", "climb"}; !slices.Equal(got, want) {
		t.Errorf("before rescue: got %v, want %v", got, want)
	}
	if _, ok := c.Exercise("old"); ok {
		t.Error("a retired exercise is taught")
	}
	if got, want := c.Programmes[0].Outcomes(), []id.Outcome{"know", "fit", "move", "lower"}; !slices.Equal(got, want) {
		t.Errorf("got %v, want each outcome once: %v", got, want)
	}
}

func TestAnExerciseRetiresOnItsDay(t *testing.T) {
	e := Exercise{Retired: 100}
	if !e.On(99) || e.On(100) || !(Exercise{}).On(100) {
		t.Error("want it taught through the day before it retires")
	}
}

func TestProblemsBetweenRecordsAreFound(t *testing.T) {
	cases := []struct {
		name   string
		change func(*Catalogue)
		want   string
	}{
		{"an exercise after one not taught", func(c *Catalogue) { c.Exercises[0].After = []After{{Exercise: "gone"}} }, "comes after gone, which is not taught"},
		{"an outcome not known", func(c *Catalogue) { c.Exercises[0].Outcomes = []id.Outcome{"know", "fly"} }, "delivers fly, which is not an outcome"},
		{"two that wait for each other", func(c *Catalogue) { c.Exercises[1].After = []After{{Exercise: "rescue"}} }, "waits for itself: climb after rescue after climb"},
		{"one that waits for itself", func(c *Catalogue) { c.Exercises[0].After = []After{{Exercise: "theory"}} }, "waits for itself: theory after theory"},
		{"a programme without exercises", func(c *Catalogue) { c.Programmes[0].Exercises = nil }, "has no exercises"},
		{"a programme with one twice", func(c *Catalogue) {
			c.Programmes[0].Exercises = append(c.Programmes[0].Exercises, "rescue")
		}, "lists an exercise twice"},
		{"a programme with one not taught", func(c *Catalogue) { c.Programmes[0].Exercises[0] = "old" }, "lists old, which is not taught"},
		{"a programme in the wrong order", func(c *Catalogue) { c.Programmes[0].Exercises = []id.Exercise{"climb", "theory", "rescue"} }, "teaches climb before theory, which it comes after"},
		{"a programme that leaves out the first", func(c *Catalogue) { c.Programmes[0].Exercises = []id.Exercise{"climb", "rescue"} }, "asks for know, which none of its exercises delivers"},
		{"a programme with an outcome not known", func(c *Catalogue) { c.Programmes[0].Units[0].Outcomes[0] = "fly" }, "asks for fly, which is not an outcome"},
		{"a programme a minute short", func(c *Catalogue) { c.Programmes[0].Hours = 301 }, "teaches 5 h and asks for 5 h 01"},
	}
	for _, k := range cases {
		t.Run(k.name, func(t *testing.T) {
			c := school()
			k.change(c)
			got := c.Check()
			if !slices.ContainsFunc(got, func(p Problem) bool { return p.Say == k.want }) {
				t.Errorf("got %v, want %q among them", got, k.want)
			}
		})
	}
}

func TestACycleIsFoundExactlyWhereThereIsOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 7).Draw(t, "exercises")
		var list []Exercise
		for i := range n {
			e := Exercise{ID: id.Exercise(rune('a' + i)), Order: i}
			for j := range n {
				if rapid.IntRange(0, 4).Draw(t, "after") == 0 {
					e.After = append(e.After, After{Exercise: id.Exercise(rune('a' + j))})
				}
			}
			list = append(list, e)
		}
		c := NewCatalogue(1, nil, list, nil)
		// A second way to see it: take away what waits for nothing, until nothing changes.
		left := slices.Clone(list)
		for {
			before := len(left)
			left = slices.DeleteFunc(left, func(e Exercise) bool {
				return !slices.ContainsFunc(e.After, func(a After) bool {
					return slices.ContainsFunc(left, func(o Exercise) bool { return o.ID == a.Exercise })
				})
			})
			if len(left) == before {
				break
			}
		}
		cycle := c.cycle()
		if (cycle != nil) != (len(left) > 0) {
			t.Fatalf("got cycle %v, but %d exercises wait for each other", cycle, len(left))
		}
		for i := 1; i < len(cycle); i++ {
			e, _ := c.Exercise(cycle[i-1])
			if !slices.ContainsFunc(e.After, func(a After) bool { return a.Exercise == cycle[i] }) {
				t.Fatalf("%v: %s does not come after %s", cycle, cycle[i-1], cycle[i])
			}
		}
		if cycle != nil && cycle[0] != cycle[len(cycle)-1] {
			t.Fatalf("%v does not close", cycle)
		}
	})
}
