package founding

import (
	"context"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/store"
)

// OnRecord is somebody on record whom a newcomer may be.
type OnRecord struct {
	ID                           id.Person
	Name, Born, Number, Employer string   // "" where it is not stated, or erased
	Intakes                      []string // names of those they came with
	Works                        bool     // here
}

// OnRecord returns who a newcomer may be: everybody of the same name whose birth
// date does not say otherwise. born is a day as 2006-01-02, or "".
func (f *Founder) OnRecord(ctx context.Context, actor access.Actor, name, born string) (out []OnRecord, err error) {
	if _, err := access.Require(actor, access.ChangeRecords); err != nil {
		return nil, err
	}
	err = f.store.Read(ctx, func(v *store.View) error {
		ref, err := v.Reference()
		if err != nil {
			return err
		}
		rows, err := namesakes(v, name, born)
		for _, r := range rows {
			texts, err := v.Texts(r.Person.Born, r.Person.Number)
			if err != nil {
				return err
			}
			e, _ := ref.Employers.On(r.Employer, v.Today())
			one := OnRecord{ID: r.Person.ID, Name: r.Name, Born: texts[r.Person.Born], Number: texts[r.Person.Number], Employer: ref.Text(e.Name), Works: r.Staff}
			for _, of := range r.Intakes {
				in, _ := ref.Intakes.On(of, v.Today())
				one.Intakes = append(one.Intakes, ref.Text(in.Name))
			}
			out = append(out, one)
		}
		return err
	})
	return out, err
}

// namesakes are the people of a name whose birth date is the same, or not known
// on one of the two sides.
func namesakes(v *store.View, name, born string) (out []store.PersonRow, err error) {
	for f := (store.PersonFilter{NamePart: strings.Join(strings.Fields(name), " ")}); ; {
		rows, next, err := v.Persons(f)
		if err != nil {
			return nil, err
		}
		for _, r := range rows {
			if !sameName(r.Name, name) {
				continue
			}
			texts, err := v.Texts(r.Person.Born)
			if err != nil {
				return nil, err
			}
			if theirs := texts[r.Person.Born]; theirs == born || theirs == "" || born == "" {
				out = append(out, r)
			}
		}
		if next == "" {
			return out, nil
		}
		f.AfterKey = next
	}
}

// whoIs returns the person of a row: a new one, or the one on record whom the form
// says it is. A name and a birth date alone decide nothing: two people can share
// them, and the rest of one person must be counted together. The zero person is
// for a row that was refused.
func (d *desk) whoIs(in people.Intake, row Newcomer, i int, born string, bad fault.Fields) (people.Person, error) {
	there, err := namesakes(d.View(), row.Name, born)
	if err != nil {
		return people.Person{}, err
	}
	at := slices.IndexFunc(there, func(r store.PersonRow) bool { return string(r.Person.ID) == row.Same })
	switch {
	case at >= 0:
		theirs, err := d.View().TraineesOfPersons(there[at].Person.ID)
		if err != nil {
			return people.Person{}, err
		}
		if slices.ContainsFunc(theirs, func(x people.Trainee) bool { return x.Intake == in.ID }) {
			bad.Add(rowField("name", i), "%s is in this intake already.", there[at].Name)
			return people.Person{}, nil
		}
		return there[at].Person, nil
	case len(there) > 0 && row.Same != SomebodyElse:
		bad.Add(rowField("same", i), "%s is a name on record. Say whether they are the same person.", strings.Join(strings.Fields(row.Name), " "))
		return people.Person{}, nil
	}
	made := people.Person{ID: id.Person(d.ID()), Employer: in.Employer}
	if made, _, err = d.fillPerson(made, row.Name, born, row.Number); err != nil {
		return people.Person{}, err
	}
	_, err = d.Put("recorded", 0, made)
	return made, err
}
