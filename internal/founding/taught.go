package founding

import (
	"context"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/curriculum"
	"rungbook/internal/fault"
	"rungbook/internal/id"
)

// Exercise is an exercise as a form gives it: its record without id, name and
// outcomes, which stand in plain words, one thing a trainee must be able to do
// each. An outcome that is known by these words is the same one.
type Exercise struct {
	Record   curriculum.Exercise
	Name     string
	Outcomes []string
}

// Exercise records an exercise, or its new version from the day given: sessions
// are judged, and records read, by the version of their day.
func (f *Founder) Exercise(ctx context.Context, actor access.Actor, of Of, e Exercise, key string) (string, error) {
	return f.write(ctx, actor, access.ChangeYard, key, "exercise", of, e, func(d *desk) error {
		versions := d.ref.Exercises.Versions(id.Exercise(d.id))
		var was curriculum.Exercise
		if n := len(versions); n > 0 {
			was = versions[n-1].Value
		} else if !d.fresh() {
			return gone("exercise")
		}
		if err := taken(d.ref, d.ref.Exercises.All(d.Today()), e.Name, func(x curriculum.Exercise) (string, id.Commitment) { return string(x.ID), x.Name }, d.id); err != nil {
			return err
		}
		r := exerciseAsBefore(e.Record, was)
		r.ID, r.Name, r.Retired, r.Order = id.Exercise(d.id), d.text("name", e.Name, was.Name), was.Retired, was.Order
		if d.fresh() {
			r.Order = d.ref.Exercises.Len() + 1
		}
		var err error
		if r.Outcomes, err = d.outcomes(e.Outcomes); err != nil {
			return err
		}
		if err := r.Check(); err != nil {
			return err
		}
		if err := d.waitsForItself(r); err != nil {
			return err
		}
		return d.put(r)
	})
}

// outcomes returns the records that go by these words, and makes those that are
// not there yet.
func (d *desk) outcomes(words []string) ([]id.Outcome, error) {
	standing := slices.DeleteFunc(d.ref.Outcomes.All(d.Today()), func(o curriculum.Outcome) bool { return o.Retired != 0 })
	var out []id.Outcome
	for _, w := range words {
		w = strings.TrimSpace(w)
		if w == "" {
			continue
		}
		if i := slices.IndexFunc(standing, func(o curriculum.Outcome) bool { return sameName(d.ref.Text(o.Name), w) }); i >= 0 {
			if !slices.Contains(out, standing[i].ID) {
				out = append(out, standing[i].ID)
			}
			continue
		}
		made := id.Outcome(d.ID())
		if _, err := d.Put("recorded", 0, curriculum.Outcome{ID: made, Name: d.Seal("outcome/"+string(made), "name", w)}); err != nil {
			return nil, err
		}
		out = append(out, made)
	}
	return out, nil
}

// waitsForItself refuses an exercise that would come after one that comes after it.
func (d *desk) waitsForItself(e curriculum.Exercise) error {
	day := max(d.Today(), d.of.From)
	all := slices.DeleteFunc(d.ref.Exercises.All(day), func(x curriculum.Exercise) bool { return x.ID == e.ID })
	for _, p := range curriculum.NewCatalogue(day, nil, append(all, e), nil).Check() {
		if strings.HasPrefix(p.Say, "waits for itself") {
			return fault.Field("after", "It would come after an exercise that itself comes after this one. Take one of them out.")
		}
	}
	return nil
}

// Outcome renames an outcome, or records one that no exercise delivers yet.
func (f *Founder) Outcome(ctx context.Context, actor access.Actor, of Of, name, key string) (string, error) {
	return f.write(ctx, actor, access.ChangeYard, key, "outcome", of, name, func(d *desk) error {
		was, ok := d.ref.Outcomes.On(id.Outcome(d.id), d.Today())
		if !ok && !d.fresh() {
			return gone("outcome")
		}
		if err := taken(d.ref, d.ref.Outcomes.All(d.Today()), name, func(x curriculum.Outcome) (string, id.Commitment) { return string(x.ID), x.Name }, d.id); err != nil {
			return err
		}
		was.ID, was.Name = id.Outcome(d.id), d.text("name", name, was.Name)
		if was.Name == "" {
			return fault.Field("name", "The outcome has no words. Say what a trainee must be able to do.")
		}
		return d.put(was)
	})
}

// Programme is a programme as a form gives it: its exercises in teaching order,
// each in a unit by name. The outcomes of a unit are those of its exercises.
type Programme struct {
	Name     string
	Teaches  []Taught
	Hours    civil.Minutes
	SpanDays int
	Validity string // rule-book line, "" = no end
}

// Taught is one exercise of a programme.
type Taught struct {
	Unit     string
	Exercise id.Exercise
}

// Programme records a programme, or its new version from the day given.
func (f *Founder) Programme(ctx context.Context, actor access.Actor, of Of, p Programme, key string) (string, error) {
	return f.write(ctx, actor, access.ChangeYard, key, "programme", of, p, func(d *desk) error {
		versions := d.ref.Programmes.Versions(id.Programme(d.id))
		var was curriculum.Programme
		if n := len(versions); n > 0 {
			was = versions[n-1].Value
		} else if !d.fresh() {
			return gone("programme")
		}
		if err := taken(d.ref, d.ref.Programmes.All(d.Today()), p.Name, func(x curriculum.Programme) (string, id.Commitment) { return string(x.ID), x.Name }, d.id); err != nil {
			return err
		}
		r := was
		r.ID, r.Name = id.Programme(d.id), d.text("name", p.Name, was.Name)
		r.Hours, r.SpanDays, r.Validity, r.Exercises, r.Units = p.Hours, p.SpanDays, p.Validity, nil, nil
		if d.fresh() {
			r.Order = d.ref.Programmes.Len() + 1
		}
		if err := d.fillProgramme(&r, p, was); err != nil {
			return err
		}
		return d.put(r)
	})
}

func (d *desk) fillProgramme(r *curriculum.Programme, p Programme, was curriculum.Programme) error {
	bad := fault.Fields{}
	if r.Name == "" {
		bad.Add("name", "The programme has no name.")
	}
	if r.SpanDays < 0 || r.Hours < 0 {
		bad.Add("span_days", "Days and hours are not negative; leave a field empty for none.")
	}
	if len(p.Teaches) == 0 {
		bad.Add("teaches", "The programme teaches nothing. Write one exercise a line.")
	}
	day := max(d.Today(), d.of.From)
	var unit []string
	for _, t := range p.Teaches {
		e, ok := d.ref.Exercises.On(t.Exercise, day)
		if !ok || !e.On(day) {
			bad.Add("teaches", "%q is not taught on %s.", d.ref.Text(e.Name), day)
			continue
		}
		r.Exercises = append(r.Exercises, e.ID)
		i := slices.Index(unit, t.Unit)
		if i < 0 {
			i, unit = len(unit), append(unit, t.Unit)
			var before id.Commitment
			if at := slices.IndexFunc(was.Units, func(u curriculum.Unit) bool { return d.ref.Text(u.Name) == t.Unit }); at >= 0 {
				before = was.Units[at].Name
			}
			r.Units = append(r.Units, curriculum.Unit{Name: d.text("unit", t.Unit, before)})
		}
		for _, o := range e.Outcomes {
			if !slices.Contains(r.Units[i].Outcomes, o) {
				r.Units[i].Outcomes = append(r.Units[i].Outcomes, o)
			}
		}
	}
	r.Units = unitsAsBefore(r.Units, was.Units)
	if len(bad) == 0 {
		for _, wrong := range curriculum.NewCatalogue(day, d.ref.Outcomes.All(day), d.ref.Exercises.All(day), []curriculum.Programme{*r}).Check() {
			if wrong.Programme == r.ID {
				bad.Add("teaches", "The programme %s.", d.inNames(wrong.Say))
			}
		}
	}
	return bad.Err()
}

// inNames puts names of exercises for the ids in a sentence of the catalogue.
func (d *desk) inNames(say string) string {
	for _, e := range d.ref.Exercises.All(civil.LastDay) {
		say = strings.ReplaceAll(say, string(e.ID), d.ref.Text(e.Name))
	}
	for _, o := range d.ref.Outcomes.All(civil.LastDay) {
		say = strings.ReplaceAll(say, string(o.ID), d.ref.Text(o.Name))
	}
	return say
}
