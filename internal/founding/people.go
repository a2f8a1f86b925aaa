package founding

import (
	"context"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// Person is one of the staff as a form gives them. StaffRev is the revision of
// the staff record that the form showed, beside that of the person in Of.
type Person struct {
	Name, Born, Number, Employer string
	Works                        bool // at the yard; else they are a person only, such as a trainee
	Staff                        people.Staff
	StaffRev                     int64
}

// Person records a person who works at the yard, or changes what is known of
// them. When they work counts from the day given.
func (f *Founder) Person(ctx context.Context, actor access.Actor, of Of, p Person, key string) (string, error) {
	return f.write(ctx, actor, access.ChangeRecords, key, "person", of, p, func(d *desk) error {
		who := id.Person(d.id)
		if p.StaffRev > 0 {
			if err := d.Expect("staff", d.id, p.StaffRev); err != nil {
				return err
			}
		}
		r := people.Person{ID: who}
		if !d.fresh() {
			row, err := d.View().Person(who)
			if err != nil {
				return err
			}
			r = row.Value
		}
		bad := fault.Fields{}
		born, err := d.born(p.Born, bad)
		if err != nil {
			return err
		}
		r, changed, err := d.fillPerson(r, p.Name, born, p.Number)
		if err != nil {
			return err
		}
		before := r.Employer
		if r.Employer, err = d.employer(p.Employer); err != nil {
			return err
		}
		changed = changed || before != r.Employer
		staff := p.Staff
		staff.ID = who
		was, worked := d.ref.Staff.On(who, d.Today())
		if worked {
			staff.Rest = asBefore(staff.Rest, was.Rest)
		}
		addTo(bad, r.Check())
		switch {
		case p.Works:
			addTo(bad, staff.Check())
		case worked:
			bad.Add("works", "They work here since %s. Give the last day on which they do instead.", was.From)
		}
		if err := bad.Err(); err != nil {
			return err
		}
		if changed || d.fresh() {
			if _, err := d.Put(d.act(), 0, r); err != nil {
				return err
			}
		}
		if !p.Works {
			return nil
		}
		return d.putStaff(staff)
	})
}

// putStaff writes a staff record from the day it counts: its first day, where it
// is the person's first record.
func (d *desk) putStaff(s people.Staff) error {
	from, act := d.of.From, "changed"
	if len(d.ref.Staff.Versions(s.ID)) == 0 {
		from, act = 0, "taken-on"
	}
	_, err := d.Put(act, from, s)
	return err
}

// born reads a birth date in the form 2006-01-02.
func (d *desk) born(typed string, bad fault.Fields) (string, error) {
	typed = strings.TrimSpace(typed)
	if typed == "" {
		return "", nil
	}
	day, err := civil.ParseDay(typed)
	switch {
	case err != nil:
		bad.Add("born", "%q is not a day. Give the birth date as year-month-day, such as 1994-06-30.", typed)
	case day >= d.Today():
		bad.Add("born", "%s is today or still to come. Give the birth date.", day)
	}
	return typed, nil
}

// fillPerson puts typed texts in a person's record; those that are the same keep
// their commitments.
func (d *desk) fillPerson(r people.Person, name, born, number string) (people.Person, bool, error) {
	was, err := d.View().Texts(r.Name, r.Born, r.Number)
	if err != nil {
		return r, false, err
	}
	changed := false
	set := func(c *id.Commitment, field, typed string) {
		typed = strings.Join(strings.Fields(typed), " ")
		if typed == was[*c] {
			return
		}
		*c, changed = d.Seal("person/"+string(r.ID), field, typed), true
	}
	set(&r.Name, "name", name)
	set(&r.Born, "born", born)
	set(&r.Number, "number", number)
	return r, changed, nil
}

// employer returns the employer that goes by a name, and makes one that is not
// there yet; "" for no name.
func (d *desk) employer(name string) (id.Employer, error) {
	name = strings.TrimSpace(name)
	if name == "" {
		return "", nil
	}
	ref, err := d.View().Reference()
	if err != nil {
		return "", err
	}
	for _, e := range ref.Employers.All(d.Today()) {
		if e.Retired == 0 && sameName(ref.Text(e.Name), name) {
			return e.ID, nil
		}
	}
	made := id.Employer(d.ID())
	_, err = d.Put("recorded", 0, people.Employer{ID: made, Name: d.Seal("employer/"+string(made), "name", name)})
	return made, err
}

// Employer renames an employer.
func (f *Founder) Employer(ctx context.Context, actor access.Actor, of Of, name, key string) (string, error) {
	return f.write(ctx, actor, access.ChangeRecords, key, "employer", of, name, func(d *desk) error {
		was, ok := d.ref.Employers.On(id.Employer(d.id), d.Today())
		if !ok && !d.fresh() {
			return gone("employer")
		}
		if err := taken(d.ref, d.ref.Employers.All(d.Today()), name, func(x people.Employer) (string, id.Commitment) { return string(x.ID), x.Name }, d.id); err != nil {
			return err
		}
		was.ID, was.Name = id.Employer(d.id), d.text("name", name, was.Name)
		if was.Name == "" {
			return fault.Field("name", "The employer has no name.")
		}
		return d.put(was)
	})
}

// Appointing names who answers for which field, all in one span of days. A field
// without a person is left as it is.
type Appointing struct {
	For         map[verdict.Field]id.Person
	From, Until civil.Day
}

// Appoint records appointments. One that stands for the same person and field is
// carried on rather than doubled.
func (f *Founder) Appoint(ctx context.Context, actor access.Actor, a Appointing, key string) error {
	_, err := f.write(ctx, actor, access.Appoint, key, "appointment", Of{}, a, func(d *desk) error {
		bad := fault.Fields{}
		made := 0
		for _, field := range verdict.Fields() {
			who := a.For[field]
			if who == "" {
				continue
			}
			if _, ok := d.ref.Staff.On(who, d.Today()); !ok {
				bad.Add(string(field), "This person is not on the staff. Choose from the list.")
				continue
			}
			r := people.Appointment{ID: id.Appointment(d.ID()), Person: who, Field: field, From: a.From, Until: a.Until}
			for _, x := range people.AppointedOn(d.ref.Appointments.All(civil.LastDay), field, max(a.From, d.Today())) {
				if x.Person == who {
					r.ID, r.From = x.ID, min(x.From, a.From)
				}
			}
			addTo(bad, r.Check())
			if len(bad) > 0 {
				continue
			}
			if _, err := d.Put("appointed", 0, r); err != nil {
				return err
			}
			made++
		}
		if made == 0 && len(bad) == 0 {
			bad.Add(string(verdict.Fields()[0]), "Nobody is named. Choose a person for at least one field.")
		}
		return bad.Err()
	})
	return err
}

// EndAppointment ends an appointment: day is its last.
func (f *Founder) EndAppointment(ctx context.Context, actor access.Actor, of Of, day civil.Day, key string) error {
	_, err := f.write(ctx, actor, access.Appoint, key, "appointment", of, day, func(d *desk) error {
		i := slices.IndexFunc(d.ref.Appointments.All(civil.LastDay), func(x people.Appointment) bool { return string(x.ID) == d.id })
		if i < 0 {
			return gone("appointment")
		}
		r := d.ref.Appointments.All(civil.LastDay)[i]
		if day < d.Today() {
			return fault.Field("until", "%s is past; what they decided till now stands. Give today or a later day.", day)
		}
		if day < r.From {
			return fault.Field("until", "It begins on %s. Give a day on or after it.", r.From)
		}
		r.Until = day
		_, err := d.Put("ended", 0, r)
		return err
	})
	return err
}

// PersonTexts returns a person's texts and employer as a form shows them; what
// was erased is empty.
func (f *Founder) PersonTexts(ctx context.Context, actor access.Actor, of id.Person) (out Person, err error) {
	if _, err := access.Require(actor, access.ChangeRecords); err != nil {
		return out, err
	}
	err = f.store.Read(ctx, func(v *store.View) error {
		row, err := v.Person(of)
		if err != nil {
			return err
		}
		texts, err := v.Texts(row.Value.Name, row.Value.Born, row.Value.Number)
		if err != nil {
			return err
		}
		ref, err := v.Reference()
		if err != nil {
			return err
		}
		e, _ := ref.Employers.On(row.Value.Employer, v.Today())
		out = Person{Name: texts[row.Value.Name], Born: texts[row.Value.Born], Number: texts[row.Value.Number], Employer: ref.Text(e.Name)}
		return nil
	})
	return out, err
}
