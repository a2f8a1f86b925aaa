package booking

import (
	"cmp"
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/plan"
	"rungbook/internal/planning"
	"rungbook/internal/rig"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// Sheet is one session with its people, what it delivers, the answer of every
// rule as things stand now, and how it came to be.
type Sheet struct {
	store.Row[session.Session]
	Judged       Judged // as it would be judged today; empty for sessions that are over or stood down
	Exercise     curriculum.Exercise
	Station      rig.Station
	Rig          rig.Rig
	RescuePlan   *rig.RescuePlan // the version in force on its day, nil where none is asked or none stands
	Trainees     map[id.Trainee]string
	Persons      map[id.Person]string
	Intakes      map[id.Trainee]id.Intake
	Bodies       map[id.Trainee]id.Person
	Booker       id.Person // who last gave it its time and people
	History      []store.Revision[session.Session]
	Preparations []store.Revision[session.Preparation] // oldest first
	Acceptances  []session.Acceptance
	Attendance   []session.Attendance
	Results      []session.Results
	Head         int64
	Ref          *store.Reference
	Reasons      map[id.Commitment]string
}

// Sheet returns a session's page.
func (d *Desk) Sheet(ctx context.Context, actor access.Actor, sid id.Session) (Sheet, error) {
	if _, err := access.Require(actor, access.SeeSession); err != nil {
		return Sheet{}, err
	}
	var out Sheet
	err := d.store.Read(ctx, func(v *store.View) (err error) {
		out, err = d.sheet(v, sid)
		return err
	})
	return out, err
}

func (d *Desk) sheet(v *store.View, sid id.Session) (Sheet, error) {
	row, err := v.Session(sid)
	if err != nil {
		return Sheet{}, err
	}
	ref, err := v.Reference()
	if err != nil {
		return Sheet{}, err
	}
	day := v.Zone().DayOf(row.Value.Start)
	out := Sheet{Row: row, Head: v.Head(), Ref: ref, Intakes: map[id.Trainee]id.Intake{}, Bodies: map[id.Trainee]id.Person{}}
	out.Exercise, _ = ref.Exercises.On(row.Value.Exercise, day)
	out.Station, _ = ref.Stations.On(row.Value.Station, day)
	out.Rig, _ = ref.Rigs.On(out.Station.Rig, day)
	s, err := d.builder.Yard(v, day, day)
	if err != nil {
		return Sheet{}, err
	}
	if p, ok := s.Register().RescueInForce(out.Station.ID, day); ok {
		out.RescuePlan = &p
	}
	if Waiting(row.Value) && row.Value.Start > v.Now() {
		if out.Judged, _, err = d.current(v, sid); err != nil {
			return Sheet{}, err
		}
	}
	return out, out.load(v, sid)
}

// Waiting reports whether a session is still to run.
func Waiting(r session.Session) bool { return r.State.ToRun() }

func (o *Sheet) load(v *store.View, sid id.Session) (err error) {
	if o.History, err = v.SessionHistory(sid); err != nil {
		return err
	}
	if o.Preparations, err = v.PreparationHistory(sid); err != nil {
		return err
	}
	if o.Acceptances, err = v.Acceptances(sid); err != nil {
		return err
	}
	if o.Attendance, err = v.Attendance(sid); err != nil {
		return err
	}
	if o.Results, err = v.Results(sid); err != nil {
		return err
	}
	persons := staffOf([]session.Session{o.Value})
	texts := []id.Commitment{o.Value.Note}
	for _, h := range o.History {
		persons = append(persons, h.Actor)
	}
	for _, h := range o.Preparations {
		persons = append(persons, h.Actor)
	}
	for _, a := range o.Acceptances {
		persons, texts = append(persons, a.By), append(texts, a.Reason)
	}
	for _, list := range o.corrections() {
		for _, c := range list {
			persons, texts = append(persons, c.By), append(texts, c.Note)
		}
	}
	if o.Persons, err = v.PersonNames(persons...); err != nil {
		return err
	}
	if o.Trainees, err = v.TraineeNames(o.Value.Trainees...); err != nil {
		return err
	}
	list, err := v.Trainees(o.Value.Trainees...)
	if err != nil {
		return err
	}
	for _, t := range list {
		o.Intakes[t.ID], o.Bodies[t.ID] = t.Intake, t.Person
	}
	if o.Booker, err = bookerOf(v, sid); err != nil {
		return err
	}
	o.Reasons, err = v.Texts(texts...)
	return err
}

// corrections are those of the attendance and the results.
func (o *Sheet) corrections() (out [][]session.Correction) {
	for _, a := range o.Attendance {
		out = append(out, a.Corrections)
	}
	for _, r := range o.Results {
		out = append(out, r.Corrections)
	}
	return out
}

// Candidate is a person who could take a part in a proposed session.
type Candidate struct {
	Person id.Person
	Name   string
	In     bool     // chosen in the proposal
	Free   bool     // would fit, the others staying as they are
	Rules  []string // what would stop them, names of rules
}

// Choices are the people who could take part in a proposal on its day: everybody
// qualified, free or not, so that a missing name explains itself.
type Choices struct {
	Instructors []Candidate
	Rescuers    []Candidate
	Trainees    []Member
}

// Choices lists who could take part in a proposal. The trainees to choose from
// are those of the intake given and of the intakes of those already chosen.
func (d *Desk) Choices(ctx context.Context, actor access.Actor, p Proposal, intake id.Intake) (out Choices, err error) {
	if _, err := access.Require(actor, access.SeeOptions); err != nil {
		return Choices{}, err
	}
	err = d.store.Read(ctx, func(v *store.View) (err error) {
		out, err = d.choices(v, p, intake)
		return err
	})
	return out, err
}

// pool returns the trainees that a proposal can choose from.
func pool(v *store.View, p Proposal, intake id.Intake) ([]id.Trainee, error) {
	var intakes []id.Intake
	if intake != "" {
		intakes = append(intakes, intake)
	}
	chosen, err := v.Trainees(p.Trainees...)
	if err != nil {
		return nil, err
	}
	for _, t := range chosen {
		if !slices.Contains(intakes, t.Intake) {
			intakes = append(intakes, t.Intake)
		}
	}
	out := slices.Clone(p.Trainees)
	list, err := v.TraineesOfIntake(intakes...)
	for _, t := range list {
		if !slices.Contains(out, t.ID) {
			out = append(out, t.ID)
		}
	}
	return out, err
}

func (d *Desk) choices(v *store.View, p Proposal, intake id.Intake) (Choices, error) {
	p, err := p.standing(v)
	if err != nil {
		return Choices{}, err
	}
	trainees, err := pool(v, p, intake)
	if err != nil {
		return Choices{}, err
	}
	day := v.Zone().DayOf(p.Start)
	scope := planning.Scope{From: day, Until: day, Trainees: trainees}
	s, err := d.builder.Build(v, scope)
	if err != nil {
		return Choices{}, err
	}
	if p.trial { // whoever is asked about may take part, though they need nothing
		s.AdmitTrial(session.Session{ID: id.Session(cmp.Or(string(p.Session), newSession)), Exercise: p.Exercise, Trainees: trainees})
	}
	put, err := proposed(s, p)
	if err != nil {
		return Choices{}, err
	}
	var out Choices
	for _, x := range s.Problem.People {
		c := Candidate{Person: id.Person(x.ID), Name: s.Name(verdict.Ref{Kind: verdict.Person, ID: x.ID})}
		if slices.ContainsFunc(x.Teaches, func(t plan.Teaches) bool { return t.Exercise == put.Exercise && t.Holds(day) }) {
			out.Instructors = append(out.Instructors, judgePart(s, put, c, instructorPart))
		}
		if slices.ContainsFunc(x.Rescuer, func(r plan.Validity) bool { return r.Holds(day) }) {
			out.Rescuers = append(out.Rescuers, judgePart(s, put, c, rescuerPart))
		}
	}
	o := Options{Ask: Ask{Exercise: id.Exercise(put.Exercise), From: day, Until: day, Move: p.Session}, Slice: s}
	e := s.Problem.Exercises[slices.IndexFunc(s.Problem.Exercises, func(e plan.Exercise) bool { return e.ID == put.Exercise })]
	all := planning.IDs[id.Trainee](textsOf(scope.Trainees))
	barred := o.barred(slices.DeleteFunc(slices.Clone(all), func(t id.Trainee) bool { return slices.Contains(p.Trainees, t) }), e)
	for _, t := range all {
		out.Trainees = append(out.Trainees, Member{Trainee: t, Name: s.Name(verdict.Ref{Kind: verdict.Trainee, ID: string(t)}),
			In: slices.Contains(p.Trainees, t), Why: barred[t]})
	}
	return out, nil
}

type part func(*plan.Session) *[]string

func instructorPart(s *plan.Session) *[]string { return &s.Instructors }
func rescuerPart(s *plan.Session) *[]string    { return &s.Rescuers }

// judgePart asks what would stop one person in one part, by judging the session
// with that person alone in it and keeping what the findings say of them.
func judgePart(s *planning.Slice, put plan.Session, c Candidate, list part) Candidate {
	who := string(c.Person)
	c.In = slices.Contains(*list(&put), who)
	alone := put
	alone.Trainees, alone.Instructors, alone.Rescuers = nil, nil, nil
	*list(&alone) = []string{who}
	var remove []string
	if _, ok := s.Session(put.ID); ok {
		remove = []string{put.ID}
	}
	for _, f := range s.Change(remove, []plan.Session{alone}).At(verdict.Stops) {
		if (f.Who.Kind == verdict.Person || f.Who.Kind == verdict.Body) && f.Who.ID == who && !slices.Contains(c.Rules, f.Rule) {
			c.Rules = append(c.Rules, f.Rule)
		}
	}
	c.Free = len(c.Rules) == 0
	return c
}

// Form is what the booking form offers to choose from.
type Form struct {
	Exercises []curriculum.Exercise
	Intakes   []IntakeChoice
	Stations  []rig.Station
	Rigs      []rig.Rig
	// Needed counts the trainees of the chosen intake who have an exercise neither
	// done nor booked.
	Needed map[id.Exercise]int
	Today  civil.Day
	Ref    *store.Reference
}

// IntakeChoice is an intake with its trainees.
type IntakeChoice struct {
	ID       id.Intake
	Name     string
	From     civil.Day
	Until    civil.Day
	Trainees []Member
}

// Form returns the choices of the booking form: exercises in teaching order and
// the intakes that are not over, with the trainees of the one given.
func (d *Desk) Form(ctx context.Context, actor access.Actor, intake id.Intake) (out Form, err error) {
	if _, err := access.Require(actor, access.SeeOptions); err != nil {
		return Form{}, err
	}
	err = d.store.Read(ctx, func(v *store.View) (err error) {
		out, err = form(v, intake)
		return err
	})
	return out, err
}

func form(v *store.View, intake id.Intake) (Form, error) {
	ref, err := v.Reference()
	if err != nil {
		return Form{}, err
	}
	today := v.Today()
	out := Form{Exercises: ref.Exercises.All(today), Stations: ref.Stations.All(today), Rigs: ref.Rigs.All(today), Today: today, Ref: ref}
	for _, in := range ref.Intakes.All(today) {
		if in.Until < today {
			continue
		}
		c := IntakeChoice{ID: in.ID, Name: ref.Text(in.Name), From: in.From, Until: in.Until}
		if in.ID == intake {
			if c.Trainees, err = members(v, in.ID); err != nil {
				return Form{}, err
			}
			if out.Needed, err = needed(v, in.ID); err != nil {
				return Form{}, err
			}
		}
		out.Intakes = append(out.Intakes, c)
	}
	return out, nil
}

func members(v *store.View, intake id.Intake) ([]Member, error) {
	list, err := v.TraineesOfIntake(intake)
	if err != nil {
		return nil, err
	}
	ids := make([]id.Trainee, len(list))
	for i, t := range list {
		ids[i] = t.ID
	}
	names, err := v.TraineeNames(ids...)
	if err != nil {
		return nil, err
	}
	out := make([]Member, len(list))
	for i, t := range list {
		out[i] = Member{Trainee: t.ID, Name: names[t.ID]}
	}
	return out, nil
}

// needed counts, per exercise, the trainees of an intake who have it neither done
// nor booked.
func needed(v *store.View, intake id.Intake) (map[id.Exercise]int, error) {
	list, err := v.TraineesOfIntake(intake)
	if err != nil {
		return nil, err
	}
	open, err := openNeeds(v, list)
	out := map[id.Exercise]int{}
	for _, needs := range open {
		for _, e := range needs {
			out[e]++
		}
	}
	return out, err
}
