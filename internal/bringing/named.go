package bringing

import (
	"rungbook/internal/credential"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/store"
)

// named finds what rows name, by plain name: each is gathered once for a file, not
// once for a row. Nil maps have not been asked for.
type named struct {
	exercises  map[string]curriculum.Exercise
	stations   map[string]rig.Station
	programmes map[string]*curriculum.Programme
	employers  map[string]id.Employer // by folded name
	subjects   map[string][]subject
	papers     map[string]credential.Certificate // by the text of the cell
}

// byName gathers records by plain name; of two with one name the first in the
// order of lists counts.
func byName[T any](all []T, name func(T) string) map[string]T {
	out := make(map[string]T, len(all))
	for _, x := range all {
		key := plainName(name(x))
		if _, ok := out[key]; !ok {
			out[key] = x
		}
	}
	return out
}

func namesOf[T any](all []T, name func(T) string) (out []string) {
	for _, x := range all {
		out = append(out, name(x))
	}
	return out
}

func (b *bench) exerciseName(e curriculum.Exercise) string   { return b.ref.Text(e.Name) }
func (b *bench) stationName(s rig.Station) string            { return b.ref.Text(s.Name) }
func (b *bench) programmeName(p curriculum.Programme) string { return b.ref.Text(p.Name) }

// exercise finds an exercise by name; quiet leaves the refusal to the caller.
func (l *line) exercise(field, name string, quiet bool) (curriculum.Exercise, bool) {
	if l.named.exercises == nil {
		l.named.exercises = byName(l.ref.Exercises.All(l.today), l.exerciseName)
	}
	e, ok := l.named.exercises[plainName(name)]
	if !ok && !quiet && name != "" {
		names := namesOf(l.ref.Exercises.All(l.today), l.exerciseName)
		l.refuse(field, "There is no exercise %q.%s", name, l.nearest(plainName(name), names))
	}
	return e, ok
}

func (l *line) station() (rig.Station, bool) {
	if l.named.stations == nil {
		l.named.stations = byName(l.ref.Stations.All(l.today), l.stationName)
	}
	name := l.text("station")
	s, ok := l.named.stations[plainName(name)]
	if !ok && name != "" {
		names := namesOf(l.ref.Stations.All(l.today), l.stationName)
		l.refuse("station", "There is no station %q.%s", name, l.nearest(plainName(name), names))
	}
	return s, ok && name != ""
}

// programme finds a programme by name, nil for none.
func (l *line) programme() *curriculum.Programme {
	if l.named.programmes == nil {
		l.named.programmes = map[string]*curriculum.Programme{}
		for name, p := range byName(l.ref.Programmes.All(l.today), l.programmeName) {
			l.named.programmes[name] = &p
		}
	}
	name := l.text("programme")
	p := l.named.programmes[plainName(name)]
	if p == nil && name != "" {
		names := namesOf(l.ref.Programmes.All(l.today), l.programmeName)
		l.refuse("programme", "There is no programme %q.%s", name, l.nearest(plainName(name), names))
	}
	return p
}

// employerOf returns the employer that goes by a name, "" for none.
func (b *bench) employerOf(name string) id.Employer {
	if b.named.employers == nil {
		b.named.employers = employersOf(b.ref, b.v)
	}
	return b.named.employers[store.Fold(name)]
}

// employersOf returns the employers of today by folded name.
func employersOf(ref *store.Reference, v *store.View) map[string]id.Employer {
	out := map[string]id.Employer{}
	for _, e := range ref.Employers.All(v.Today()) {
		out[store.Fold(ref.Text(e.Name))] = e.ID
	}
	return out
}
