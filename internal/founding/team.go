package founding

import (
	"context"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
)

// Member is one of the staff as a row of a form gives them, with their papers.
type Member struct {
	Who        id.Person // who signed in and works here from now; "" = somebody new
	Name, Born string
	Papers     Qualifications // of whom is filled in
}

// Team are people who begin to work here together.
type Team struct {
	Rows  []Member
	Staff people.Staff // when they all work, and which limits on rest bind them
}

// Team records people who work here and their papers, all or nobody. Messages name
// the fields of a row. A row without a name is left out.
func (f *Founder) Team(ctx context.Context, actor access.Actor, t Team, key string) error {
	if _, err := access.Require(actor, access.RecordCertificate); err != nil {
		return err
	}
	_, err := f.write(ctx, actor, access.ChangeRecords, key, "person", Of{}, t, func(d *desk) error {
		number, err := d.View().LastCertificateNumber()
		if err != nil {
			return err
		}
		bad := fault.Fields{}
		addTo(bad, withID(t.Staff, "new").Check())
		made := 0
		for i, row := range t.Rows {
			if strings.TrimSpace(row.Name) == "" {
				if row.Born != "" || row.Papers.stated() {
					bad.Add(rowField("name", i), "The person of row %d has no name.", i+1)
				}
				continue
			}
			made++
			own := fault.Fields{}
			if err := d.member(t.Staff, row, &number, own); err != nil {
				return err
			}
			for field, message := range own {
				bad.Add(rowField(field, i), "%s", message)
			}
		}
		if made == 0 {
			bad.Add(rowField("name", 0), "Nobody is named. Give at least one name.")
		}
		return bad.Err()
	})
	return err
}

func withID(s people.Staff, who id.Person) people.Staff {
	s.ID = who
	return s
}

// member writes one row. A name that is on record already is refused: whether it
// is the same person the form of one person can't be asked here.
func (d *desk) member(staff people.Staff, row Member, number *int, bad fault.Fields) error {
	who := row.Who
	switch {
	case who == "":
		born, err := d.born(row.Born, bad)
		if err != nil {
			return err
		}
		there, err := namesakes(d.View(), row.Name, born)
		if err != nil {
			return err
		}
		if len(there) > 0 {
			bad.Add("name", "Somebody called %s is on record. Record this person in a form of their own, so that nobody is taken for another.", strings.TrimSpace(row.Name))
			return nil
		}
		who = id.Person(d.ID())
		made, _, err := d.fillPerson(people.Person{ID: who}, row.Name, born, "")
		if err != nil {
			return err
		}
		addTo(bad, made.Check())
		if _, err := d.Put("recorded", 0, made); err != nil {
			return err
		}
	default:
		if _, err := d.View().Person(who); err != nil {
			return err
		}
		if len(d.ref.Staff.Versions(who)) > 0 {
			bad.Add("name", "They work here already. Leave the row empty, and record papers in their own form.")
			return nil
		}
	}
	if _, err := d.Put("taken-on", 0, withID(staff, who)); err != nil {
		return err
	}
	if !row.Papers.stated() {
		return nil
	}
	q := row.Papers
	q.Person = who
	err := d.qualify(q, number)
	if err != nil && fault.Of(err) != fault.Invalid {
		return err
	}
	addTo(bad, err)
	return nil
}
