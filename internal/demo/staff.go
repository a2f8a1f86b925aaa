package demo

import (
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/id"
	"rungbook/internal/people"
)

// member is a member of staff with all that they hold.
type member struct {
	staffRow
	person id.Person
	held   []credential.Certificate
}

// layStaff writes the employers, the staff, what they may do and what they are
// appointed for.
func (b *builder) layStaff() {
	day, by := b.opened(), b.person(administrator)
	for _, row := range employers {
		e := people.Employer{ID: idOf[id.Employer](b, "employer", row.key), Name: text(row.name)}
		b.employers = append(b.employers, e.ID)
		b.write(groundwork, day, by, "recorded", e)
	}
	for _, row := range staff {
		m := &member{staffRow: row, person: b.person(row.key)}
		born := day.AddMonths(-12*(28+b.rand.IntN(30))) - civil.Day(b.rand.IntN(daysPerYear))
		b.write(groundwork, day, by, "recorded", people.Person{ID: m.person, Name: text(row.name), Born: text(born.String())})
		b.write(groundwork, day, by, "taken-on", people.Staff{ID: m.person, From: day, Weekdays: row.weekdays, Rest: bindStaff})
		b.qualify(m)
		b.staff = append(b.staff, m)
	}
	b.appoint()
}

// qualify writes what a member of staff may teach, whether they rescue, and
// their first aid.
func (b *builder) qualify(m *member) {
	renewal := b.Today + civil.Day(m.renewal)
	for _, row := range allExercises() {
		if slices.Contains(m.teaches, row.family) {
			b.renewed(m, credential.Certificate{Kind: credential.ToTeach, Exercise: b.exercises[row.key].record.ID}, renewal, "validity.teaches")
		}
	}
	if m.rescuer {
		b.renewed(m, credential.Certificate{Kind: credential.ToRescue}, renewal, "validity.rescue")
	}
	aid := b.Today + 60 + civil.Day(b.rand.IntN(500))
	b.renewed(m, credential.Certificate{Kind: credential.FirstAid, Holds: firstAid}, aid, "validity.first-aid")
}

// renewed writes a certificate that was renewed ahead of each last valid day, the
// present one being until, so that no day was without.
func (b *builder) renewed(m *member, c credential.Certificate, until civil.Day, line string) {
	terms, ok := b.books[0].Terms(line)
	if !ok {
		panic("demo: the rule book lacks the line " + line)
	}
	for n := 0; ; n++ {
		last := until.AddMonths(-n * terms.Months)
		before := until.AddMonths(-(n + 1) * terms.Months)
		c.ID, c.Person, c.State, c.Validity, c.Until = fresh[id.Certificate](b), m.person, credential.Valid, line, last
		c.Completed = b.workdayBefore(before - 10)
		c.From = c.Completed
		m.held = append(m.held, c)
		b.write(groundwork, max(c.From, b.opened()), b.person(administrator), "recorded", c)
		if c.From <= b.first-7 {
			return
		}
	}
}

// may reports whether a member of staff holds a certificate of a kind on a day;
// e is the exercise of a qualification to teach.
func (m *member) may(k credential.Kind, e id.Exercise, d civil.Day) bool {
	return slices.ContainsFunc(m.held, func(c credential.Certificate) bool { return c.Kind == k && c.Exercise == e && c.On(d) })
}

func (b *builder) appoint() {
	day, by := b.opened(), b.person(administrator)
	until := b.Today.AddMonths(14)
	for _, r := range responsible {
		a := people.Appointment{ID: fresh[id.Appointment](b), Person: b.person(r.now), Field: r.field, From: day, Until: until}
		if r.before != "" {
			a.From = b.handover()
			earlier := people.Appointment{ID: fresh[id.Appointment](b), Person: b.person(r.before), Field: r.field, From: day, Until: b.handover() - 1}
			b.write(groundwork, day, by, "appointed", earlier)
		}
		b.write(groundwork, a.From, by, "appointed", a)
	}
}

// layAccounts opens the demo's ways in.
func (b *builder) layAccounts() {
	by := b.person(administrator)
	for _, row := range accounts {
		a := access.Account{ID: idOf[id.Account](b, "account", row.email), Roles: []access.Role{row.role}}
		if row.staff != "" {
			a.Person = b.person(row.staff)
		} else {
			a.Person = b.person(row.name)
		}
		if row.role == access.Auditor {
			b.write(groundwork, b.Today, by, "recorded", people.Person{ID: a.Person, Name: text(row.name)})
		}
		b.write(groundwork, b.Today, by, "opened", a)
		b.logins = append(b.logins, login{a.ID, row.email})
	}
}
