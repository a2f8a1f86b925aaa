package records

import (
	"cmp"
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/curriculum"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// Intake is one intake with its trainees and how far each has come.
type Intake struct {
	Intake   people.Intake
	Employer string
	Path     []curriculum.Exercise
	Trainees []Progress
	Ref      *store.Reference
}

// Progress is one trainee's steps in the order of the intake's path.
type Progress struct {
	Trainee people.Trainee
	Name    string
	Done    map[id.Exercise]store.Completion
	Booked  map[id.Exercise]session.Session
}

// IntakeRow is one intake of a list and how far its trainees have come.
type IntakeRow struct {
	Intake   people.Intake
	Employer string
	Trainees int
	Done, Of int // of all their needs
}

// Intakes returns the intakes that end on a day or later, the latest first.
func (d *Desk) Intakes(ctx context.Context, actor access.Actor, since civil.Day) (out []IntakeRow, err error) {
	if _, err := access.Require(actor, access.SeeIntakes); err != nil {
		return nil, err
	}
	err = d.store.Read(ctx, func(v *store.View) (err error) {
		out, err = intakeRows(v, since)
		return err
	})
	return out, err
}

func intakeRows(v *store.View, since civil.Day) ([]IntakeRow, error) {
	ref, err := v.Reference()
	if err != nil {
		return nil, err
	}
	var out []IntakeRow
	var intakes []id.Intake
	at := map[id.Intake]int{}
	for _, in := range ref.Intakes.All(v.Today()) {
		if in.Until < since {
			continue
		}
		row := IntakeRow{Intake: in}
		if e, ok := ref.Employers.On(in.Employer, v.Today()); ok {
			row.Employer = ref.Text(e.Name)
		}
		at[in.ID] = len(out)
		out, intakes = append(out, row), append(intakes, in.ID)
	}
	trainees, err := v.TraineesOfIntake(intakes...)
	if err != nil {
		return nil, err
	}
	ids, intakeOf := make([]id.Trainee, len(trainees)), map[id.Trainee]id.Intake{}
	for i, t := range trainees {
		ids[i], intakeOf[t.ID] = t.ID, t.Intake
		row := &out[at[t.Intake]]
		row.Trainees++
		row.Of += len(t.Needs)
	}
	done, err := v.Completions(ids...)
	if err != nil {
		return nil, err
	}
	counted := map[store.Completion]bool{}
	for _, c := range done {
		once := store.Completion{Trainee: c.Trainee, Exercise: c.Exercise} // done twice is done once
		if !counted[once] {
			counted[once] = true
			out[at[intakeOf[c.Trainee]]].Done++
		}
	}
	slices.SortStableFunc(out, func(a, b IntakeRow) int { return cmp.Compare(b.Intake.From, a.Intake.From) })
	return out, nil
}

// Intake returns one intake.
func (d *Desk) Intake(ctx context.Context, actor access.Actor, iid id.Intake) (Intake, error) {
	if _, err := access.Require(actor, access.SeeIntakes); err != nil {
		return Intake{}, err
	}
	var out Intake
	err := d.store.Read(ctx, func(v *store.View) (err error) {
		out, err = readIntake(v, iid)
		return err
	})
	return out, err
}

func readIntake(v *store.View, iid id.Intake) (Intake, error) {
	ref, err := v.Reference()
	if err != nil {
		return Intake{}, err
	}
	in, ok := ref.Intakes.On(iid, v.Today())
	if !ok {
		return Intake{}, fault.New(fault.NotFound, "There is no such intake.")
	}
	out := Intake{Intake: in, Ref: ref}
	if e, ok := ref.Employers.On(in.Employer, v.Today()); ok {
		out.Employer = ref.Text(e.Name)
	}
	trainees, err := v.TraineesOfIntake(iid)
	if err != nil {
		return Intake{}, err
	}
	return out, out.load(v, trainees)
}

func (in *Intake) load(v *store.View, trainees []people.Trainee) error {
	ids := make([]id.Trainee, len(trainees))
	needed := map[id.Exercise]bool{}
	for i, t := range trainees {
		ids[i] = t.ID
		for _, e := range t.Needs {
			needed[e] = true
		}
	}
	for _, e := range in.Ref.Exercises.All(v.Today()) {
		if needed[e.ID] {
			in.Path = append(in.Path, e)
		}
	}
	names, err := v.TraineeNames(ids...)
	if err != nil {
		return err
	}
	done, err := v.Completions(ids...)
	if err != nil {
		return err
	}
	sessions, err := v.SessionsOfTrainees(ids)
	if err != nil {
		return err
	}
	for _, t := range trainees {
		p := Progress{Trainee: t, Name: names[t.ID], Done: map[id.Exercise]store.Completion{}, Booked: map[id.Exercise]session.Session{}}
		for _, c := range done {
			if c.Trainee == t.ID {
				p.Done[c.Exercise] = c
			}
		}
		for _, s := range sessions {
			if s.Serves(t.ID, s.Exercise) {
				p.Booked[s.Exercise] = s
			}
		}
		in.Trainees = append(in.Trainees, p)
	}
	slices.SortStableFunc(in.Trainees, func(a, b Progress) int { return cmp.Compare(a.Name, b.Name) })
	return nil
}
