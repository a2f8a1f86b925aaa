package bringing

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/rulebook"
	"rungbook/internal/store"
)

// traineeRow is a trainee of an intake as a row says it.
type traineeRow struct {
	intake, employer string
	programme        *curriculum.Programme
	from, until      civil.Day
	who              *someone
}

// trainee judges a row by itself; intakes compares the rows of one intake.
func (l *line) trainee() {
	r := &traineeRow{intake: l.text("intake"), employer: l.text("employer"), from: l.day("from"), until: l.day("until")}
	r.programme = l.programme()
	if l.refused() || r.programme == nil {
		return
	}
	if len(l.mapping.Rest) == 0 {
		l.refuse("intake", "No limits on rest are chosen for these trainees; without them nobody can be planned.")
	}
	if r.until < r.from {
		l.refuse("until", "The last day, %s, lies before the first, %s.", r.until, r.from)
	}
	if r.who = l.known("name"); r.who == nil {
		return
	}
	if under18(r.who.born, r.from) && !slices.ContainsFunc(l.mapping.Rest, func(p id.Profile) bool { return p == rulebook.EUYoung || p == rulebook.UKYoung }) {
		l.refuse("born", "%s is under 18 on %s, and the limits chosen are not those for people under 18.", r.who.name, r.from)
	}
	if r.who.born == 0 {
		l.caution("born", "No birth date is given, so nothing shows whether %s is under 18.", r.who.name)
	}
	l.traineeOf = r
	l.judged.Says = r.who.name + " as trainee of " + r.intake
	if r.who.id == "" && r.who.row == l.row.Number {
		l.judged.Says = "new person " + l.judged.Says
	}
}

// known finds the person of a row among the records, or takes them as new.
func (l *line) known(nameField string) *someone {
	name, number := l.text(nameField), l.text("number")
	born := l.past("born")
	same := func(s *someone) bool { return born == 0 || s.born == 0 || born == s.born }
	there := slices.ContainsFunc(l.reg.byKey[keyOf(name)], same) || number != "" && len(l.reg.byNumber[store.Fold(number)]) > 0
	if l.refused() {
		return nil
	}
	if there {
		return l.find(nameField)
	}
	return l.newcomer(nameField)
}

// intakes puts the rows of one intake together: it has one employer, one
// programme and one window.
func (b *bench) intakes() error {
	groups := map[string][]*line{}
	var order []string
	for _, l := range b.lines {
		if l.traineeOf == nil {
			continue
		}
		key := store.Fold(l.traineeOf.intake)
		if len(groups[key]) == 0 {
			order = append(order, key)
		}
		groups[key] = append(groups[key], l)
	}
	byIntake := map[string]people.Intake{}
	for _, in := range b.ref.Intakes.All(b.today) {
		if key := store.Fold(b.ref.Text(in.Name)); byIntake[key].ID == "" {
			byIntake[key] = in
		}
	}
	for _, key := range order {
		if err := b.intake(key, groups[key], byIntake); err != nil {
			return err
		}
	}
	return nil
}

// intake puts the rows of the intake of a folded name together.
func (b *bench) intake(name string, rows []*line, byIntake map[string]people.Intake) error {
	first := rows[0].traineeOf
	employer := store.Fold(first.employer)
	there, err := b.standing(rows, byIntake)
	if err != nil {
		return err
	}
	seen := map[*someone]*line{}
	for _, l := range rows {
		r := l.traineeOf
		if r.from != first.from || r.until != first.until || r.programme.ID != first.programme.ID || r.employer != first.employer && store.Fold(r.employer) != employer {
			disagree(rows, l)
			break
		}
		if other := seen[r.who]; other != nil {
			l.refuse("name", "%s stands in row %d of this intake already.", r.who.name, other.row.Number)
		}
		seen[r.who] = l
	}
	made := &madeIntake{id: there, from: first}
	for _, l := range rows {
		r, row := l.traineeOf, l.row.Number
		l.adds("trainee", itoa(row))
		if r.who.id == "" {
			l.adds("person", itoa(r.who.row))
		}
		if there == "" {
			l.adds("intake", name)
		}
		if b.employerOf(first.employer) == "" {
			l.adds("employer", employer)
		}
		l.judged.do = func(w *writer) error { return w.trainee(row, made, r) }
	}
	return nil
}

// disagree refuses every row of an intake that its rows describe differently:
// nothing says which of them is right.
func disagree(rows []*line, odd *line) {
	for _, l := range rows {
		l.refuse("intake", "Rows %d and %d give the intake %s other days, another programme or another employer.", rows[0].row.Number, odd.row.Number, l.traineeOf.intake)
	}
}

// standing returns the intake of that name on record, "" for none; rows that
// contradict it, or enrol somebody twice, are refused.
func (b *bench) standing(rows []*line, byIntake map[string]people.Intake) (id.Intake, error) {
	in, ok := byIntake[store.Fold(rows[0].traineeOf.intake)]
	if !ok {
		return "", nil
	}
	trainees, err := b.v.TraineesOfIntake(in.ID)
	if err != nil {
		return "", err
	}
	employer, _ := b.ref.Employers.On(in.Employer, b.today)
	for _, l := range rows {
		r := l.traineeOf
		if in.From != r.from || in.Until != r.until || in.Programme != r.programme.ID || store.Fold(b.ref.Text(employer.Name)) != store.Fold(r.employer) {
			l.refuse("intake", "The intake %s is on record with other days, programme or employer (%s to %s).", r.intake, in.From, in.Until)
		}
		if slices.ContainsFunc(trainees, func(t people.Trainee) bool { return t.Person == r.who.id }) {
			l.refuse("name", "%s is in that intake already.", r.who.name)
		}
	}
	return in.ID, nil
}

// madeIntake is an intake that rows share; id "" until it is written.
type madeIntake struct {
	id   id.Intake
	from *traineeRow
}

// trainee writes one enrolment, with its person and intake where they are new.
func (w *writer) trainee(row int, in *madeIntake, r *traineeRow) error {
	employer, err := w.employer(row, r.employer)
	if err != nil {
		return err
	}
	if in.id == "" {
		in.id = id.Intake(w.tx.ID())
		record := people.Intake{ID: in.id, Name: w.tx.Seal("intake/"+string(in.id), "name", r.intake), Employer: employer,
			Programme: r.programme.ID, From: r.from, Until: r.until}
		if err := record.Check(); err != nil {
			return err
		}
		if err := w.put(row, 0, record); err != nil {
			return err
		}
	}
	who, err := w.person(row, r.who, employer)
	if err != nil {
		return err
	}
	t := people.Trainee{ID: id.Trainee(w.tx.ID()), Person: who, Intake: in.id, Needs: r.programme.Exercises, Rest: w.rest}
	if err := t.Check(); err != nil {
		return err
	}
	return w.put(row, 0, t)
}
