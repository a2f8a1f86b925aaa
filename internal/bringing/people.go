package bringing

import (
	"strconv"
	"strings"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/store"
)

func itoa(n int) string { return strconv.Itoa(n) }

// person judges a row of the list of people: a new person, never one that is
// there already.
func (l *line) person() {
	s := l.newcomer("name")
	if s == nil {
		return
	}
	employer := l.text("employer")
	l.judged.Says = "new person " + s.name
	if employer != "" && l.employerOf(employer) == "" {
		l.judged.Says += ", new employer " + employer
		l.adds("employer", store.Fold(employer))
	}
	l.adds("person", itoa(l.row.Number))
	if l.refused() {
		return
	}
	row := l.row.Number
	l.judged.do = func(w *writer) error {
		of, err := w.employer(row, employer)
		if err != nil {
			return err
		}
		_, err = w.person(row, s, of)
		return err
	}
}

// newcomer reads who a row brings and refuses somebody who is there already or
// may be, by another spelling. nil where the row was refused.
func (l *line) newcomer(nameField string) *someone {
	s := &someone{row: l.row.Number, name: l.text(nameField), number: l.text("number"), born: l.past("born")}
	if l.refused() {
		return nil
	}
	if keyOf(s.name) == "" || strings.ContainsAny(s.name, "0123456789@") {
		l.refuse(nameField, "%q is not a person’s name.", s.name)
		return nil
	}
	if s.born != 0 && s.born.YearsUntil(l.today) < youngest {
		l.refuse("born", "Birth date: %s would make %s younger than %d.", s.born, s.name, youngest)
	}
	if s.number != "" {
		for _, other := range l.reg.byNumber[store.Fold(s.number)] {
			l.refuse("number", "The number %s is %s’s in %s.", s.number, other.name, other.where())
		}
	}
	for _, other := range l.reg.byKey[keyOf(s.name)] {
		switch {
		case s.born != 0 && other.born != 0 && s.born != other.born:
			l.caution(nameField, "Somebody else called %s, born on %s, stands in %s.", other.name, other.born, other.where())
		case s.born == 0 || other.born == 0:
			l.refuse(nameField, "%s stands in %s already, and no birth date tells two people apart.", other.name, other.where())
		default:
			l.refuse(nameField, "%s stands in %s already.", other.name, other.where())
		}
	}
	if !l.refused() && len(l.reg.byKey[keyOf(s.name)]) == 0 {
		if other := l.reg.like(s.name, s.born, likeAlone); other != nil {
			l.refuse(nameField, "%s may be %s in %s, with another spelling. Write it the same, or give both birth dates.", s.name, other.name, other.where())
		}
	}
	if l.refused() {
		return nil
	}
	l.reg.add(s)
	return s
}

// youngest is the age below which a birth date is taken for a slip (common
// practice, no source).
const youngest = 14

// under18 reports whether a birth date makes somebody under 18 on a day.
func under18(born, on civil.Day) bool { return born != 0 && born.YearsUntil(on) < 18 }

// employer returns the employer of a name and records one that is not there yet;
// "" for no name.
func (w *writer) employer(row int, name string) (id.Employer, error) {
	if name == "" {
		return "", nil
	}
	if made, ok := w.employers[store.Fold(name)]; ok {
		return made, nil
	}
	made := id.Employer(w.tx.ID())
	w.employers[store.Fold(name)] = made
	return made, w.put(row, 0, people.Employer{ID: made, Name: w.tx.Seal("employer/"+string(made), "name", name)})
}

// person records somebody new, once.
func (w *writer) person(row int, s *someone, employer id.Employer) (id.Person, error) {
	if s.id != "" {
		return s.id, nil
	}
	s.id = id.Person(w.tx.ID())
	subject := "person/" + string(s.id)
	r := people.Person{ID: s.id, Name: w.tx.Seal(subject, "name", s.name), Born: w.tx.Seal(subject, "born", s.born.String()),
		Number: w.tx.Seal(subject, "number", s.number), Employer: employer}
	if err := r.Check(); err != nil {
		return "", err
	}
	return s.id, w.put(row, 0, r)
}
