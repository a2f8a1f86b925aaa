package httpd

import (
	"cmp"
	"slices"
	"strconv"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/records"
	"rungbook/internal/session"
	"rungbook/web"
)

func peopleLists() []takenList {
	return []takenList{
		{name: "people", title: "People", action: access.SeePeople, says: "A person with part, employer and intake", asks: []string{"q", "employer", "intake"}, write: peopleList},
		{name: "certificates", title: "Certificates", action: access.SeeCertificates, says: "A certificate that stands, by last valid day", asks: []string{"employer", "programme", "lapsed"}, write: certificateList},
		{name: "intakes", title: "Intakes", action: access.SeeIntakes, says: "An intake and how far its trainees have come", asks: []string{"ended"}, write: intakeList},
		{name: "trainees", at: "/intakes/{intake}/list", title: "Trainees of an intake", action: access.SeeIntakes, write: traineeList},
		{name: "record", at: "/people/{person}/record", title: "A person’s whole record", action: access.SeePerson, write: func(v *visit, t *taking) error { return v.record(t, id.Person(v.param("person"))) }},
		{name: "own-record", at: "/path/record", title: "One’s own record", action: access.SeeOwnPath, write: func(v *visit, t *taking) error { return v.record(t, v.actor.Person) }},
	}
}

func peopleList(v *visit, t *taking) error {
	q := v.r.URL.Query()
	f := records.PersonFilter{NamePart: q.Get("q"), Employer: id.Employer(q.Get("employer")), Intake: id.Intake(q.Get("intake"))}
	return v.fromRecords(t, func(l *records.Lists) error {
		if err := t.begin(v, "People "+v.today.String(), filters("Part of a name", f.NamePart, "Employer", v.employerName(f.Employer), "Intake", v.intakeName(f.Intake))...); err != nil {
			return err
		}
		if err := t.heads("Name", "Part", "Employer", "Intake", "Person id"); err != nil {
			return err
		}
		return rows(t, l.People(f), func(r records.PersonRow) []any {
			row := v.personRow(r)
			return []any{r.Name, row.Part, row.Employer, row.Intake.Text, string(r.Person.ID)}
		})
	})
}

func certificateList(v *visit, t *taking) error {
	q := v.r.URL.Query()
	f := records.CertificateFilter{Employer: id.Employer(q.Get("employer")), Programme: id.Programme(q.Get("programme")), Kind: credential.ForProgramme}
	return v.fromRecords(t, func(l *records.Lists) error {
		lapsed := "shown too"
		if q.Get("lapsed") != "yes" {
			f.UntilFrom, lapsed = v.today, "left out"
		}
		if err := t.begin(v, "Certificates "+v.today.String(), filters("Employer", v.employerName(f.Employer), "Programme", v.programmeName(f.Programme), "Lapsed ones", lapsed)...); err != nil {
			return err
		}
		if err := t.heads("Number", "Person", "Programme", "Employer", "Issued", "Last valid day", "State", "Person id"); err != nil {
			return err
		}
		return rows(t, l.Certificates(f), func(r records.CertificateRow) []any {
			c := r.Certificate
			return []any{c.Number, r.Name, v.certificateName(c), v.employerName(r.Employer), c.From, c.Until, spaced(c.State), string(c.Person)}
		})
	})
}

func intakeList(v *visit, t *taking) error {
	return v.fromRecords(t, func(l *records.Lists) error {
		since := v.today.AddMonths(-12)
		ended := "those since " + web.FullDay(since)
		if v.r.URL.Query().Get("ended") == "all" {
			since, ended = 0, "all"
		}
		list, err := l.Intakes(since)
		if err != nil {
			return err
		}
		if err := t.begin(v, "Intakes "+v.today.String(), filters("Ended ones", ended)...); err != nil {
			return err
		}
		if err := t.heads("Intake", "Employer", "Programme", "First day", "Last day", "Trainees", "Exercises done", "Exercises needed"); err != nil {
			return err
		}
		for _, in := range list {
			if err := t.out.Row(v.ref.Text(in.Intake.Name), in.Employer, v.programmeName(in.Intake.Programme), in.Intake.From, in.Intake.Until, in.Trainees, in.Done, in.Of); err != nil {
				return err
			}
		}
		return nil
	})
}

// traineeList is who is in an intake, a row for each exercise they need.
func traineeList(v *visit, t *taking) error {
	return v.fromRecords(t, func(l *records.Lists) error {
		in, err := l.Intake(id.Intake(v.param("intake")))
		if err != nil {
			return err
		}
		name := v.ref.Text(in.Intake.Name)
		if err := t.begin(v, "Intake "+name, "Intake: "+name, "Employer: "+in.Employer); err != nil {
			return err
		}
		if err := t.heads("Trainee", "Exercise", "State", "Completed", "Booked for"); err != nil {
			return err
		}
		for _, tr := range in.Trainees {
			for _, e := range in.Path {
				if err := v.traineeNeed(t, tr, e); err != nil {
					return err
				}
			}
		}
		return nil
	})
}

func (v *visit) traineeNeed(t *taking, tr records.Progress, e curriculum.Exercise) error {
	done, isDone := tr.Done[e.ID]
	booked, isBooked := tr.Booked[e.ID]
	state := "open"
	switch {
	case !slices.Contains(tr.Trainee.Needs, e.ID):
		return nil
	case isDone:
		return t.out.Row(tr.Name, v.ref.Text(e.Name), "done", v.at(done.End), v.at(0))
	case isBooked:
		state = stateWords(booked.State)
	}
	return t.out.Row(tr.Name, v.ref.Text(e.Name), state, v.at(0), v.at(booked.Start))
}

// record is everything on record of one person, a list for each kind.
func (v *visit) record(t *taking, of id.Person) error {
	return v.Records.PersonRecord(v.r.Context(), v.actor, of, func(l *records.Lists, p records.Person) error {
		v.now, v.today, v.words.Today = l.Now, l.Today, l.Today
		v.standAt(l.Entry, l.Ref)
		about := []string{"Person: " + p.Name}
		if p.Employer != "" {
			about = append(about, "Employer: "+p.Employer)
		}
		if p.Staff != nil {
			about = append(about, "Staff since: "+web.FullDay(p.Staff.From))
		}
		if o, err := v.takenOver(l, "person", string(of)); err != nil {
			return err
		} else if o != "" {
			about = append(about, "Not first-hand: "+o)
		}
		if err := t.begin(v, "Record of "+p.Name, about...); err != nil {
			return err
		}
		for _, part := range []func(*taking, *records.Lists, records.Person) error{v.recordEnrolments, v.recordCertificates, v.recordSessions, v.recordHours, v.recordResults, v.recordAppointments} {
			if err := part(t, l, p); err != nil {
				return err
			}
		}
		return nil
	})
}

// takenOver says where a record came from, "" for one recorded here.
func (v *visit) takenOver(l *records.Lists, kind, of string) (string, error) {
	o, ok, err := l.TakenOver(kind, of)
	if err != nil || !ok {
		return "", err
	}
	return "row " + strconv.Itoa(o.Row) + " of " + cmp.Or(o.File, "a file"), nil
}

func (v *visit) recordEnrolments(t *taking, _ *records.Lists, p records.Person) error {
	if err := t.out.Part("Path", "Intake", "Exercise", "Completed", "Booked for"); err != nil {
		return err
	}
	for _, e := range p.Enrolments {
		for _, s := range e.Path {
			if err := t.out.Row(v.ref.Text(e.Intake.Name), s.Name, v.at(s.Done), v.at(s.Booked)); err != nil {
				return err
			}
		}
	}
	return nil
}

func (v *visit) recordCertificates(t *taking, l *records.Lists, p records.Person) error {
	if err := t.out.Part("Certificates", "Number", "Certificate", "State", "Completed", "First valid day", "Last valid day", "Not first-hand"); err != nil {
		return err
	}
	for _, c := range p.Certificates {
		o, err := v.takenOver(l, "certificate", string(c.ID))
		if err == nil {
			err = t.out.Row(c.Number, v.certificateName(c), spaced(c.State), c.Completed, c.From, c.Until, o)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

func (v *visit) recordSessions(t *taking, l *records.Lists, p records.Person) error {
	if err := t.out.Part("Sessions", "Start", "End", "Exercise", "Station", "Part", "State", "Attendance", "Minutes credited", "Not first-hand"); err != nil {
		return err
	}
	for _, a := range p.Sessions {
		s := a.Session
		o, err := v.takenOver(l, "session", string(s.ID))
		if err == nil {
			err = t.out.Row(v.at(s.Start), v.at(s.End), a.Name, a.Station, string(a.Part), stateWords(s.State), spaced(a.Mark), int64(a.Minutes), o)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

func (v *visit) recordHours(t *taking, _ *records.Lists, p records.Person) error {
	if err := t.out.Part("Hours", "Exercise", "Rig", "Sessions", "Minutes credited"); err != nil {
		return err
	}
	for _, h := range p.Hours {
		if err := t.out.Row(v.exerciseName(h.Exercise, v.today), v.rigName(h.Rig), h.Sessions, int64(h.Minutes)); err != nil {
			return err
		}
	}
	return nil
}

func (v *visit) recordResults(t *taking, _ *records.Lists, p records.Person) error {
	if err := t.out.Part("Results", "Start", "Exercise", "Outcome", "Result"); err != nil {
		return err
	}
	for _, a := range p.Sessions {
		for _, r := range a.Results {
			if err := t.out.Row(v.at(a.Session.Start), a.Name, r.Name, spaced[session.Assessed](r.Result)); err != nil {
				return err
			}
		}
	}
	return nil
}

func (v *visit) recordAppointments(t *taking, _ *records.Lists, p records.Person) error {
	if err := t.out.Part("Appointments", "Field", "From", "Last day"); err != nil {
		return err
	}
	for _, a := range p.Appointments {
		if err := t.out.Row(planning.FieldName(a.Field), a.From, civil.Day(a.Until)); err != nil {
			return err
		}
	}
	return nil
}
