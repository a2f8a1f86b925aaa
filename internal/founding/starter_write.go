package founding

import (
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/curriculum"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/store"
)

// Starting says which examples to begin with, and which stations are their ground.
type Starting struct {
	Examples []string // keys
	Stations map[Ground][]id.Station
}

// pauseAfter is where a longer exercise has its pause, and pauseLength how long
// it is: ours.
const pauseAfter, pauseLength = 120, 15

// Start records the outcomes, exercises and programmes of examples, to be edited.
// A name that is taken is refused, so that nothing of the centre's own is doubled.
func (f *Founder) Start(ctx context.Context, actor access.Actor, s Starting, key string) error {
	_, err := f.write(ctx, actor, access.ChangeYard, key, "programme", Of{}, s, func(d *desk) error {
		bad := fault.Fields{}
		for _, e := range Examples() {
			if !slices.Contains(s.Examples, e.Key) {
				continue
			}
			for _, g := range groundsOf(e) {
				if len(s.Stations[g]) == 0 {
					bad.Add(string(g), "%s is taught there, and no station is ticked.", e.Name)
				}
			}
			if len(bad) > 0 {
				continue
			}
			if err := d.startExample(e, s); err != nil {
				return err
			}
		}
		if len(s.Examples) == 0 {
			bad.Add("examples", "No example is ticked.")
		}
		return bad.Err()
	})
	return err
}

// groundsOf lists the kinds of ground that an example needs.
func groundsOf(e Example) []Ground {
	var out []Ground
	for _, g := range Grounds() {
		if slices.ContainsFunc(e.Exercises, func(x ExampleExercise) bool { return x.Ground == g }) {
			out = append(out, g)
		}
	}
	return out
}

func (d *desk) startExample(e Example, s Starting) error {
	made := map[string]id.Exercise{}
	p := curriculum.Programme{ID: id.Programme(d.ID()), Hours: e.Hours, Validity: e.Validity}
	ref, err := d.View().Reference()
	if err != nil {
		return err
	}
	p.Order = ref.Programmes.Len() + 1
	if err := takenBy(ref, ref.Programmes.All(d.Today()), e.Name, func(x curriculum.Programme) id.Commitment { return x.Name }); err != nil {
		return err
	}
	for i, x := range e.Exercises {
		if err := takenBy(ref, ref.Exercises.All(d.Today()), x.Name, func(x curriculum.Exercise) id.Commitment { return x.Name }); err != nil {
			return err
		}
		r, err := d.exampleExercise(x, made, s)
		if err != nil {
			return err
		}
		r.Order = ref.Exercises.Len() + i + 1
		made[x.Key] = r.ID
		if _, err := d.Put("recorded", 0, r); err != nil {
			return err
		}
		p.Exercises = append(p.Exercises, r.ID)
		at := slices.IndexFunc(e.Exercises, func(o ExampleExercise) bool { return o.Unit == x.Unit })
		if at == i {
			p.Units = append(p.Units, curriculum.Unit{Name: d.Seal("programme/"+string(p.ID), "unit", x.Unit)})
		}
		unit := unitOf(e, x.Unit)
		for _, o := range r.Outcomes {
			if !slices.Contains(p.Units[unit].Outcomes, o) {
				p.Units[unit].Outcomes = append(p.Units[unit].Outcomes, o)
			}
		}
	}
	p.Name = d.Seal("programme/"+string(p.ID), "name", e.Name)
	_, err = d.Put("recorded", 0, p)
	return err
}

// unitOf is the place of a unit among those of an example, in the order in which
// they first come.
func unitOf(e Example, name string) int {
	var seen []string
	for _, x := range e.Exercises {
		if !slices.Contains(seen, x.Unit) {
			seen = append(seen, x.Unit)
		}
	}
	return slices.Index(seen, name)
}

func takenBy[T any](ref *store.Reference, all []T, name string, of func(T) id.Commitment) error {
	if slices.ContainsFunc(all, func(x T) bool { return sameName(ref.Text(of(x)), name) }) {
		return fault.Field("examples", "%q is there already. Rename it first, or leave this example out.", name)
	}
	return nil
}

// exampleExercise makes the record of an example's exercise. One longer than two
// hours has a pause.
func (d *desk) exampleExercise(x ExampleExercise, made map[string]id.Exercise, s Starting) (curriculum.Exercise, error) {
	r := curriculum.Exercise{ID: id.Exercise(d.ID()), Setting: x.Setting, Minutes: x.Minutes, Stations: s.Stations[x.Ground], GroupMin: 1, GroupMax: x.Ratio, Ratio: x.Ratio, Requires: x.Requires}
	if x.Minutes > pauseAfter {
		r.Pauses = []curriculum.Pause{{After: x.Minutes / 2, Minutes: pauseLength}}
		r.Minutes += pauseLength
	}
	if x.Setting != curriculum.Theory {
		r.Setup, r.Strike = pauseLength, pauseLength
	}
	for _, key := range x.After {
		r.After = append(r.After, curriculum.After{Exercise: made[key]})
	}
	ref, err := d.View().Reference()
	if err != nil {
		return r, err
	}
	d.ref = ref // outcomes of the exercises before are known by their words
	r.Name = d.Seal("exercise/"+string(r.ID), "name", x.Name)
	if r.Outcomes, err = d.outcomes(x.Outcomes); err != nil {
		return r, err
	}
	return r, r.Check()
}
