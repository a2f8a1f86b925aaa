package store

import (
	"database/sql"
	"strings"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/people"
)

// Person returns one person. Error: fault.NotFound.
func (v *View) Person(of id.Person) (Row[people.Person], error) {
	return row[people.Person](v, "person", "person", string(of))
}

// PersonFilter chooses people; empty members choose all.
type PersonFilter struct {
	NamePart string // anywhere in the name; case and accents don't matter
	Employer id.Employer
	Intake   id.Intake
	AfterKey string // next of the page before
	Limit    int    // 0 = 50
}

// PersonRow is one line of the list of people.
type PersonRow struct {
	Person   people.Person
	Name     string // "" if erased
	Employer id.Employer
	Intakes  []id.Intake
	Staff    bool
}

// pageLimit is how many lines a list has when none is asked for.
const pageLimit = 50

func limitOf(n int) int {
	if n <= 0 {
		return pageLimit
	}
	return n
}

// keyJoin separates the parts of a page key; no folded name or id holds it.
const keyJoin = "\x1f"

// Persons returns a page of people by name, then id, and the key of the next
// page, "" after the last.
func (v *View) Persons(f PersonFilter) (out []PersonRow, next string, err error) {
	afterName, afterID, _ := strings.Cut(f.AfterKey, keyJoin)
	limit := limitOf(f.Limit)
	var key string
	err = v.each(func(rows *sql.Rows) error {
		if len(out) == limit {
			next = key
			return nil
		}
		var p PersonRow
		var folded, intakes string
		var body sql.RawBytes
		if err := rows.Scan(&folded, &body, &p.Name, &intakes, &p.Staff); err != nil {
			return err
		}
		if p.Person, err = decodeBody[people.Person](body); err != nil {
			return err
		}
		p.Employer = p.Person.Employer
		for _, one := range strings.Fields(intakes) {
			p.Intakes = append(p.Intakes, id.Intake(one))
		}
		key = folded + keyJoin + string(p.Person.ID)
		out = append(out, p)
		return nil
	}, `SELECT n.folded, p.body, coalesce((SELECT value FROM private_value WHERE commitment = p.name), ''),
			coalesce((SELECT group_concat(t.intake, ' ' ORDER BY t.id) FROM trainee AS t WHERE t.person = p.id AND `+v.at("t")+`), ''),
			EXISTS (SELECT 1 FROM reference AS r WHERE r.kind = 'staff' AND r.id = p.id AND `+v.at("r")+`)
		FROM person_name AS n CROSS JOIN person AS p ON p.id = n.person
		WHERE (n.folded, n.person) > (?3, ?4) AND (?5 = '' OR instr(n.folded, ?5) > 0) AND (?6 = '' OR p.employer = ?6)
			AND (?7 = '' OR EXISTS (SELECT 1 FROM trainee AS t WHERE t.person = p.id AND +t.intake = ?7 AND `+v.at("t")+`))
			AND `+v.at("p")+`
		ORDER BY n.folded, n.person LIMIT ?8`,
		afterName, afterID, fold(f.NamePart), string(f.Employer), string(f.Intake), limit+1)
	return out, next, err
}

// Trainees returns enrolments by id.
func (v *View) Trainees(of ...id.Trainee) ([]people.Trainee, error) {
	return rowsFor[people.Trainee](v, of, `trainee AS r ON r.id = want.value WHERE `+v.at("r")+` ORDER BY r.id`)
}

// TraineesOfIntake returns the enrolments of intakes.
func (v *View) TraineesOfIntake(of ...id.Intake) ([]people.Trainee, error) {
	return rowsFor[people.Trainee](v, of, `trainee AS r ON r.intake = want.value WHERE `+v.at("r")+` ORDER BY r.intake, r.id`)
}

// TraineesOfPersons returns the enrolments of persons.
func (v *View) TraineesOfPersons(of ...id.Person) ([]people.Trainee, error) {
	return rowsFor[people.Trainee](v, of, `trainee AS r ON r.person = want.value WHERE `+v.at("r")+` ORDER BY r.person, r.id`)
}

// Duties returns the duties of persons that overlap [from, to) and were not
// taken back, by start.
func (v *View) Duties(persons []id.Person, from, to civil.Instant) ([]people.Duty, error) {
	return rowsFor[people.Duty](v, persons, `duty AS r ON r.person = want.value AND r.finish > ?4 AND r.start < ?5
		WHERE r.ended = 0 AND `+v.at("r")+` ORDER BY r.start, r.id`, int64(from), int64(to))
}

// AwayOf returns the absences of persons that overlap [from, to) and were not
// taken back, by start.
func (v *View) AwayOf(persons []id.Person, from, to civil.Instant) ([]people.Away, error) {
	return rowsFor[people.Away](v, persons, `away AS r ON r.person = want.value AND r.finish > ?4 AND r.start < ?5
		WHERE r.ended = 0 AND `+v.at("r")+` ORDER BY r.start, r.id`, int64(from), int64(to))
}

// NoHeightOf returns the days without work at height of persons that touch
// [from, until] and were not taken back, by first day. nil persons = everybody's.
func (v *View) NoHeightOf(persons []id.Person, from, until civil.Day) ([]people.NoHeight, error) {
	const where = ` r.last_day >= ?4 AND r.first_day <= ?5 AND r.ended = 0 AND `
	if persons == nil {
		return list(v, scanBody[people.NoHeight], `SELECT r.body FROM no_height AS r WHERE ?3 = '' AND`+where+v.at("r")+` ORDER BY r.first_day, r.id`,
			"", from.String(), until.String())
	}
	return rowsFor[people.NoHeight](v, persons, `no_height AS r ON r.person = want.value WHERE`+where+v.at("r")+` ORDER BY r.first_day, r.id`,
		from.String(), until.String())
}

// NoHeight returns one span of days without work at height. Error: fault.NotFound.
func (v *View) NoHeight(of id.NoHeight) (Row[people.NoHeight], error) {
	return row[people.NoHeight](v, "no-height", "span without work at height", string(of))
}

// AwayAfter returns everybody's absences that end after a moment and were not
// taken back, by start.
func (v *View) AwayAfter(t civil.Instant) ([]people.Away, error) {
	return list(v, scanBody[people.Away], `SELECT r.body FROM away AS r WHERE r.finish > ?3 AND r.ended = 0 AND `+v.at("r")+` ORDER BY r.start, r.id`, int64(t))
}

// Duty returns one duty. Error: fault.NotFound.
func (v *View) Duty(of id.Duty) (Row[people.Duty], error) {
	return row[people.Duty](v, "duty", "duty", string(of))
}

// Away returns one absence. Error: fault.NotFound.
func (v *View) Away(of id.Away) (Row[people.Away], error) {
	return row[people.Away](v, "away", "absence", string(of))
}

// Trainee returns one enrolment. Error: fault.NotFound.
func (v *View) Trainee(of id.Trainee) (Row[people.Trainee], error) {
	return row[people.Trainee](v, "trainee", "trainee", string(of))
}
