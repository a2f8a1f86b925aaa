package founding

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/curriculum"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/rulebook"
	"rungbook/internal/store"
)

// Intake is an intake as a form gives it: its record without id, name and employer.
type Intake struct {
	Record         people.Intake
	Name, Employer string
	Trainees       Trainees // of a new one; what they come for is its programme
}

// Intake records an intake or changes it. Trainees named in the rows of a new one
// are enrolled with it, for every exercise of its programme.
func (f *Founder) Intake(ctx context.Context, actor access.Actor, of Of, in Intake, key string) (string, error) {
	return f.write(ctx, actor, access.ChangeRecords, key, "intake", of, in, func(d *desk) error {
		was, ok := d.ref.Intakes.On(id.Intake(d.id), d.Today())
		if !ok && !d.fresh() {
			return gone("intake")
		}
		bad := fault.Fields{}
		addTo(bad, taken(d.ref, d.ref.Intakes.All(d.Today()), in.Name, func(x people.Intake) (string, id.Commitment) { return string(x.ID), x.Name }, d.id))
		r := in.Record
		var err error
		if r.Employer, err = d.employer(in.Employer); err != nil {
			return err
		}
		r.ID, r.Name = id.Intake(d.id), d.text("name", in.Name, was.Name)
		addTo(bad, r.Check())
		if len(bad) == 0 {
			if err := d.put(r); err != nil {
				return err
			}
		}
		if t := in.Trainees; d.fresh() && slices.ContainsFunc(t.Rows, Newcomer.stated) {
			p, _ := d.ref.Programmes.On(r.Programme, max(r.From, d.Today()))
			t.Needs = p.Exercises
			if err := d.enrolAll(r, t, bad); err != nil {
				return err
			}
		}
		return bad.Err()
	})
}

// Newcomer is one trainee as a row of a form gives them.
type Newcomer struct {
	Name, Born, Number string
	Holds              map[string]civil.Day // last valid day of what exercises require
	// Same answers whether they are somebody on record of that name: the id of that
	// person, or SomebodyElse. "" where it was not asked.
	Same string
}

// SomebodyElse says of a newcomer that they are none of those on record.
const SomebodyElse = "somebody-else"

// stated reports whether anything stands in the row.
func (n Newcomer) stated() bool {
	for _, day := range n.Holds {
		if day != 0 {
			return true
		}
	}
	return strings.TrimSpace(n.Name+n.Born+n.Number) != ""
}

// Trainees are newcomers of one intake, with what binds them all.
type Trainees struct {
	Intake id.Intake
	Rows   []Newcomer
	Needs  []id.Exercise
	Rest   []id.Profile
}

// Trainees enrols newcomers. What they hold counts from today, the day on which
// its paper was seen.
func (f *Founder) Trainees(ctx context.Context, actor access.Actor, t Trainees, key string) error {
	_, err := f.write(ctx, actor, access.ChangeRecords, key, "trainee", Of{}, t, func(d *desk) error {
		in, ok := d.ref.Intakes.On(t.Intake, d.Today())
		if !ok {
			return gone("intake")
		}
		bad := fault.Fields{}
		if err := d.enrolAll(in, t, bad); err != nil {
			return err
		}
		return bad.Err()
	})
	return err
}

// enrolAll writes the rows of a form of trainees. Where there are messages the
// whole form is refused.
func (d *desk) enrolAll(in people.Intake, t Trainees, bad fault.Fields) error {
	if len(t.Needs) == 0 {
		bad.Add("needs", "No exercise is ticked. Tick what these trainees come for.")
	}
	if len(t.Rest) == 0 {
		bad.Add("rest", "No limits on rest are chosen; without them nobody can be planned.")
	}
	number, err := d.View().LastCertificateNumber()
	if err != nil {
		return err
	}
	enrolled := 0
	for i, row := range t.Rows {
		if strings.TrimSpace(row.Name) == "" {
			if row.stated() {
				bad.Add(rowField("name", i), "The trainee of row %d has no name.", i+1)
			}
			continue
		}
		enrolled++
		if _, err := d.enrol(in, t, i, &number, bad); err != nil {
			return err
		}
	}
	if enrolled == 0 {
		bad.Add(rowField("name", 0), "No trainee is named. Give at least one name.")
	}
	return nil
}

// rowField names a field of one row of a form.
func rowField(name string, row int) string { return fmt.Sprintf("%s_%d", name, row) }

// enrol writes one newcomer, who has a name, and returns who they are as a trainee.
// Messages name the row's fields; where there are any the whole form is refused.
func (d *desk) enrol(in people.Intake, t Trainees, i int, number *int, bad fault.Fields) (id.Trainee, error) {
	row, own := t.Rows[i], fault.Fields{}
	born, err := d.born(row.Born, own)
	if err != nil {
		return "", err
	}
	if m := own["born"]; m != "" {
		bad.Add(rowField("born", i), "%s", m)
		born = ""
	} else if young(born, in.From) && !slices.ContainsFunc(t.Rest, isForYoung) {
		bad.Add(rowField("born", i), "%s is under 18 on %s. Enrol them with the limits for people under 18, in a form of their own.", strings.TrimSpace(row.Name), in.From)
	}
	person, err := d.whoIs(in, row, i, born, bad)
	if err != nil || person.ID == "" {
		return "", err
	}
	trainee := people.Trainee{ID: id.Trainee(d.ID()), Person: person.ID, Intake: in.ID, Needs: t.Needs, Rest: t.Rest}
	if _, err := d.Put("enrolled", 0, trainee); err != nil {
		return "", err
	}
	asked := HoldsFor(d.ref.Exercises.All(d.Today()), t.Needs)
	for name, until := range row.Holds {
		if until != 0 && !slices.Contains(asked, name) {
			bad.Add(rowField("hold_"+name, i), "Nothing that they come for requires it. Leave it empty, or record the paper once they are enrolled.")
		}
	}
	for _, name := range asked {
		until := row.Holds[name]
		if until == 0 {
			continue
		}
		if until < d.Today() {
			bad.Add(rowField("hold_"+name, i), "%s ended on %s. Give the last valid day of one that is valid, or leave it empty.", strings.TrimSpace(row.Name)+"’s paper", until)
			continue
		}
		*number++
		_, err := d.Put("seen", 0, credential.Certificate{ID: id.Certificate(d.ID()), Number: *number, Person: person.ID, Kind: kindOfHold(name),
			Holds: name, Completed: d.Today(), From: d.Today(), Until: until, State: credential.Valid})
		if err != nil {
			return "", err
		}
	}
	return trainee.ID, nil
}

// kindOfHold is the kind of a certificate that was given elsewhere and is taken
// over by what exercises call it.
func kindOfHold(name string) credential.Kind {
	switch {
	case strings.HasPrefix(name, "medical"):
		return credential.Medical
	case name == string(credential.FirstAid):
		return credential.FirstAid
	}
	return credential.TakenOver
}

// young reports whether a birth date makes somebody under 18 on a day.
func young(born string, on civil.Day) bool {
	day, err := civil.ParseDay(born)
	return err == nil && day.AddMonths(18*12) > on
}

func isForYoung(p id.Profile) bool { return p == rulebook.EUYoung || p == rulebook.UKYoung }

// HoldsFor lists what exercises require a trainee to hold, by name, each once.
func HoldsFor(all []curriculum.Exercise, needs []id.Exercise) []string {
	var out []string
	for _, e := range all {
		if slices.Contains(needs, e.ID) {
			out = append(out, e.Requires...)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// Enrolment is what one trainee comes for, as a form shows it.
type Enrolment struct {
	Trainee people.Trainee
	Rev     int64
	Name    string
}

// Enrolment returns one trainee's enrolment. Error: fault.NotFound.
func (f *Founder) Enrolment(ctx context.Context, actor access.Actor, of id.Trainee) (out Enrolment, err error) {
	if _, err := access.Require(actor, access.ChangeRecords); err != nil {
		return out, err
	}
	err = f.store.Read(ctx, func(v *store.View) error {
		row, err := v.Trainee(of)
		if err != nil {
			return err
		}
		names, err := v.TraineeNames(of)
		out = Enrolment{row.Value, row.Rev, names[of]}
		return err
	})
	return out, err
}

// Enrol changes what a trainee comes for and which limits on rest bind them.
func (f *Founder) Enrol(ctx context.Context, actor access.Actor, of Of, needs []id.Exercise, rest []id.Profile, key string) error {
	_, err := f.write(ctx, actor, access.ChangeRecords, key, "trainee", of, []any{needs, rest}, func(d *desk) error {
		row, err := d.View().Trainee(id.Trainee(d.id))
		if err != nil {
			return err
		}
		r := row.Value
		r.Needs, r.Rest = asBefore(needs, r.Needs), asBefore(rest, r.Rest)
		if err := r.Check(); err != nil {
			return err
		}
		in, _ := d.ref.Intakes.On(r.Intake, d.Today())
		person, err := d.View().Person(r.Person)
		if err != nil {
			return err
		}
		texts, err := d.View().Texts(person.Value.Born)
		if err != nil {
			return err
		}
		if young(texts[person.Value.Born], in.From) && !slices.ContainsFunc(r.Rest, isForYoung) {
			return fault.Field("rest", "They are under 18 on %s. Tick the limits for people under 18.", in.From)
		}
		_, err = d.Put("changed", 0, r)
		return err
	})
	return err
}
