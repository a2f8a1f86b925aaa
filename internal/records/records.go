// Package records is the journey of looking people and certificates up: a
// person's sessions, hours, results and certificates; the list of certificates
// with days left; a trainee's own path. It changes nothing.
package records

import (
	"cmp"
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// Desk is where records are read.
type Desk struct{ store *store.Store }

// New returns a desk over a store.
func New(s *store.Store) *Desk { return &Desk{s} }

// Person is everything the centre's own record says of one person.
type Person struct {
	store.Row[people.Person]
	Name         string
	Employer     string
	Staff        *people.Staff // nil for people who are not on the staff
	Enrolments   []Enrolment
	Certificates []credential.Certificate
	Sessions     []Attended // latest first
	Hours        []Hours    // by exercise, then rig
	Total        civil.Minutes
	Appointments []people.Appointment
	Ref          *store.Reference
	Head         int64
	Today        civil.Day
	Zone         civil.Zone
}

// Enrolment is a person's place in an intake and how far they have come.
type Enrolment struct {
	Trainee people.Trainee
	Intake  people.Intake
	Path    []Step
}

// Step is one exercise of an enrolment.
type Step struct {
	Exercise curriculum.Exercise
	Name     string
	Done     civil.Instant // end of the session that completed it, 0 = not yet
	Session  id.Session    // that completed it, or is booked for it
	Booked   civil.Instant // start of a session to come, 0 = none
}

// Attended is a session of the person with what the record says of them.
type Attended struct {
	Session session.Session
	Part    session.Part
	Name    string // exercise
	Station string
	Mark    session.Mark
	Minutes civil.Minutes // credited
	Results []Outcome
	// Corrected: what stands of them was corrected after it was signed.
	Corrected bool
	// Countersign is the enrolment whose word for what was signed is missing; "" for
	// none. Where nobody noted what was found there is nothing to countersign.
	Countersign id.Trainee
}

// Outcome is one result with its name.
type Outcome struct {
	Outcome id.Outcome
	Name    string
	Result  session.Assessed
}

// Hours are minutes credited for one exercise on one rig.
type Hours struct {
	Exercise id.Exercise
	Rig      id.Rig
	Minutes  civil.Minutes
	Sessions int
}

// Person returns a person's record. A trainee may see their own and no other.
func (d *Desk) Person(ctx context.Context, actor access.Actor, pid id.Person) (Person, error) {
	if _, err := access.RequirePerson(actor, pid); err != nil {
		return Person{}, err
	}
	var out Person
	err := d.store.Read(ctx, func(v *store.View) (err error) {
		out, err = read(v, pid)
		return err
	})
	return out, err
}

func read(v *store.View, pid id.Person) (Person, error) {
	row, err := v.Person(pid)
	if err != nil {
		return Person{}, err
	}
	ref, err := v.Reference()
	if err != nil {
		return Person{}, err
	}
	out := Person{Row: row, Ref: ref, Head: v.Head(), Today: v.Today(), Zone: v.Zone()}
	names, err := v.PersonNames(pid)
	if err != nil {
		return Person{}, err
	}
	out.Name = names[pid]
	if e, ok := ref.Employers.On(row.Value.Employer, out.Today); ok {
		out.Employer = ref.Text(e.Name)
	}
	if st, ok := ref.Staff.On(pid, out.Today); ok {
		out.Staff = &st
	}
	for _, a := range ref.Appointments.All(out.Today) {
		if a.Person == pid {
			out.Appointments = append(out.Appointments, a)
		}
	}
	if out.Certificates, err = v.CertificatesOf(pid); err != nil {
		return Person{}, err
	}
	slices.SortStableFunc(out.Certificates, func(a, b credential.Certificate) int { return cmp.Compare(b.Completed, a.Completed) })
	return out, out.load(v)
}

func (p *Person) load(v *store.View) error {
	trainees, err := v.TraineesOfPersons(p.Value.ID)
	if err != nil {
		return err
	}
	ids := make([]id.Trainee, len(trainees))
	for i, t := range trainees {
		ids[i] = t.ID
	}
	list, err := v.SessionsOf([]id.Person{p.Value.ID}, ids, 0, p.Zone.StartOfDay(p.Today+366))
	if err != nil {
		return err
	}
	slices.SortStableFunc(list, func(a, b session.Session) int { return cmp.Compare(b.Start, a.Start) })
	done, err := v.Completions(ids...)
	if err != nil {
		return err
	}
	for _, t := range trainees {
		p.addEnrolment(t, list, done)
	}
	slices.SortStableFunc(p.Enrolments, func(a, b Enrolment) int { return cmp.Compare(b.Intake.From, a.Intake.From) })
	return p.addSessions(v, list, ids)
}

func (p *Person) addEnrolment(t people.Trainee, list []session.Session, done []store.Completion) {
	in, _ := p.Ref.Intakes.On(t.Intake, p.Today)
	e := Enrolment{Trainee: t, Intake: in}
	for _, x := range t.Needs {
		rec, _ := p.Ref.Exercises.On(x, p.Today)
		step := Step{Exercise: rec, Name: p.Ref.Text(rec.Name)}
		for _, c := range done {
			if c.Trainee == t.ID && c.Exercise == x {
				step.Done, step.Session = c.End, c.Session
			}
		}
		for _, r := range list {
			if step.Done == 0 && r.Serves(t.ID, x) {
				step.Booked, step.Session = r.Start, r.ID
			}
		}
		e.Path = append(e.Path, step)
	}
	p.Enrolments = append(p.Enrolments, e)
}

func (p *Person) addSessions(v *store.View, list []session.Session, ids []id.Trainee) error {
	sids := make([]id.Session, len(list))
	for i, r := range list {
		sids[i] = r.ID
	}
	attendance, err := v.Attendance(sids...)
	if err != nil {
		return err
	}
	results, err := v.Results(sids...)
	if err != nil {
		return err
	}
	hours, err := v.HoursOf(p.Value.ID)
	if err != nil {
		return err
	}
	attendanceOf, resultsOf := map[id.Session][]session.Presence{}, map[id.Session][]session.Result{}
	fixed := map[id.Session][]session.Correction{}
	for _, list := range attendance {
		fixed[list.Session] = append(fixed[list.Session], list.Corrections...)
		attendanceOf[list.Session] = append(attendanceOf[list.Session], list.Presences...)
	}
	for _, list := range results {
		fixed[list.Session] = append(fixed[list.Session], list.Corrections...)
		resultsOf[list.Session] = append(resultsOf[list.Session], list.Results...)
	}
	minutes := map[id.Session]civil.Minutes{}
	for _, h := range hours {
		minutes[h.Session] += h.Minutes
	}
	for _, r := range list {
		a := p.attended(r, ids, attendanceOf[r.ID], resultsOf[r.ID])
		a.Minutes = minutes[r.ID]
		a.Countersign = notCountersigned(r, ids, results)
		a.Corrected = slices.ContainsFunc(fixed[r.ID], func(c session.Correction) bool { return slices.Contains(ids, c.Trainee) })
		p.Sessions = append(p.Sessions, a)
	}
	p.sumHours(hours)
	return nil
}

func (p *Person) attended(r session.Session, ids []id.Trainee, presences []session.Presence, results []session.Result) Attended {
	day := p.Zone.DayOf(r.Start)
	e, _ := p.Ref.Exercises.On(r.Exercise, day)
	st, _ := p.Ref.Stations.On(r.Station, day)
	a := Attended{Session: r, Name: p.Ref.Text(e.Name), Station: p.Ref.Text(st.Name), Part: partOf(r, p.Value.ID, ids)}
	mine := func(who string) bool {
		return who == string(p.Value.ID) || slices.Contains(ids, id.Trainee(who))
	}
	for _, x := range presences {
		if mine(x.Who) && (a.Mark == "" || x.Mark != session.Present) {
			a.Mark = x.Mark
		}
	}
	for _, x := range results {
		if slices.Contains(ids, x.Trainee) {
			o, _ := p.Ref.Outcomes.On(x.Outcome, day)
			a.Results = append(a.Results, Outcome{x.Outcome, p.Ref.Text(o.Name), x.Result})
		}
	}
	return a
}

func notCountersigned(r session.Session, ids []id.Trainee, results []session.Results) id.Trainee {
	for _, list := range results {
		for _, n := range list.Notes {
			if list.Session == r.ID && r.State.Signed() && n.Signed == 0 && slices.Contains(ids, n.Trainee) {
				return n.Trainee
			}
		}
	}
	return ""
}

func partOf(r session.Session, pid id.Person, ids []id.Trainee) session.Part {
	part := r.PartOf(pid)
	if part == session.AsOther && slices.ContainsFunc(r.Trainees, func(t id.Trainee) bool { return slices.Contains(ids, t) }) {
		return session.AsTrainee
	}
	return part
}

// sumHours adds the credited minutes up by exercise and rig.
func (p *Person) sumHours(rows []store.HourRow) {
	for _, h := range rows {
		i := slices.IndexFunc(p.Hours, func(x Hours) bool { return x.Exercise == h.Exercise && x.Rig == h.Rig })
		if i < 0 {
			i = len(p.Hours)
			p.Hours = append(p.Hours, Hours{Exercise: h.Exercise, Rig: h.Rig})
		}
		p.Hours[i].Minutes += h.Minutes
		p.Hours[i].Sessions++
		p.Total += h.Minutes
	}
	order := func(e id.Exercise) int {
		rec, _ := p.Ref.Exercises.On(e, p.Today)
		return rec.Order
	}
	slices.SortStableFunc(p.Hours, func(a, b Hours) int {
		return cmp.Or(cmp.Compare(order(a.Exercise), order(b.Exercise)), cmp.Compare(a.Exercise, b.Exercise), cmp.Compare(a.Rig, b.Rig))
	})
}

// What lists can be narrowed by, and their rows.
type (
	PersonFilter      = store.PersonFilter
	PersonRow         = store.PersonRow
	CertificateFilter = store.CertificateFilter
	CertificateRow    = store.CertificateRow
	Hit               = store.Hit
)

// Search finds people, certificates, sessions and stations by part of a name or
// number.
func (d *Desk) Search(ctx context.Context, actor access.Actor, q string, most int) (hits []Hit, err error) {
	if _, err := access.Require(actor, access.Search); err != nil {
		return nil, err
	}
	err = d.store.Read(ctx, func(v *store.View) (err error) {
		hits, err = v.Search(q, most)
		return err
	})
	return hits, err
}

// People lists persons by name, a page at a time.
func (d *Desk) People(ctx context.Context, actor access.Actor, f PersonFilter) (rows []PersonRow, next string, err error) {
	if _, err := access.Require(actor, access.SeePeople); err != nil {
		return nil, "", err
	}
	err = d.store.Read(ctx, func(v *store.View) (err error) {
		rows, next, err = v.Persons(f)
		return err
	})
	return rows, next, err
}

// Certificates lists certificates by last valid day, a page at a time.
func (d *Desk) Certificates(ctx context.Context, actor access.Actor, f CertificateFilter) (rows []CertificateRow, next string, err error) {
	if _, err := access.Require(actor, access.SeeCertificates); err != nil {
		return nil, "", err
	}
	err = d.store.Read(ctx, func(v *store.View) (err error) {
		rows, next, err = v.Certificates(f)
		return err
	})
	return rows, next, err
}
