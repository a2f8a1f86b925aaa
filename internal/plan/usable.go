package plan

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
)

func sortPolicies(list []RestPolicy) {
	slices.SortFunc(list, func(a, b RestPolicy) int { return cmp.Compare(a.Name, b.Name) })
}

var pointerEscapes = strings.NewReplacer("~", "~0", "/", "~1")

// Pointer builds a JSON pointer (RFC 6901) from names and indexes.
func Pointer(steps ...any) string {
	var b strings.Builder
	for _, step := range steps {
		b.WriteByte('/')
		switch v := step.(type) {
		case int:
			b.WriteString(strconv.Itoa(v))
		case string:
			b.WriteString(pointerEscapes.Replace(v))
		}
	}
	return b.String()
}

// Usable reports the first reason why no plan can be asked of p: the list
// *Unusable* of the format, but for what the rules tell. The error is a
// *fault.Error of kind Invalid with a JSON pointer.
func (p *Problem) Usable() error {
	c := &census{p: p}
	for _, part := range []func(*census) error{
		(*census).horizon, (*census).kinds, (*census).stations, (*census).exercises, (*census).order,
		(*census).staff, (*census).trainees, (*census).fixed, (*census).costs,
	} {
		if err := part(c); err != nil {
			return err
		}
	}
	return nil
}

// census knows the ids of a problem by kind.
type census struct {
	p                                                   *Problem
	policies, rigs, stationIDs, circuits, kits, courses known
	exerciseIDs, people, traineeIDs, intakes            known
}

type known map[string]int

func (k known) has(id string) bool {
	_, ok := k[id]
	return ok
}

// IsID reports whether s has the form of an id: 1 to 64 of A-Z a-z 0-9 . _ -
func IsID(s string) bool {
	if len(s) < 1 || len(s) > 64 {
		return false
	}
	for i := range len(s) {
		c := s[i]
		if (c < 'a' || c > 'z') && (c < 'A' || c > 'Z') && (c < '0' || c > '9') && c != '.' && c != '_' && c != '-' {
			return false
		}
	}
	return true
}

func wantID(id string, at ...any) error {
	if !IsID(id) {
		return fault.Field(Pointer(at...), "%q is not an id (1 to 64 of A-Z a-z 0-9 . _ -)", id)
	}
	return nil
}

// ids collects the ids of one kind and refuses ill-formed and repeated ones.
func ids[T any](list []T, id func(*T) string, kind string) (known, error) {
	k := make(known, len(list))
	for i := range list {
		v := id(&list[i])
		if !IsID(v) {
			return nil, wantID(v, kind, i, "id")
		}
		if k.has(v) {
			return nil, fault.Field(Pointer(kind, i, "id"), "the id %q is used twice", v)
		}
		k[v] = i
	}
	return k, nil
}

func (c *census) kinds() error {
	p := c.p
	for _, kind := range []struct {
		to  *known
		ids func() (known, error)
	}{
		{&c.policies, func() (known, error) { return policyNames(p.RestPolicies) }},
		{&c.rigs, func() (known, error) { return ids(p.Rigs, func(v *Rig) string { return v.ID }, "rigs") }},
		{&c.stationIDs, func() (known, error) { return ids(p.Stations, func(v *Station) string { return v.ID }, "stations") }},
		{&c.circuits, func() (known, error) { return ids(p.Circuits, func(v *Circuit) string { return v.ID }, "circuits") }},
		{&c.kits, func() (known, error) { return ids(p.Kits, func(v *Kit) string { return v.ID }, "kits") }},
		{&c.exerciseIDs, func() (known, error) { return ids(p.Exercises, func(v *Exercise) string { return v.ID }, "exercises") }},
		{&c.courses, func() (known, error) { return ids(p.Courses, func(v *Course) string { return v.ID }, "courses") }},
		{&c.people, func() (known, error) { return ids(p.People, func(v *Person) string { return v.ID }, "people") }},
		{&c.traineeIDs, func() (known, error) { return ids(p.Trainees, func(v *Trainee) string { return v.ID }, "trainees") }},
		{&c.intakes, func() (known, error) { return ids(p.Intakes, func(v *Intake) string { return v.ID }, "intakes") }},
	} {
		found, err := kind.ids()
		if err != nil {
			return err
		}
		*kind.to = found
	}
	for i := range p.Trainees {
		if c.people.has(p.Trainees[i].ID) {
			return fault.Field(Pointer("trainees", i, "id"), "the id %q is also a person's; ids of people and trainees differ", p.Trainees[i].ID)
		}
	}
	return nil
}

func policyNames(list []RestPolicy) (known, error) {
	k := make(known, len(list))
	for i := range list {
		name := list[i].Name
		if name == "" || k.has(name) {
			return nil, fault.Field(Pointer("rest_policies", name), "a rest policy needs a name of its own")
		}
		k[name] = i
	}
	return k, nil
}

// knownOnce refuses ids in a list that are unknown or repeated there.
func knownOnce(list []string, in known, what string, at ...any) error {
	for i, id := range list {
		if !in.has(id) {
			return fault.Field(Pointer(append(slices.Clone(at), i)...), "no %s has the id %q", what, id)
		}
		if slices.Contains(list[:i], id) {
			return fault.Field(Pointer(append(slices.Clone(at), i)...), "%q is listed twice", id)
		}
	}
	return nil
}

// periods refuses periods that end no later than they start.
func periods(list []civil.Period, at ...any) error {
	for i, v := range list {
		if v.Start >= v.End {
			return fault.Field(Pointer(append(slices.Clone(at), i)...), "the period ends no later than it starts")
		}
	}
	return nil
}
